//! What the calendar's two ways of planning start from: the days, the events, and every pattern
//! with its weights and its memory, in plain numbers.

use super::door::{MemoryState, Moves, difficulty_after};

/// Levels of weight that are planned side by side.
pub(super) const LANES: usize = 8;
pub(super) type Lane = [f32; LANES];

/// What is to be planned: steps of `stride` days, the first one beginning today.
#[derive(Debug, Clone)]
pub(super) struct Board {
    /// Days in one step.
    pub(super) stride: u32,
    /// Answers each step holds if it is kept; 0 on a day off.
    pub(super) capacity: Vec<f64>,
    /// The chance that what is planned for a step is done on it; 1 today.
    pub(super) keeps: Vec<f64>,
    /// Days from today to each event, ascending; the last step begins before the last of them.
    pub(super) events: Vec<u32>,
    /// How much an untried pattern counts that is begun in a step, 0 to 1.
    pub(super) counts_new: Vec<f64>,
    /// What the first answer to an untried pattern, today, leads to.
    pub(super) first: Results,
}

/// One pattern as the plan sees it.
#[derive(Debug, Clone)]
pub(super) struct Seat {
    /// Its weight at each event.
    pub(super) weights: Vec<f64>,
    /// `None` while untried.
    pub(super) memory: Option<Held>,
}

/// A memory on the plan's own clock.
#[derive(Debug, Clone, Copy)]
pub(super) struct Held {
    /// Days.
    pub(super) stability: f64,
    pub(super) difficulty: f64,
    /// The day of the last answer; today is 0, and days gone by are negative.
    pub(super) last: f64,
}

/// What an answer leads to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Results {
    /// The chance that it is right.
    pub(super) chance: f64,
    pub(super) right: Held,
    /// After a wrong answer and its repair.
    pub(super) repaired: Held,
}

impl Held {
    pub(super) fn from_state(state: MemoryState, last: f64) -> Self {
        let (stability, difficulty) = state.into();
        Self { stability: f64::from(stability), difficulty: f64::from(difficulty), last }
    }
}

impl Board {
    /// The day on which a step begins; today is 0.
    pub(super) fn day(&self, step: usize) -> f64 {
        step as f64 * f64::from(self.stride)
    }

    /// How much an answer on `step` makes a pattern count.
    pub(super) fn counts(&self, is_new: bool, step: usize) -> f64 {
        if is_new { self.counts_new[step] } else { 1.0 }
    }

    /// What an answer on `day` leads to.
    pub(super) fn results(&self, memory: Option<Held>, day: f64) -> Results {
        let Some(held) = memory else {
            let Results { chance, right, repaired } = self.first;
            let (right, repaired) = (Held { last: day, ..right }, Held { last: day, ..repaired });
            return Results { chance, right, repaired };
        };
        let moved = Moves::from_state(held.stability, held.difficulty).at(day - held.last);
        let (right, repaired) = difficulty_after(held.difficulty);
        Results {
            chance: moved.recall,
            right: Held { stability: moved.right_days, difficulty: right, last: day },
            repaired: Held { stability: moved.repaired_days, difficulty: repaired, last: day },
        }
    }
}
