//! A trim in words: what to look at, what to turn and what the next ball should do.

use serde::Serialize;

use crate::base::text;
use crate::game::Depth;
use crate::launcher::{MOST_BALLS, Quantity, Sight, TrimStep, Turn, TurnedOn};
use crate::page::launcher_words::left_or_right;

/// What to look at before the first ball of a trim.
pub const fn look_at_words(depth: Depth) -> &'static str {
    match depth {
        Depth::Short => {
            "let the ball go: its second bounce belongs on the table, a hand's width inside the edge"
        }
        Depth::HalfLong => "let the ball go: its second bounce meets the edge of the table",
        Depth::Long => "let the ball go: it leaves the table well before a second bounce",
    }
}

/// A step of a trim as its JSON has it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StepWords {
    Turn { what: Quantity, is_more: bool, notch: f64, words: String, expect: &'static str },
    Done(String),
    Enough(String),
}

impl StepWords {
    pub fn tell(step: &TrimStep) -> Self {
        match step {
            TrimStep::Turn(turn) => Self::Turn {
                what: turn.what,
                is_more: turn.is_more,
                notch: turn.notch,
                words: turn_words(turn),
                expect: expected(turn.seen),
            },
            TrimStep::Done { balls } => Self::Done(format!(
                "trimmed in {}: throw three more, then begin the block",
                text::count(*balls, "ball")
            )),
            TrimStep::EnoughBalls => Self::Enough(format!(
                "{MOST_BALLS} balls are enough: keep the nearest, or calibrate this launcher once"
            )),
            TrimStep::NoFinerNotch => Self::Enough(
                "no single notch brings it nearer: keep this one; the next finer change is to move the \
                 launcher by a hand's width"
                    .to_owned(),
            ),
        }
    }

    /// The step in one line.
    pub fn line(&self) -> String {
        match self {
            Self::Turn { words, expect, .. } => format!("{words}; {expect}"),
            Self::Done(words) | Self::Enough(words) => words.clone(),
        }
    }
}

fn turn_words(turn: &Turn) -> String {
    let part = if turn.is_half_a_notch { "half a degree" } else { "a degree" };
    match (&turn.on, turn.what) {
        (TurnedOn::Dials(dials), _) => {
            let each = dials
                .iter()
                .map(|(name, [from, to])| format!("{} from {from} to {to}", text::one_line(name)));
            text::and_list(&each.collect::<Vec<_>>())
        }
        (TurnedOn::ByHand { is_whole }, Quantity::Azimuth) => {
            let what = if *is_whole { "the whole launcher" } else { "it" };
            format!("turn {what} {part} to the {}", left_or_right(turn.is_more))
        }
        (TurnedOn::ByHand { .. }, Quantity::Elevation) => {
            format!("point it {part} {}", if turn.is_more { "higher" } else { "lower" })
        }
        (TurnedOn::ByHand { .. }, what) => {
            format!("{what} a little {}", if turn.is_more { "up" } else { "down" })
        }
    }
}

/// What the next ball should do.
const fn expected(seen: Sight) -> &'static str {
    match seen {
        Sight::Short => "the second bounce moves away from the net",
        Sight::Long => "the second bounce comes nearer to the net",
        Sight::Left => "the landing moves to the right",
        Sight::Right => "the landing moves to the left",
        Sight::Net => "more air over the net",
        Sight::High => "less air over the net",
        Sight::Good => "the same again",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turn_names_both_wheels_of_a_speed() {
        let turn = Turn {
            what: Quantity::Speed,
            is_more: true,
            notch: 0.1,
            is_half_a_notch: true,
            on: TurnedOn::Dials(vec![
                ("upper".to_owned(), [6.0, 6.5]),
                ("lower".to_owned(), [2.5, 3.0]),
            ]),
            seen: Sight::Short,
        };
        assert_eq!(turn_words(&turn), "upper from 6 to 6.5 and lower from 2.5 to 3");
    }
}
