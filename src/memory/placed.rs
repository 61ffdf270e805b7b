//! One pattern on the board of the priced plan: everything about it that no price changes.

use super::door::{Moves, State, difficulty_after, recall_at};
use super::grid::{Between, Step, difficulty_place, narrow, stability_place};
use super::priced::Board;

/// One pattern as the priced plan sees it.
#[derive(Debug, Clone)]
pub struct Seat {
    /// Its weight at each event.
    pub weights: Vec<f64>,
    /// Its state and how many days ago (0 today) it was last answered.
    pub memory: Option<(State, u32)>,
}

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
    pub(super) level: usize,
    pub(super) share: f32,
}

/// One pattern's own transitions from where it really is.
pub(super) fn place(
    board: &Board,
    seat: &Seat,
    weight: f64,
    levels: &[f64],
    first: usize,
) -> Placed {
    let steps = board.capacity.len();
    let mut level = 0;
    while level + 2 < levels.len() && weight > levels[level + 1] {
        level += 1;
    }
    let width = levels[level + 1] - levels[level];
    let share = if width > 0.0 { ((weight - levels[level]) / width).clamp(0.0, 1.0) } else { 0.0 };
    let day = |step: usize| step as f64 * f64::from(board.stride);
    let at_events = |until: f64, recall: &dyn Fn(f64) -> f64| -> f64 {
        board
            .events
            .iter()
            .zip(&seat.weights)
            .filter(|(event, _)| f64::from(**event) <= until)
            .map(|(event, weight)| weight * recall(f64::from(*event)))
            .sum()
    };
    let share = narrow(share);
    let level = level + first;
    match seat.memory {
        None => {
            let (right, repaired) = board.first_states;
            let step = Step {
                recall: narrow(board.first_right),
                right: stability_place(f64::from(right.stability_days())),
                repaired: stability_place(f64::from(repaired.stability_days())),
            };
            Placed {
                steps: (0..steps)
                    .map(|t| (board.capacity[t] > 0.0 && board.open_for_new[t]).then_some(step))
                    .collect(),
                right_difficulty: difficulty_place(f64::from(right.difficulty())),
                repaired_difficulty: difficulty_place(f64::from(repaired.difficulty())),
                before: vec![0.0; steps],
                never: 0.0,
                level,
                share,
            }
        }
        Some((state, ago)) => {
            let (s, d) = (f64::from(state.stability_days()), f64::from(state.difficulty()));
            let moves = Moves::of(s, d);
            let (right, repaired) = difficulty_after(d);
            let ago = f64::from(ago);
            let recall = |on: f64| recall_at(s, on + ago);
            Placed {
                steps: (0..steps)
                    .map(|t| {
                        let gap = day(t) + ago;
                        (board.capacity[t] > 0.0 && gap >= 1.0)
                            .then(|| Step::from_moves(&moves, gap))
                    })
                    .collect(),
                right_difficulty: difficulty_place(right),
                repaired_difficulty: difficulty_place(repaired),
                before: (0..steps).map(|t| at_events(day(t), &recall)).collect(),
                never: at_events(f64::INFINITY, &recall),
                level,
                share,
            }
        }
    }
}
