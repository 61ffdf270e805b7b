//! The advice as a page: serve by serve what to play, how sure that is and why, then the switches.
//!
//! The figures come from [`crate::tactics::advice`] and [`crate::tactics::reserve`]. What is an
//! assumption is called one.

use minijinja::context;
use minijinja::value::Serde as Filled;
use serde::Serialize;

use crate::base::text;
use crate::deck::Deck;
use crate::page::advice_words::{notes, serve_says, why_this_mix};
use crate::page::text_page::filled_text;
use crate::page::verdict_words::{drill_warning, lesson_says};
use crate::page::worded::{Says, Worded};
use crate::page::{lessons, switching};
use crate::tactics::advice::{Advice, Mix, ServeAdvice};
use crate::tactics::lessons::Lessons;
use crate::tactics::reserve::Reserve;
use crate::tactics::verdict::Lesson;

/// The widest name in the short list.
const WIDEST_NAME: usize = 24;
const TEMPLATE: &str =
    concat!(include_str!("templates/switches.txt"), include_str!("templates/advice.txt"));

/// The advice with all that stands on its page.
#[derive(Debug)]
pub struct AdviceView<'a> {
    /// The opponent, lanes as the player names them.
    pub deck: &'a Deck,
    /// The name of its file, as a command takes it.
    pub file: &'a str,
    /// Serve by serve.
    pub advice: Advice,
    /// The lessons, for what to do before the next meeting.
    pub lessons: Lessons,
    /// The switches, the most worthwhile first.
    pub switches: Vec<Reserve>,
    /// The seed that gives the orders again.
    pub seed: u64,
}

impl AdviceView<'_> {
    /// The document for programs.
    pub fn document(&self) -> impl Serialize {
        #[derive(Serialize)]
        struct AdviceWritten<A, S, L> {
            is_common_practice: bool,
            advice: A,
            switches: S,
            moments: [switching::ThinkingTime; 3],
            lessons: Option<L>,
            seed: u64,
        }
        #[derive(Serialize)]
        struct AdviceWords<S> {
            serves: Vec<S>,
            notes: Vec<String>,
        }
        let words = AdviceWords {
            serves: self.advice.serves.iter().map(serve_document).collect(),
            notes: notes(&self.advice.notes, self.file),
        };
        AdviceWritten {
            // Nothing has been recorded: every receive is common practice.
            is_common_practice: self.advice.matches == 0,
            advice: Worded { data: &self.advice, words },
            switches: switching::documents(&self.switches),
            moments: switching::MOMENTS,
            // What to do before the next meeting; none without any match.
            lessons: (self.lessons.of_match.is_some())
                .then(|| lessons::document(&self.lessons, &self.switches)),
            seed: self.seed,
        }
    }

    /// The page as text, `width` columns at most.
    pub fn text(&self, width: usize) -> String {
        let serves = &self.advice.serves;
        let names = serves.iter().map(|serve| text::width(serve.serve.as_str()));
        let mut lessons = serves.iter().filter_map(|serve| serve.lesson.as_ref());
        let due = |serve: &ServeAdvice| lessons::due(serve.lesson.as_ref()?, &self.switches);
        // Only a mix of receives that all have points behind them gets an order.
        let is_ordered = |mix: &Mix| !mix.is_single() && !mix.is_illustration;
        let beside = |serve: &ServeAdvice| {
            context! {
                due => Filled(due(serve).map(|held| held.drilled)),
                warning => due(serve).and_then(|held| drill_warning(held.drilled, &held.name)),
                is_ordered => serve.mix.as_ref().is_some_and(is_ordered),
            }
        };
        let document = context! {
            page => Filled(self.document()),
            is_doubted => lessons.any(|lesson| lesson.verdict.is_doubted()),
            name_columns => names.max().unwrap_or(0).min(WIDEST_NAME),
            beside => serves.iter().map(beside).collect::<Vec<_>>(),
            ranked => switching::ranked(self.deck, &self.switches),
        };
        filled_text(TEMPLATE, &document, width)
    }
}

/// The advice on one serve with its sentences, for a document.
fn serve_document(serve: &ServeAdvice) -> impl Serialize + '_ {
    #[derive(Serialize)]
    struct MixWords {
        why: Option<String>,
    }
    #[derive(Serialize)]
    struct ServeWords<'a> {
        mix: Option<Worded<&'a Mix, MixWords>>,
        lesson: Option<Worded<&'a Lesson, Says>>,
        says: Vec<String>,
    }
    let mix = serve.mix.as_ref().map(|data| {
        let why = (!data.is_illustration).then(|| why_this_mix(&serve.choices, data));
        Worded { data, words: MixWords { why } }
    });
    let said = |data| Worded { data, words: Says { says: lesson_says(data, None) } };
    let lesson = serve.lesson.as_ref().map(said);
    Worded { data: serve, words: ServeWords { mix, lesson, says: serve_says(serve) } }
}
