//! One pattern on the board of the priced plan: everything about it that no price changes.

use super::board::{Board, Results, Seat};
use super::door::{Moves, difficulty_after, narrow, recall_at};
use super::grid::{Between, Step, difficulty_place};

/// One pattern with everything that does not depend on prices.
pub(super) struct Placed {
    /// For each step: what an answer then does; `None` where it cannot be given.
    pub(super) steps: Vec<Option<Step>>,
    pub(super) right_difficulty: Between,
    pub(super) repaired_difficulty: Between,
    /// Value collected at events before each step, without an answer.
    pub(super) before: Vec<f64>,
    /// Value collected at all events without any answer.
    pub(super) never: f64,
    /// The lane of weight below its own, and how far towards the next.
    pub(super) level: usize,
    pub(super) share: f32,
}

impl Placed {
    /// One pattern's own transitions from where it really is. `levels` are the weights of its
    /// ladder, whose first lane is `first`.
    pub(super) fn new(
        board: &Board,
        seat: &Seat,
        weight: f64,
        levels: &[f64],
        first: usize,
    ) -> Self {
        let mut level = 0;
        while level + 2 < levels.len() && weight > levels[level + 1] {
            level += 1;
        }
        let width = levels[level + 1] - levels[level];
        let share =
            if width > 0.0 { ((weight - levels[level]) / width).clamp(0.0, 1.0) } else { 0.0 };
        let (level, share) = (level + first, narrow(share));
        let steps = 0..board.capacity.len();
        let Some(held) = seat.memory else {
            let Results { chance, right, repaired } = board.first;
            let step = Step::to_days(chance, right.stability, repaired.stability);
            let is_open = |t: usize| board.capacity[t] > 0.0 && board.open_for_new[t];
            return Self {
                steps: steps.clone().map(|t| is_open(t).then_some(step)).collect(),
                right_difficulty: difficulty_place(right.difficulty),
                repaired_difficulty: difficulty_place(repaired.difficulty),
                before: vec![0.0; steps.len()],
                never: 0.0,
                level,
                share,
            };
        };
        let moves = Moves::from_state(held.stability, held.difficulty);
        let (right, repaired) = difficulty_after(held.difficulty);
        let gap = |t: usize| board.day(t) - held.last;
        let is_open = |t: usize| board.capacity[t] > 0.0 && gap(t) >= 1.0;
        let at_events = |until: f64| -> f64 {
            board
                .events
                .iter()
                .zip(&seat.weights)
                .map(|(event, weight)| (f64::from(*event), weight))
                .filter(|(event, _)| *event <= until)
                .map(|(event, weight)| weight * recall_at(held.stability, event - held.last))
                .sum()
        };
        Self {
            steps: steps
                .clone()
                .map(|t| is_open(t).then(|| Step::from_moves(&moves, gap(t))))
                .collect(),
            right_difficulty: difficulty_place(right),
            repaired_difficulty: difficulty_place(repaired),
            before: steps.map(|t| at_events(board.day(t))).collect(),
            never: at_events(f64::INFINITY),
            level,
            share,
        }
    }
}
