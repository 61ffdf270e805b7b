//! What is asked of the calendar: today, the events with what each pattern is worth there, and what
//! every day holds.

use super::daily::{Habits, Pick};

/// One event: its day, and what recalling each pattern there is worth, in the order of the items:
/// how often the serve comes x what the receive is worth x how sure the serve is x how likely this
/// opponent is there x how much the event matters.
#[derive(Debug, Clone, PartialEq)]
pub struct EventWeights {
    /// The day of the first match.
    pub day: i32,
    pub weights: Vec<f64>,
}

/// What one day holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Budget {
    /// So many counted answers; repairs come on top.
    Answers(u32),
    /// So much time.
    Minutes {
        /// Minutes.
        minutes: f64,
        /// Seconds that an answer takes, from cue to the end of feedback.
        seconds_an_answer: f64,
        /// Seconds that the repair of a wrong answer takes on top.
        seconds_a_repair: f64,
    },
}

/// The share of wrong answers assumed when minutes of days ahead are turned into answers.
const WRONG_SHARE: f64 = 0.15;

impl Budget {
    /// A day off.
    pub const OFF: Self = Self::Answers(0);

    /// About how many answers it holds.
    pub fn answers(self) -> f64 {
        match self {
            Self::Answers(n) => f64::from(n),
            Self::Minutes { minutes, seconds_an_answer, seconds_a_repair } => {
                minutes * 60.0 / (seconds_an_answer + WRONG_SHARE * seconds_a_repair)
            }
        }
    }

    /// Whether its numbers are those of a day.
    fn is_sound(self) -> bool {
        match self {
            Self::Answers(_) => true,
            Self::Minutes { minutes, seconds_an_answer, seconds_a_repair } => {
                (0.0..=1440.0).contains(&minutes)
                    && (0.5..=600.0).contains(&seconds_an_answer)
                    && (0.0..=600.0).contains(&seconds_a_repair)
            }
        }
    }

    /// The picks that fit into this day, from the first of `ranked` on.
    pub(super) fn filled_from(self, ranked: impl IntoIterator<Item = Pick>) -> Vec<Pick> {
        let mut chosen = Vec::new();
        let mut left = match self {
            Self::Answers(answers) => f64::from(answers),
            Self::Minutes { minutes, .. } => minutes * 60.0,
        };
        let mut ranked = ranked.into_iter();
        while left > 0.0 {
            let Some(pick) = ranked.next() else { break };
            left -= match self {
                Self::Answers(_) => 1.0,
                Self::Minutes { seconds_an_answer, seconds_a_repair, .. } => {
                    seconds_an_answer + (1.0 - pick.recall_now) * seconds_a_repair
                }
            };
            if left >= 0.0 {
                chosen.push(pick);
            }
        }
        chosen
    }
}

/// What is asked of the calendar.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// The player's day today.
    pub today: i32,
    /// The events to come, in any order; those that are not after today are left out.
    pub events: Vec<EventWeights>,
    /// What today and each following day hold; the last entry stands for all later days.
    pub budgets: Vec<Budget>,
    /// What is known of first answers and of fairness.
    pub habits: Habits,
}

impl Task {
    /// Whether there are as many weights as patterns, each from 0 to a million, and days hold what
    /// days can hold.
    pub(super) fn is_sound(&self, patterns: usize) -> bool {
        let is_sound = |event: &EventWeights| {
            event.weights.len() == patterns
                && event.weights.iter().all(|weight| (0.0..=1e6).contains(weight))
        };
        self.events.iter().all(is_sound) && self.budgets.iter().all(|day| day.is_sound())
    }

    /// What `ahead` days from today hold.
    pub(super) fn budget(&self, ahead: u32) -> Budget {
        self.budgets.get(ahead as usize).or(self.budgets.last()).copied().unwrap_or(Budget::OFF)
    }
}
