//! The advice as a page: serve by serve what to play, how sure that is and why, then the switches.
//!
//! The numbers and sentences come from [`crate::tactics::advice`] and [`crate::tactics::reserve`]; here they are
//! only laid out. What is an assumption is called one.

use serde::Serialize;

use crate::base::text;
use crate::deck::Deck;
use crate::page::paragraph::hung;
use crate::page::switching;
use crate::tactics::advice::{Advice, Choice, LEVEL, Mix, ServeAdvice};
use crate::tactics::reserve::{Chance, MOMENTS, Reserve};
use crate::tactics::words::of_hundred;

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
    /// The seed that gives the orders again.
    pub seed: u64,
    #[serde(skip)]
    deck: Deck,
}

/// The letter of a choice: A, B, C.
fn letter(place: usize) -> char {
    u8::try_from(place).map_or('?', |place| char::from(b'A' + place.min(25)))
}

impl AdvicePage {
    /// Puts the parts together; `deck` has its lanes as the player names them.
    pub fn new(deck: &Deck, advice: Advice, switches: Vec<Reserve>, seed: u64) -> Self {
        Self {
            is_common_practice: advice.matches == 0,
            advice,
            switches,
            moments: MOMENTS,
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
        if self.advice.serves.iter().any(|serve| serve.mix.as_ref().is_some_and(|m| !m.is_single()))
        {
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
            lines.push(hung(
                "",
                &format!(
                    "{} behind it, {:.0} points on their serve after fading. You win {} of 100 on your \
                     serve ({}) and {} of 100 on theirs with the plan ({}): {} of 100 matches, best of \
                     {}. One point in a hundred more on their serve adds {:.1}.",
                    text::count(advice.matches, "match").replace("matchs", "matches"),
                    advice.receiving_points,
                    of_hundred(advice.chances.0),
                    advice.known.0,
                    of_hundred(advice.chances.1),
                    advice.known.1,
                    of_hundred(advice.match_chance),
                    advice.best_of,
                    advice.one_in_a_hundred * 100.0,
                ),
                width,
            ));
        }
        lines.push(String::new());
        lines.push("IN SHORT".to_owned());
        let name = advice.serves.iter().map(|serve| text::width(serve.serve.as_str())).max();
        let name = name.unwrap_or(0).min(24);
        for serve in &advice.serves {
            let says = serve.says.first().map_or("", String::as_str);
            let lead = format!("  {}  ", text::fit(serve.serve.as_str(), name));
            lines.push(hung(&lead, &format!("{says} [{}]", self.how_sure(serve)), width));
        }
        lines.push(String::new());
        lines.push(hung(
            "",
            &format!(
                "In the tables: so many of 100 points the receive wins; {:.0} times in ten the truth lies \
                 in the range; \"known\" is the number of points behind it: under 5 \"prior only\", to 14 \
                 \"weak\", to 39 \"usable\", then \"solid\".",
                LEVEL * 10.0
            ),
            width,
        ));
    }

    /// How much is known of what is said, in a few words; a switch that is not firm is called so.
    fn how_sure(&self, serve: &ServeAdvice) -> String {
        let Some(first) = serve.choices.first() else { return "nothing known".to_owned() };
        let planned = serve.choices.iter().find(|choice| choice.in_plan);
        let mut sure = match planned {
            Some(plan) if !first.in_plan => {
                format!("plan {}, the other {}", plan.known, first.known)
            }
            _ => first.known.to_owned(),
        };
        if let Some(reserve) = self.reserve(serve) {
            sure = format!("{sure}; {}", switching::readiness(reserve));
        }
        sure
    }

    /// The switch whose answer comes first against this serve.
    fn reserve(&self, serve: &ServeAdvice) -> Option<&Reserve> {
        let name = serve.choices.first().filter(|first| !first.in_plan)?.in_switch.as_ref()?;
        self.switches.iter().find(|reserve| reserve.name == *name)
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
        table(lines, &serve.choices, width);
        for sentence in says {
            lines.push(hung("      ", sentence, width));
        }
        if let Some(mix) = serve.mix.as_ref().filter(|mix| !mix.is_single()) {
            mix_lines(lines, mix, serve, width);
        }
    }
}

/// Rows of the receives: letter, rate, range, how much is known, where it comes from, the receive.
fn table(lines: &mut Vec<String>, choices: &[Choice], width: usize) {
    lines.push("      wins  range     known       from    receive".to_owned());
    let shown = choices.iter().enumerate().filter(|(place, choice)| {
        *place < MOST_ROWS || choice.in_plan || choice.in_switch.is_some() || choice.points > 0.0
    });
    for (place, choice) in shown {
        let (low, high) = choice.interval;
        let from = if choice.in_plan {
            "plan"
        } else if choice.in_switch.is_some() {
            "switch"
        } else if choice.is_common_practice {
            "usual"
        } else {
            "played"
        };
        let known = if choice.points < 0.05 {
            choice.known.to_owned()
        } else {
            format!("{} {:.0}", choice.known, choice.points.max(1.0))
        };
        let lead = format!(
            "    {} {:>4}  {} {} {} ",
            letter(place),
            of_hundred(choice.rate),
            text::fit(&format!("{} to {}", of_hundred(low), of_hundred(high)), 9),
            text::fit(&known, 13),
            text::fit(from, 7),
        );
        lines.push(hung(&lead, &choice.receive.shown(), width));
    }
}

/// The order of a mix, and how the ratio moves with the assumption behind it.
fn mix_lines(lines: &mut Vec<String>, mix: &Mix, serve: &ServeAdvice, width: usize) {
    let letters: Vec<char> = mix.order.iter().map(|place| letter(*place)).collect();
    let groups: Vec<String> =
        letters.chunks(TOGETHER).map(|group| group.iter().collect::<String>()).collect();
    lines.push(hung(
        "      ",
        &format!("Order, drawn in advance (nobody is random enough): {}", groups.join(" ")),
        width,
    ));
    // A ratio that stays the same has been called so already.
    if serve.other_drops.iter().any(|other| other.parts != mix.parts) {
        let rows: Vec<String> = serve
            .other_drops
            .iter()
            .map(|other| format!("{} of 100, {}", of_hundred(other.drop), lettered(&other.parts)))
            .collect();
        lines.push(hung(
            "      ",
            &format!("The ratio is an assumption. If being read costs {}.", rows.join("; ")),
            width,
        ));
    }
}

/// `A:C 1:3`; `A alone`.
fn lettered(parts: &[u32]) -> String {
    let used: Vec<(char, u32)> = parts
        .iter()
        .enumerate()
        .filter(|(_, part)| **part > 0)
        .map(|(place, part)| (letter(place), *part))
        .collect();
    if let [(only, _)] = used.as_slice() {
        return format!("{only} alone");
    }
    let letters: Vec<String> = used.iter().map(|(letter, _)| letter.to_string()).collect();
    let parts: Vec<String> = used.iter().map(|(_, part)| part.to_string()).collect();
    format!("{} as {}", letters.join(":"), parts.join(":"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn choices_are_lettered() {
        assert_eq!(lettered(&[1, 0, 3]), "A:C as 1:3");
        assert_eq!(lettered(&[0, 1]), "B alone");
        assert_eq!((letter(0), letter(7), letter(900)), ('A', 'H', '?'));
    }
}
