//! What the points say to do: play, keep, train, in a few lines; then why; then the tables.
//!
//! The figures come from [`crate::tactics::advice`], [`crate::tactics::lessons`] and
//! [`crate::tactics::reserve`]. What is an assumption is called one.

use minijinja::context;
use minijinja::value::Serde as Filled;
use serde::Serialize;

use crate::deck::Deck;
use crate::journal::Point;
use crate::page::advice_words::{
    ShortLine, how_sure, in_short, next, notes, serve_says, why_this_mix,
};
use crate::page::switching;
use crate::page::text_page::filled_text;
use crate::page::verdict_words::lesson_says;
use crate::page::worded::{Says, Worded};
use crate::tactics::advice::{Advice, Mix, ServeAdvice};
use crate::tactics::history::OpponentHistory;
use crate::tactics::lessons::Lessons;
use crate::tactics::reserve::Reserve;
use crate::tactics::verdict::Lesson;

const TEMPLATE: &str =
    concat!(include_str!("templates/switches.txt"), include_str!("templates/advice.txt"));

/// How much of the advice is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Detail {
    /// What to do, and how sure.
    Short,
    /// With the reasons.
    Why,
    /// With the tables.
    All,
}

/// The advice with all that stands on its page.
#[derive(Debug)]
pub struct AdviceView<'a> {
    /// The opponent, lanes as the player names them.
    pub deck: &'a Deck,
    /// The name of its file, as a command takes it.
    pub file: &'a str,
    /// The points behind it.
    pub history: &'a OpponentHistory,
    /// Serve by serve.
    pub advice: Advice,
    /// The lessons, most pressing first.
    pub lessons: Lessons,
    /// The switches, the most worthwhile first.
    pub switches: Vec<Reserve>,
    /// The seed that gives the orders again.
    pub seed: u64,
}

impl AdviceView<'_> {
    /// Words that named no known serve or receive, as typed, and what was left without a name.
    fn unknown_words(&self) -> Vec<&str> {
        let mut unknown: Vec<&str> = Vec::new();
        for words in &self.history.unknown_words {
            // A key stood for these two once, and nobody typed them.
            let words = match words.as_str() {
                "another receive" => Point::RECEIVE_NOT_NAMED,
                "unknown serve" => Point::SERVE_NOT_NAMED,
                words => words,
            };
            if !unknown.contains(&words) {
                unknown.push(words);
            }
        }
        unknown
    }

    /// The document for programs.
    pub fn document(&self) -> impl Serialize {
        #[derive(Serialize)]
        struct AdviceWritten<'a, A, S, L> {
            opponent: &'a str,
            in_short: Vec<ShortLine>,
            how_sure: String,
            command: String,
            is_common_practice: bool,
            advice: A,
            switches: S,
            moments: [switching::ThinkingTime; 3],
            lessons: L,
            unknown_words: Vec<&'a str>,
            seed: u64,
        }
        #[derive(Serialize)]
        struct AdviceWords<S> {
            serves: Vec<S>,
            notes: Vec<String>,
        }
        let serve = |serve| serve_document(self.deck, serve);
        let words = AdviceWords {
            serves: self.advice.serves.iter().map(serve).collect(),
            notes: notes(&self.advice.notes, self.deck, self.file),
        };
        AdviceWritten {
            opponent: &self.deck.opponent,
            in_short: in_short(self.deck, &self.advice, &self.lessons, &self.switches),
            how_sure: how_sure(&self.advice, &self.lessons.lessons),
            command: next(self.deck, self.file, &self.lessons.lessons),
            // Nothing has been recorded: every receive is common practice.
            is_common_practice: self.advice.matches == 0,
            advice: Worded { data: &self.advice, words },
            switches: switching::documents(self.deck, &self.switches),
            moments: switching::MOMENTS,
            lessons: lessons_document(&self.lessons, &self.switches),
            unknown_words: self.unknown_words(),
            seed: self.seed,
        }
    }

    /// The page as text, `width` columns at most.
    pub fn text(&self, detail: Detail, width: usize) -> String {
        let (unnamed, typed): (Vec<&str>, Vec<&str>) =
            self.unknown_words().into_iter().partition(|words| Point::is_not_named(words));
        // Only a mix of receives that all have points behind them gets an order.
        let is_ordered = |mix: &Mix| !mix.is_single() && !mix.is_illustration;
        let ordered = |serve: &ServeAdvice| serve.mix.as_ref().is_some_and(is_ordered);
        let document = context! {
            page => Filled(self.document()),
            is_why => detail >= Detail::Why,
            is_all => detail == Detail::All,
            ordered => self.advice.serves.iter().map(ordered).collect::<Vec<_>>(),
            unnamed => Filled(unnamed),
            typed => Filled(typed),
            ranked => switching::ranked(self.deck, &self.switches),
        };
        filled_text(TEMPLATE, &document, width)
    }
}

/// The advice on one serve with its sentences, for a document.
fn serve_document<'a>(deck: &Deck, serve: &'a ServeAdvice) -> impl Serialize + 'a {
    #[derive(Serialize)]
    struct MixWords {
        why: Option<String>,
    }
    #[derive(Serialize)]
    struct ServeWords<'a> {
        called: String,
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
    let called = deck.called(&serve.serve);
    Worded { data: serve, words: ServeWords { called, mix, lesson, says: serve_says(serve) } }
}

/// The lessons with their sentences, for a document.
fn lessons_document<'a>(lessons: &'a Lessons, switches: &[Reserve]) -> impl Serialize + 'a {
    #[derive(Serialize)]
    struct LessonsWords<'a> {
        lessons: Vec<Worded<&'a Lesson, Says>>,
    }
    let said = |data: &'a Lesson| {
        let drilled = switching::due(data, switches).map(|reserve| reserve.drilled);
        Worded { data, words: Says { says: lesson_says(data, drilled) } }
    };
    let lessons_said = lessons.lessons.iter().map(said).collect();
    Worded { data: lessons, words: LessonsWords { lessons: lessons_said } }
}
