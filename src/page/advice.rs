//! The advice as a page: serve by serve what to play, how sure that is and why, then the switches.
//!
//! The numbers and sentences come from [`crate::tactics::advice`] and [`crate::tactics::reserve`]; here they are
//! only laid out. What is an assumption is called one.

use serde::Serialize;

use crate::base::text;
use crate::deck::Deck;
use crate::page::paragraph::hung;
use crate::page::{lessons, switching};
use crate::tactics::advice::{Advice, Choice, LEVEL, Mix, ServeAdvice};
use crate::tactics::lessons::Lessons;
use crate::tactics::rates::Knowledge;
use crate::tactics::reserve::{Chance, MOMENTS, Reserve};
use crate::tactics::verdict::{Verdict, behind, evidence};
use crate::tactics::words::{letter, of_hundred};

/// Balls of an order that stand together.
const TOGETHER: usize = 5;
/// Rows of receives shown for a serve whose points are known; the rest has no points behind it.
const MOST_ROWS: usize = 6;

/// The page.
#[derive(Debug, Clone, Serialize)]
pub struct AdvicePage {
    /// Nothing has been recorded: every receive is common practice.
    pub is_common_practice: bool,
    /// Serve by serve.
    pub advice: Advice,
    /// The switches, the most worthwhile first.
    pub switches: Vec<Reserve>,
    /// When there is time to call one.
    pub moments: [Chance; 3],
    /// What to do before the next meeting; none without any match.
    pub lessons: Option<Lessons>,
    /// The seed that gives the orders again.
    pub seed: u64,
    #[serde(skip)]
    deck: Deck,
}

impl AdvicePage {
    /// Puts the parts together; `deck` has its lanes as the player names them.
    pub fn new(
        deck: &Deck,
        advice: Advice,
        (lessons, switches): (Lessons, Vec<Reserve>),
        seed: u64,
    ) -> Self {
        Self {
            is_common_practice: advice.matches == 0,
            advice,
            switches,
            moments: MOMENTS,
            lessons: lessons.of_match.is_some().then_some(lessons),
            seed,
            deck: deck.clone(),
        }
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
        switching::lines(&mut lines, &self.deck, &self.switches, width);
        lines.push(String::new());
        lines.push("WHAT THIS RESTS ON".to_owned());
        for note in &self.advice.notes {
            lines.push(hung("  - ", note, width));
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
        let advice = &self.advice;
        lines.push(format!("ADVICE  {}", text::one_line(&advice.opponent)));
        if self.is_common_practice {
            lines.push(hung(
                "",
                "No points yet: below are the usual receives, common practice, your repertoire first. \
                 Their rates are starting points, not measurements.",
                width,
            ));
        } else {
            let is_read = advice.serves.iter().filter_map(|serve| serve.lesson.as_ref());
            let is_read = is_read
                .filter(|lesson| matches!(lesson.verdict, Verdict::Switch | Verdict::Watch))
                .count();
            let as_it_is = if is_read > 0 { " as it looks read now" } else { "" };
            let changed = if advice.serves.iter().any(|serve| self.reserve(serve).is_some()) {
                format!(
                    " With the change below it is {} of 100 matches, if the rates hold.",
                    of_hundred(advice.match_chance_changed)
                )
            } else {
                String::new()
            };
            lines.push(hung(
                "",
                &format!(
                    "From {}. You win {} of 100 points on your serve ({}) and {} on theirs with the plan{as_it_is} \
                     ({}): {} of 100 matches, best of {} ({}).{changed} The brackets hold the truth {:.0} times in \
                     ten. One point in a hundred more on their serve adds {:.1}.",
                    text::count(advice.matches, "match").replace("matchs", "matches"),
                    of_hundred(advice.chances.0),
                    range(advice.ranges.0),
                    of_hundred(advice.chances.1),
                    range(advice.ranges.1),
                    of_hundred(advice.match_chance),
                    advice.best_of,
                    range(advice.match_range),
                    LEVEL * 10.0,
                    advice.one_in_a_hundred * 100.0,
                ),
                width,
            ));
        }
        if let Some(lessons) = &self.lessons {
            lines.push(String::new());
            lessons::before_next(lines, lessons, width);
        }
        lines.push(String::new());
        lines.push("IN SHORT".to_owned());
        let name = advice.serves.iter().map(|serve| text::width(serve.serve.as_str())).max();
        let name = name.unwrap_or(0).min(24);
        for serve in &advice.serves {
            let says = serve.says.first().map_or("", String::as_str);
            let lead = format!("  {}  ", text::fit(serve.serve.as_str(), name));
            let word = match &serve.lesson {
                Some(lesson) if lesson.verdict == Verdict::Switch => "CHANGE: ",
                _ => "",
            };
            lines.push(hung(&lead, &format!("{word}{says} [{}]", self.how_sure(serve)), width));
        }
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

    /// How much is known of what is said, in a few words; a switch that is not firm is called so.
    fn how_sure(&self, serve: &ServeAdvice) -> String {
        let Some(lesson) = &serve.lesson else { return "no points".to_owned() };
        let mut sure = behind(lesson.behind);
        if lesson.verdict == Verdict::Switch {
            sure = format!("plan {sure}, the new one {}", behind(lesson.alternative_points));
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
        let mut says = serve.says.iter();
        if let Some(first) = says.next() {
            lines.push(hung("   >> ", first, width));
        }
        let warning = self.reserve(serve).and_then(|held| held.drilled.warning(&held.name));
        if let Some(warning) = warning {
            lines.push(hung("      ", &warning, width));
        }
        if let Some(lesson) = serve.lesson.as_ref().filter(|lesson| lesson.behind > 0.0) {
            lines.push(hung("      ", &format!("Newest: {}.", evidence(lesson)), width));
        }
        table(lines, &serve.choices, width);
        for sentence in says {
            lines.push(hung("      ", sentence, width));
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
        let known = match (choice.behind.round(), Knowledge::from_points(choice.behind)) {
            (whole, _) if whole < 1.0 => "none".to_owned(),
            (whole, Knowledge::PriorOnly) => format!("{whole:.0} almost none"),
            (whole, known) => format!("{whole:.0} {}", known.word()),
        };
        let lead = format!(
            "    {} {:>4}  {} {} {} ",
            letter(place),
            of_hundred(choice.rate),
            text::fit(&range(choice.interval), 9),
            text::fit(&known, 13),
            text::fit(from, 7),
        );
        lines.push(hung(&lead, &choice.receive.shown(), width));
    }
}

/// A mix of receives that all have points behind them: only such a one gets an order.
fn is_ordered(mix: &Mix) -> bool {
    !mix.is_single() && !mix.is_illustration
}

/// `38 to 57`.
fn range((low, high): (f64, f64)) -> String {
    format!("{} to {}", of_hundred(low), of_hundred(high))
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
