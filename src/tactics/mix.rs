//! A mix that can be played: small ratios, their cost, and an order handed out in advance.
//!
//! People who are told "three in ten" alternate too much. So shares are rounded to ratios of at
//! most five in all (1:3), the loss of rounding is shown, and the order comes shuffled from seeded
//! dice.

use crate::tactics::matrix::Matrix;

/// Greatest total of a ratio that can be kept in the head between points.
pub const MOST_TOTAL: u32 = 5;

/// A ratio of receives with what it guarantees.
#[derive(Clone, Debug, PartialEq)]
pub struct Ratio {
    /// Parts per receive, in the order of the matrix rows; zero for a receive not used.
    pub parts: Vec<u32>,
    /// Chance of the point against the worst anticipation.
    pub guarantee: f64,
    /// What the exact mix would guarantee beyond that.
    pub cost: f64,
}

impl Ratio {
    /// The best ratio of at most `most_total` parts; of equals the shorter one.
    ///
    /// Only receives in `allowed` are tried (all when empty), so the search stays small.
    pub fn best(game: &Matrix, value: f64, allowed: &[usize], most_total: u32) -> Self {
        let rows: Vec<usize> =
            if allowed.is_empty() { (0..game.rows()).collect() } else { allowed.to_vec() };
        let mut best =
            Self { parts: vec![0; game.rows()], guarantee: f64::NEG_INFINITY, cost: 0.0 };
        for total in 1..=most_total.max(1) {
            let mut parts = vec![0; game.rows()];
            fill(game, &rows, total, total, &mut parts, &mut best);
        }
        best.cost = (value - best.guarantee).max(0.0);
        best
    }

    /// Sum of the parts.
    pub fn total(&self) -> u32 {
        self.parts.iter().sum()
    }

    /// An order of `length` balls: whole cycles of the ratio, each shuffled, so that every stretch
    /// keeps it.
    ///
    /// `below(n)` gives a number under n; two cycles are shuffled together so that the last ball
    /// of one is
    /// no give-away.
    pub fn order(&self, length: usize, mut below: impl FnMut(usize) -> usize) -> Vec<usize> {
        let mut order = Vec::with_capacity(length);
        if self.total() == 0 {
            return order;
        }
        while order.len() < length {
            let mut cycle = Vec::new();
            for _ in 0..2 {
                for (receive, part) in self.parts.iter().enumerate() {
                    cycle.extend(std::iter::repeat_n(receive, *part as usize));
                }
            }
            for last in (1..cycle.len()).rev() {
                cycle.swap(last, below(last + 1));
            }
            order.extend(cycle);
        }
        order.truncate(length);
        order
    }
}

/// Tries every way to spend `left` parts on the remaining rows.
fn fill(game: &Matrix, rows: &[usize], total: u32, left: u32, parts: &mut [u32], best: &mut Ratio) {
    let Some((row, rest)) = rows.split_first() else { return };
    if rest.is_empty() {
        parts[*row] = left;
        let mix: Vec<f64> = parts.iter().map(|part| f64::from(*part) / f64::from(total)).collect();
        let guarantee = game.guarantee(&mix);
        // A longer ratio has to be better by more than rounding.
        if guarantee > best.guarantee + 1e-12 {
            best.guarantee = guarantee;
            best.parts = parts.to_vec();
        }
        parts[*row] = 0;
        return;
    }
    for part in (0..=left).rev() {
        parts[*row] = part;
        fill(game, rest, total, left - part, parts, best);
    }
    parts[*row] = 0;
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ratio() -> Ratio {
        Ratio { parts: vec![1, 0, 3], guarantee: 0.4, cost: 0.0 }
    }

    #[test]
    fn an_order_keeps_the_ratio_over_whole_cycles_and_repeats_with_its_seed() {
        let dice = |seed: u64| {
            let mut state = seed;
            move |n: usize| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                usize::try_from(state >> 33).unwrap() % n
            }
        };
        let order = ratio().order(16, dice(7));
        assert_eq!(order, ratio().order(16, dice(7)));
        assert_ne!(order, ratio().order(16, dice(8)));
        assert_eq!(order.iter().filter(|r| **r == 0).count(), 4);
        assert!(order.iter().all(|r| *r != 1));
    }

    #[test]
    fn a_saddle_point_stays_pure() {
        let game = Matrix::from_fn(2, 2, |i, j| [[0.5, 0.6], [0.3, 0.4]][i][j]);
        let best = Ratio::best(&game, 0.5, &[], MOST_TOTAL);
        assert_eq!(best.parts, vec![1, 0]);
        assert_eq!(best.cost, 0.0);
    }
}
