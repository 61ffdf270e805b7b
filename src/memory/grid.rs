//! The small grid of states on which the calendar values a pattern: log stability by difficulty,
//! and where an answer after each gap leads from each of its nodes.
//!
//! A value between nodes is interpolated, and a share of patterns is split over the nodes with the
//! same weights, so that what is counted as demand is exactly the slope of what is counted as
//! value. A right answer moves difficulty by about a hundredth, which the grid leaves out.

use super::door::{Moves, difficulty_after, narrow, recall_at};

/// Nodes of stability.
pub const STABILITIES: usize = 26;
/// Nodes of difficulty.
pub const DIFFICULTIES: [f32; 5] = [1.0, 4.0, 7.0, 8.5, 10.0];
/// All nodes.
pub const NODES: usize = STABILITIES * DIFFICULTIES.len();
/// The least and the most stability on the grid, days.
const LEAST_DAYS: f64 = 0.1;
const MOST_DAYS: f64 = 800.0;

/// A place between two neighbouring nodes of one axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Between {
    /// The lower node.
    pub low: usize,
    /// How far towards the next, 0 to 1.
    pub share: f32,
}

/// Where a stability (days) lies on its axis.
pub fn stability_place(days: f64) -> Between {
    let scale = (STABILITIES - 1) as f64 / (MOST_DAYS / LEAST_DAYS).ln();
    place(((days / LEAST_DAYS).ln() * scale).clamp(0.0, (STABILITIES - 1) as f64), STABILITIES)
}

/// The stability (days) of a node.
fn stability_days(node: usize) -> f64 {
    LEAST_DAYS * (MOST_DAYS / LEAST_DAYS).powf(node as f64 / (STABILITIES - 1) as f64)
}

/// Where a difficulty lies on its axis.
pub fn difficulty_place(difficulty: f64) -> Between {
    let mut low = 0;
    while low + 2 < DIFFICULTIES.len() && difficulty > f64::from(DIFFICULTIES[low + 1]) {
        low += 1;
    }
    let (from, to) = (f64::from(DIFFICULTIES[low]), f64::from(DIFFICULTIES[low + 1]));
    Between { low, share: narrow(((difficulty - from) / (to - from)).clamp(0.0, 1.0)) }
}

fn place(position: f64, nodes: usize) -> Between {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the axis by the caller"
    )]
    let low = (position as usize).min(nodes - 2);
    Between { low, share: narrow(position - low as f64) }
}

/// What an answer at one node after one gap leads to.
#[derive(Debug, Clone, Copy)]
pub struct Step {
    /// The chance that it is right.
    pub recall: f32,
    /// Stability after a right answer.
    pub right: Between,
    /// Stability after a wrong one and its repair.
    pub repaired: Between,
}

impl Step {
    /// From a state's moves after `gap` days.
    pub fn from_moves(moves: &Moves, gap: f64) -> Self {
        let reached = moves.at(gap);
        Self::to_days(reached.recall, reached.right_days, reached.repaired_days)
    }

    /// From the chance of a right answer and the stabilities, days, it and its repair lead to.
    pub fn to_days(chance: f64, right_days: f64, repaired_days: f64) -> Self {
        Self {
            recall: narrow(chance),
            right: stability_place(right_days),
            repaired: stability_place(repaired_days),
        }
    }
}

/// The transitions of every node for every gap that a plan can meet.
#[derive(Debug, Clone)]
pub struct Grid {
    /// By difficulty, then stability, then gap - 1.
    steps: Vec<Step>,
    gaps: usize,
    /// By gap - 1, then stability.
    recalls: Vec<f32>,
    /// By difficulty: where a wrong answer and its repair lead.
    harder: Vec<Between>,
    /// Days in one gap.
    stride: f64,
}

impl Grid {
    /// The grid for gaps of 1 to `gaps` times `stride` days.
    pub fn new(gaps: usize, stride: u32) -> Self {
        let stride = f64::from(stride);
        let moves: Vec<Moves> = DIFFICULTIES
            .iter()
            .flat_map(|&d| (0..STABILITIES).map(move |s| (stability_days(s), f64::from(d))))
            .map(|(s, d)| Moves::from_state(s, d))
            .collect();
        let days = (1..=gaps).map(|gap| gap as f64 * stride);
        Self {
            steps: moves
                .iter()
                .flat_map(|m| days.clone().map(move |gap| Step::from_moves(m, gap)))
                .collect(),
            gaps,
            recalls: days
                .flat_map(|gap| {
                    (0..STABILITIES).map(move |s| narrow(recall_at(stability_days(s), gap)))
                })
                .collect(),
            harder: DIFFICULTIES
                .iter()
                .map(|&d| difficulty_place(difficulty_after(f64::from(d)).1))
                .collect(),
            stride,
        }
    }

    /// A node's transitions after 1, 2, ... strides.
    pub fn steps(&self, node: usize) -> &[Step] {
        &self.steps[node * self.gaps..(node + 1) * self.gaps]
    }

    /// Recall at a stability node after so many days, interpolated nowhere: worked out.
    pub fn recall(&self, node: usize, days: f64) -> f32 {
        let gap = days / self.stride;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "only whole gaps inside the table are looked up"
        )]
        let known = (gap.fract() == 0.0 && gap >= 1.0)
            .then(|| self.recalls.get((gap as usize - 1) * STABILITIES + node))
            .flatten();
        known.copied().unwrap_or_else(|| narrow(recall_at(stability_days(node), days)))
    }

    /// Where a wrong answer and its repair lead from each difficulty node.
    pub fn harder(&self) -> &[Between] {
        &self.harder
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_and_its_share_give_the_value_back() {
        for days in [0.1, 0.25, 2.3065, 17.0, 799.0] {
            let at = stability_place(days);
            let (low, high) = (stability_days(at.low).ln(), stability_days(at.low + 1).ln());
            let back = (low + f64::from(at.share) * (high - low)).exp();
            assert!((back / days - 1.0).abs() < 1e-5, "{days} {back}");
        }
        for difficulty in [1.0, 2.118, 5.0, 8.9, 10.0] {
            let at = difficulty_place(difficulty);
            let (low, high) =
                (f64::from(DIFFICULTIES[at.low]), f64::from(DIFFICULTIES[at.low + 1]));
            assert!((low + f64::from(at.share) * (high - low) - difficulty).abs() < 1e-5);
        }
    }

    #[test]
    fn states_off_the_grid_sit_on_its_edge() {
        assert_eq!(stability_place(0.001), Between { low: 0, share: 0.0 });
        assert_eq!(stability_place(36_500.0), Between { low: STABILITIES - 2, share: 1.0 });
    }
}
