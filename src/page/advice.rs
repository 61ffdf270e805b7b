//! The advice as a page: serve by serve what to play, how sure that is and why, then the switches.
//!
//! The figures come from [`crate::tactics::advice`] and [`crate::tactics::reserve`]. What is an
//! assumption is called one.

use serde::Serialize;

use crate::base::text;
use crate::deck::Deck;
use crate::page::advice_words::{notes, serve_says, why_this_mix};
use crate::page::numbers::{known, letter, matches, of_hundred, points_behind, range};
use crate::page::paragraph::hung;
use crate::page::verdict_words::{drill_warning, evidence, lesson_says};
use crate::page::worded::{Says, Worded};
use crate::page::{lessons, switching};
use crate::tactics::advice::{Advice, Choice, LEVEL, Mix, ServeAdvice};
use crate::tactics::lessons::Lessons;
use crate::tactics::rates::Knowledge;
use crate::tactics::reserve::Reserve;
use crate::tactics::verdict::{Lesson, Verdict};

/// Balls of an order that stand together.
const TOGETHER: usize = 5;
/// Rows of receives shown for a serve whose points are known; the rest has no points behind it.
const MOST_ROWS: usize = 6;

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
    /// Nothing has been recorded: every receive is common practice.
    fn is_common_practice(&self) -> bool {
        self.advice.matches == 0
    }

    /// What to do before the next meeting; none without any match.
    fn lessons(&self) -> Option<&Lessons> {
        Some(&self.lessons).filter(|lessons| lessons.of_match.is_some())
    }

    fn notes(&self) -> Vec<String> {
        notes(&self.advice.notes, self.file)
    }

    /// The document for programs.
    pub fn json(&self) -> String {
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
        let serves = self.advice.serves.iter().map(serve_document).collect();
        crate::page::json(&AdviceWritten {
            is_common_practice: self.is_common_practice(),
            advice: Worded {
                data: &self.advice,
                words: AdviceWords { serves, notes: self.notes() },
            },
            switches: switching::documents(&self.switches),
            moments: switching::MOMENTS,
            lessons: self.lessons().map(|lessons| lessons::document(lessons, &self.switches)),
            seed: self.seed,
        })
    }

    /// The page as text, `width` columns at most.
    pub fn text(&self, width: usize) -> String {
        let mut lines = Vec::new();
        self.head(&mut lines, width);
        for (place, serve) in self.advice.serves.iter().enumerate() {
            lines.push(String::new());
            self.serve(&mut lines, place + 1, serve, width);
        }
        lines.push(String::new());
        switching::lines(&mut lines, self.deck, &self.switches, width);
        lines.push(String::new());
        lines.push("WHAT THIS RESTS ON".to_owned());
        for note in self.notes() {
            lines.push(hung("  - ", &note, width));
        }
        if self.advice.serves.iter().any(|serve| serve.mix.as_ref().is_some_and(is_ordered)) {
            let again =
                format!("The orders come from seed {}: --seed gives them again.", self.seed);
            lines.push(hung("  - ", &again, width));
        }
        let mut page = lines.join("\n");
        page.push('\n');
        page
    }

    fn head(&self, lines: &mut Vec<String>, width: usize) {
        lines.push(format!("ADVICE  {}", text::one_line(&self.advice.opponent)));
        if self.is_common_practice() {
            lines.push(hung(
                "",
                "No points yet: below are the usual receives, common practice, your repertoire first. \
                 Their rates are starting points, not measurements.",
                width,
            ));
        } else {
            lines.push(hung("", &self.as_it_stands(), width));
        }
        if let Some(lessons) = self.lessons() {
            lines.push(String::new());
            lessons::before_next(lines, lessons, width);
        }
        self.in_short(lines, width);
        lines.push(String::new());
        lines.push(hung(
            "",
            &format!(
                "In the tables: so many of 100 points the receive wins; {:.0} times in ten the truth lies in \
                 the range; \"known\" is the number of points behind it, a debrief's at half (older ones count \
                 less in the rate): under 5 \"almost none\", to 14 \"weak\", to 39 \"usable\", then \"solid\". \
                 A receive with none stands at what its kind wins.",
                LEVEL * 10.0
            ),
            width,
        ));
    }

    /// The chances of a point and of the match as they stand.
    fn as_it_stands(&self) -> String {
        let advice = &self.advice;
        let is_read = advice
            .serves
            .iter()
            .filter_map(|serve| serve.lesson.as_ref())
            .any(|lesson| matches!(lesson.verdict, Verdict::Switch | Verdict::Watch));
        let as_it_is = if is_read { " as it looks read now" } else { "" };
        let changed = if advice.serves.iter().any(|serve| self.reserve(serve).is_some()) {
            format!(
                " With the change below it is {} of 100 matches, if the rates hold.",
                of_hundred(advice.match_chance_changed)
            )
        } else {
            String::new()
        };
        format!(
            "From {}. You win {} of 100 points on your serve ({}) and {} on theirs with the plan{as_it_is} \
             ({}): {} of 100 matches, best of {} ({}).{changed} The brackets hold the truth {:.0} times in \
             ten. One point in a hundred more on their serve adds {:.1}.",
            matches(advice.matches),
            of_hundred(advice.chances.0),
            range(advice.ranges.0),
            of_hundred(advice.chances.1),
            range(advice.ranges.1),
            of_hundred(advice.match_chance),
            advice.best_of,
            range(advice.match_range),
            LEVEL * 10.0,
            advice.one_in_a_hundred * 100.0,
        )
    }

    fn in_short(&self, lines: &mut Vec<String>, width: usize) {
        lines.push(String::new());
        lines.push("IN SHORT".to_owned());
        let serves = &self.advice.serves;
        let name = serves.iter().map(|serve| text::width(serve.serve.as_str())).max();
        let name = name.unwrap_or(0).min(24);
        for serve in serves {
            let says = serve_says(serve).into_iter().next().unwrap_or_default();
            let lead = format!("  {}  ", text::fit(serve.serve.as_str(), name));
            let word = match &serve.lesson {
                Some(lesson) if lesson.verdict == Verdict::Switch => "CHANGE: ",
                _ => "",
            };
            lines.push(hung(&lead, &format!("{word}{says} [{}]", self.how_sure(serve)), width));
        }
    }

    /// How much is known of what is said, in a few words; a switch that is not firm is called so.
    fn how_sure(&self, serve: &ServeAdvice) -> String {
        let Some(lesson) = &serve.lesson else { return "no points".to_owned() };
        let mut sure = points_behind(lesson.behind);
        if lesson.verdict == Verdict::Switch {
            sure = format!("plan {sure}, the new one {}", points_behind(lesson.alternative_points));
        }
        if let Some(reserve) = self.reserve(serve) {
            sure = format!("{sure}; {}", switching::readiness(reserve));
        }
        sure
    }

    /// The switch that is due against this serve.
    fn reserve(&self, serve: &ServeAdvice) -> Option<&Reserve> {
        let name = serve.lesson.as_ref()?.due_switch()?;
        self.switches.iter().find(|reserve| reserve.name == name)
    }

    fn serve(&self, lines: &mut Vec<String>, number: usize, serve: &ServeAdvice, width: usize) {
        lines.push(format!(
            "{number}  {}  ({} of 100 serves)",
            serve.serve,
            of_hundred(serve.share)
        ));
        lines.push(hung("   ", &serve.shown, width));
        let mut says = serve_says(serve).into_iter();
        if let Some(first) = says.next() {
            lines.push(hung("   >> ", &first, width));
        }
        let warning = self.reserve(serve).and_then(|held| drill_warning(held.drilled, &held.name));
        if let Some(warning) = warning {
            lines.push(hung("      ", &warning, width));
        }
        if let Some(lesson) = serve.lesson.as_ref().filter(|lesson| lesson.behind > 0.0) {
            lines.push(hung("      ", &format!("Newest: {}.", evidence(lesson)), width));
        }
        table(lines, &serve.choices, width);
        for sentence in says {
            lines.push(hung("      ", &sentence, width));
        }
        if let Some(mix) = serve.mix.as_ref().filter(|mix| is_ordered(mix)) {
            order_line(lines, mix, width);
        }
    }
}

/// Rows of the receives: letter, rate, range, how much is known, where it comes from, the receive.
fn table(lines: &mut Vec<String>, choices: &[Choice], width: usize) {
    lines.push("      wins  range     known       from    receive".to_owned());
    let shown = choices.iter().enumerate().filter(|(place, choice)| {
        *place < MOST_ROWS || choice.in_plan || choice.in_switch.is_some() || choice.behind > 0.0
    });
    for (place, choice) in shown {
        let from = if choice.in_plan {
            "plan"
        } else if choice.in_switch.is_some() {
            "switch"
        } else if choice.is_common_practice {
            "usual"
        } else {
            "played"
        };
        let behind = match (choice.behind.round(), Knowledge::from_points(choice.behind)) {
            (whole, _) if whole < 1.0 => "none".to_owned(),
            (whole, knowledge) => format!("{whole:.0} {}", known(knowledge)),
        };
        let lead = format!(
            "    {} {:>4}  {} {} {} ",
            letter(place),
            of_hundred(choice.rate),
            text::fit(&range(choice.interval), 9),
            text::fit(&behind, 13),
            text::fit(from, 7),
        );
        lines.push(hung(&lead, &choice.receive.shown(), width));
    }
}

/// A mix of receives that all have points behind them: only such a one gets an order.
fn is_ordered(mix: &Mix) -> bool {
    !mix.is_single() && !mix.is_illustration
}

/// The advice on one serve with its sentences, for a document.
fn serve_document(serve: &ServeAdvice) -> impl Serialize + '_ {
    #[derive(Serialize)]
    struct MixWords {
        why: String,
    }
    #[derive(Serialize)]
    struct ServeWords<'a> {
        mix: Option<Worded<&'a Mix, MixWords>>,
        lesson: Option<Worded<&'a Lesson, Says>>,
        says: Vec<String>,
    }
    let why = |data| Worded { data, words: MixWords { why: why_this_mix(&serve.choices, data) } };
    let said = |data| Worded { data, words: Says { says: lesson_says(data, None) } };
    let (mix, lesson) = (serve.mix.as_ref().map(why), serve.lesson.as_ref().map(said));
    Worded { data: serve, words: ServeWords { mix, lesson, says: serve_says(serve) } }
}

/// The order of a mix.
fn order_line(lines: &mut Vec<String>, mix: &Mix, width: usize) {
    let letters: Vec<char> = mix.order.iter().map(|place| letter(*place)).collect();
    let groups: Vec<String> =
        letters.chunks(TOGETHER).map(|group| group.iter().collect::<String>()).collect();
    lines.push(hung(
        "      ",
        &format!("Order, drawn in advance (nobody is random enough): {}", groups.join(" ")),
        width,
    ));
}
