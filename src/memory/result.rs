//! From behaviour to a result: which key, how fast, in which window. Nobody rates themselves.
//!
//! Window `W` and time `t`: raw time under 150 ms, a key before contact or an interruption is a
//! let; wrong key, old answer or `t > 2 W` is wrong; right with `W < t <= 2 W` late; right within
//! `W` in time; right within `0.6 W`, after at least three counted days and with no old answer
//! among the last five, to spare. Never to spare on a first answer. Whether an answer counts for
//! memory at all is decided in [`super::counted`].

use serde::{Deserialize, Serialize};

use crate::journal::How;

/// Raw times below this are no answers: nobody has seen a serve that fast. Milliseconds.
pub const LEAST_RAW_MS: i32 = 150;
/// Within this share of the window an answer had time to spare.
pub const SPARE_SHARE: f64 = 0.6;
/// An answer later than this many windows is as good as wrong.
pub const WRONG_AFTER_WINDOWS: f64 = 2.0;
/// Counted days a pattern needs behind it before an answer can be to spare.
pub const SPARE_AFTER_DAYS: u32 = 3;
/// How many answers back an old answer still forbids to spare.
pub const OLD_ANSWER_REACH: u32 = 5;

/// The grade an answer earns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// Wrong key, the old answer, or far too late.
    Wrong,
    /// Right, but after the window had closed.
    Late,
    /// Right within the window.
    InTime,
    /// Right, early, and known for days.
    ToSpare,
}

impl Grade {
    pub const ALL: [Self; 4] = [Self::Wrong, Self::Late, Self::InTime, Self::ToSpare];

    /// 1 to 4, as the memory model counts.
    pub const fn number(self) -> u32 {
        match self {
            Self::Wrong => 1,
            Self::Late => 2,
            Self::InTime => 3,
            Self::ToSpare => 4,
        }
    }

    /// Whether the answer was recalled, in whatever time.
    pub const fn is_recalled(self) -> bool {
        !matches!(self, Self::Wrong)
    }

    /// Whether it was recalled within the window.
    pub const fn is_within_window(self) -> bool {
        matches!(self, Self::InTime | Self::ToSpare)
    }

    pub const fn word(self) -> &'static str {
        match self {
            Self::Wrong => "wrong",
            Self::Late => "late",
            Self::InTime => "in time",
            Self::ToSpare => "to spare",
        }
    }
}

/// What one cue came to: a let, which is played again, or a grade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Outcome {
    /// Too early or interrupted: played again, never recorded against memory.
    Let,
    Graded(Grade),
}

impl Outcome {
    pub const fn grade(self) -> Option<Grade> {
        match self {
            Self::Let => None,
            Self::Graded(grade) => Some(grade),
        }
    }
}

/// Which answer was given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Given {
    /// The receive that was asked for.
    Right,
    /// Another one, or none.
    Wrong,
    /// In a switch round: the receive that was right before.
    OldAnswer,
    /// In shadow: the player's own key for "right, but late".
    RightButLate,
}

/// What the player did at one cue. The window is the one that applied: for snap this serve's, for
/// shadow the shadow window; it already includes the player's own key time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Behaviour {
    pub given: Given,
    /// From contact to the key, milliseconds; negative before contact.
    pub raw_ms: i32,
    /// The window, milliseconds; not used by what has no clock.
    pub window_ms: u32,
    /// How it was asked: snap and shadow against their window, the others without a clock and never
    /// better than in time.
    pub kind: How,
    /// Whether the cue was broken off.
    pub interrupted: bool,
}

/// What the pattern has behind it when the answer is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Behind {
    /// Earlier days with a counted answer.
    pub counted_days: u32,
    /// Whether one of its last [`OLD_ANSWER_REACH`] answers was an old answer.
    pub recent_old_answer: bool,
}

impl Behaviour {
    pub fn outcome(&self, behind: Behind) -> Outcome {
        if self.interrupted || self.raw_ms < LEAST_RAW_MS {
            return Outcome::Let;
        }
        Outcome::Graded(match self.given {
            Given::Wrong | Given::OldAnswer => Grade::Wrong,
            Given::RightButLate => self.by_time(behind).min(Grade::Late),
            Given::Right => self.by_time(behind),
        })
    }

    /// The grade of a right answer by its time alone.
    fn by_time(&self, behind: Behind) -> Grade {
        let time = f64::from(self.raw_ms);
        let window = f64::from(self.window_ms);
        if matches!(self.kind, How::Think | How::Read | How::Film) {
            Grade::InTime
        } else if time > WRONG_AFTER_WINDOWS * window {
            Grade::Wrong
        } else if time > window {
            Grade::Late
        } else if time <= SPARE_SHARE * window
            && behind.counted_days >= SPARE_AFTER_DAYS
            && !behind.recent_old_answer
        {
            Grade::ToSpare
        } else {
            Grade::InTime
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn snap(given: Given, raw_ms: i32) -> Behaviour {
        Behaviour { given, raw_ms, window_ms: 1000, kind: How::Snap, interrupted: false }
    }

    const KNOWN: Behind = Behind { counted_days: 3, recent_old_answer: false };

    #[test]
    fn a_right_answer_falls_through_the_windows_in_order() {
        let grade = |ms| snap(Given::Right, ms).outcome(KNOWN).grade();
        assert_eq!(grade(149), None);
        assert_eq!(grade(150), Some(Grade::ToSpare));
        assert_eq!(grade(600), Some(Grade::ToSpare));
        assert_eq!(grade(601), Some(Grade::InTime));
        assert_eq!(grade(1000), Some(Grade::InTime));
        assert_eq!(grade(1001), Some(Grade::Late));
        assert_eq!(grade(2000), Some(Grade::Late));
        assert_eq!(grade(2001), Some(Grade::Wrong));
    }

    #[test]
    fn a_late_answer_is_never_to_spare() {
        for ms in 1001..=2000 {
            assert_eq!(snap(Given::Right, ms).outcome(KNOWN), Outcome::Graded(Grade::Late));
        }
    }

    #[test]
    fn wrong_keys_and_old_answers_are_wrong_however_fast() {
        for given in [Given::Wrong, Given::OldAnswer] {
            assert_eq!(snap(given, 300).outcome(KNOWN), Outcome::Graded(Grade::Wrong));
        }
    }

    #[test]
    fn a_guess_before_contact_and_an_interruption_are_lets() {
        assert_eq!(snap(Given::Right, -40).outcome(KNOWN), Outcome::Let);
        assert_eq!(snap(Given::Wrong, 20).outcome(KNOWN), Outcome::Let);
        let broken = Behaviour { interrupted: true, ..snap(Given::Right, 500) };
        assert_eq!(broken.outcome(KNOWN), Outcome::Let);
    }

    #[test]
    fn to_spare_needs_three_counted_days_and_no_old_answer_among_the_last_five() {
        let fast = snap(Given::Right, 300);
        for days in 0..3 {
            let behind = Behind { counted_days: days, recent_old_answer: false };
            assert_eq!(fast.outcome(behind), Outcome::Graded(Grade::InTime), "{days} days");
        }
        let slipped = Behind { counted_days: 9, recent_old_answer: true };
        assert_eq!(fast.outcome(slipped), Outcome::Graded(Grade::InTime));
    }

    #[test]
    fn thinking_counts_in_time_at_most_and_has_no_clock() {
        for ms in [200, 900, 60_000] {
            let think = Behaviour { kind: How::Think, ..snap(Given::Right, ms) };
            assert_eq!(think.outcome(KNOWN), Outcome::Graded(Grade::InTime));
        }
    }

    #[test]
    fn shadow_is_judged_by_its_own_window_and_by_the_players_own_late() {
        let shadow = |given, raw_ms| Behaviour {
            given,
            raw_ms,
            window_ms: 2500,
            kind: How::Shadow,
            interrupted: false,
        };
        assert_eq!(shadow(Given::Right, 2400).outcome(KNOWN), Outcome::Graded(Grade::InTime));
        assert_eq!(shadow(Given::RightButLate, 700).outcome(KNOWN), Outcome::Graded(Grade::Late));
        assert_eq!(shadow(Given::RightButLate, 5001).outcome(KNOWN), Outcome::Graded(Grade::Wrong));
    }
}
