//! One answer as the machine took it, and how it was wrong when it was.

use super::script::RoundPart;
use crate::base::words;
use crate::memory::{Grade, Outcome};

words! {
    /// What was given.
    pub enum Gave : "answer" {
        /// The right receive.
        Right = "right" "right",
        /// The receive that was right before the call.
        OldAnswer = "old_answer" "old answer",
        /// The receive of the switched serve, on a serve that was kept.
        Spill = "spill" "spill",
        /// Some other receive.
        Other = "other" "another receive",
        /// None within twice the window.
        Nothing = "nothing" "no answer",
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Taken {
    pub serve: usize,
    /// The part of the round.
    pub part: RoundPart,
    pub gave: Gave,
    /// The choice of the palette that was given, when it is one.
    pub given: Option<usize>,
    /// The stroke and the cell it was put together from, where they are asked one after the other.
    pub built: Option<(usize, usize)>,
    /// From contact (or from showing) to the answer, milliseconds.
    pub ms: u32,
    /// The window, milliseconds; 0 when untimed.
    pub window_ms: u32,
    pub outcome: Outcome,
    /// In a reading round: whether the serve was recognised.
    pub is_recognised: Option<bool>,
}

impl Taken {
    /// The grade, unless it was a let.
    pub const fn grade(&self) -> Option<Grade> {
        self.outcome.grade()
    }

    /// True for an answer that was no let.
    pub const fn counts(&self) -> bool {
        matches!(self.outcome, Outcome::Graded(_))
    }

    /// True when it was right, and not so late that it is as good as no answer.
    pub fn is_recalled(&self) -> bool {
        self.gave == Gave::Right && self.grade().is_some_and(Grade::is_recalled)
    }

    /// True when it was right and within the window.
    pub fn is_clean(&self) -> bool {
        self.grade().is_some_and(Grade::is_within_window)
    }
}
