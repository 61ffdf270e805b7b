//! What is asked of the calendar: today, the events with what each pattern is worth there, and what
//! every day holds.

use super::daily::{Habits, Pick};
use super::door::{MemoryError, within};
use super::forecast::Item;

/// One event: its day, and what recalling each pattern there is worth, in the order of the items:
/// how often the serve comes x what the receive is worth x how sure the serve is x how likely this
/// opponent is there x how much the event matters.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// The day of the first match.
    pub day: i32,
    /// A weight for each item.
    pub weights: Vec<f64>,
}

impl Event {
    /// An event at which each item counts with its own weight.
    pub fn on(day: i32, items: &[Item]) -> Self {
        Self { day, weights: items.iter().map(|i| i.weight).collect() }
    }
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

    pub(super) fn check(self) -> Result<(), MemoryError> {
        if let Self::Minutes { minutes, seconds_an_answer, seconds_a_repair } = self {
            within("minutes a day", minutes, " min", (0.0, 1440.0))?;
            within("seconds an answer", seconds_an_answer, " s", (0.5, 600.0))?;
            within("seconds a repair", seconds_a_repair, " s", (0.0, 600.0))?;
        }
        Ok(())
    }

    /// The picks that fit into this day, from the first of `ranked` on.
    pub(super) fn filled_from<E>(
        self,
        ranked: impl IntoIterator<Item = Result<Pick, E>>,
    ) -> Result<Vec<Pick>, E> {
        let mut chosen = Vec::new();
        let mut left = match self {
            Self::Answers(answers) => f64::from(answers),
            Self::Minutes { minutes, .. } => minutes * 60.0,
        };
        let mut ranked = ranked.into_iter();
        while left > 0.0 {
            let Some(pick) = ranked.next().transpose()? else { break };
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
        Ok(chosen)
    }
}

/// What is asked of the calendar.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// The player's day today.
    pub today: i32,
    /// The events to come, in any order; those that are not after today are left out.
    pub events: Vec<Event>,
    /// What today and each following day hold; the last entry stands for all later days.
    pub budgets: Vec<Budget>,
    /// What is known of first answers and of fairness.
    pub habits: Habits,
}

impl Task {
    /// What `ahead` days from today hold.
    pub(super) fn budget(&self, ahead: u32) -> Budget {
        self.budgets.get(ahead as usize).or(self.budgets.last()).copied().unwrap_or(Budget::OFF)
    }
}
