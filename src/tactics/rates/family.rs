//! The mean of a receive family: where a receive with few points starts from.
//!
//! Beta-binomial cells share a mean `m` and a strength `kappa`; both are integrated over a grid, never
//! estimated and plugged in. The tool holds kappa at one value; the wider grid is kept so that the
//! check can show why (five cells hardly move it).

use statrs::function::beta::ln_beta;

use super::beta::Belief;
use super::tally::Tally;
use crate::tactics::fault::{TacticsError, within};

/// What the cells of a family say together.
#[derive(Clone, Debug, PartialEq)]
pub struct FamilyMean {
    /// Posterior mean of the family's mean.
    pub mean: f64,
    /// Posterior mean of the strength.
    pub strength: f64,
    /// Posterior weight of each strength on the grid.
    pub strength_weights: Vec<f64>,
    /// Posterior mean of each cell's rate, in the order given.
    pub cells: Vec<f64>,
}

impl FamilyMean {
    /// Integrates over m = 0.01 .. 0.99 with the given prior and over the given strengths, equally likely.
    ///
    /// # Errors
    /// No strengths, or one outside 0.1 to 100 000.
    pub fn from_cells(
        cells: &[Tally],
        prior: Belief,
        strengths: &[f64],
    ) -> Result<Self, TacticsError> {
        if strengths.is_empty() {
            return Err(TacticsError::Length { what: "strengths", wanted: 1, given: 0 });
        }
        let mut grid = Vec::with_capacity(99 * strengths.len());
        for (which, &strength) in strengths.iter().enumerate() {
            within("strength", strength, 0.1, 1e5)?;
            for percent in 1..100 {
                let mean = f64::from(percent) / 100.0;
                let likelihood: f64 = cells
                    .iter()
                    .map(|cell| log_marginal(*cell, mean * strength, (1.0 - mean) * strength))
                    .sum();
                grid.push((which, strength, mean, prior.weight(mean).ln() + likelihood));
            }
        }
        let most = grid.iter().map(|row| row.3).fold(f64::NEG_INFINITY, f64::max);
        let total: f64 = grid.iter().map(|row| (row.3 - most).exp()).sum();
        let mut found = Self {
            mean: 0.0,
            strength: 0.0,
            strength_weights: vec![0.0; strengths.len()],
            cells: vec![0.0; cells.len()],
        };
        for (which, strength, mean, log) in grid {
            let weight = (log - most).exp() / total;
            found.mean += weight * mean;
            found.strength += weight * strength;
            found.strength_weights[which] += weight;
            for (rate, cell) in found.cells.iter_mut().zip(cells) {
                *rate += weight * (mean * strength + cell.won) / (strength + cell.played);
            }
        }
        Ok(found)
    }
}

/// `ln B(a + x, b + n - x) - ln B(a, b)`: the beta-binomial likelihood without its coefficient.
pub fn log_marginal(cell: Tally, a: f64, b: f64) -> f64 {
    ln_beta(a + cell.won, b + cell.lost().max(0.0)) - ln_beta(a, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_points_a_family_stays_at_its_prior() {
        let prior = Belief::new(9.6, 10.4).unwrap();
        let family = FamilyMean::from_cells(&[], prior, &[8.0]).unwrap();
        assert!((family.mean - 0.48).abs() < 1e-6);
    }

    #[test]
    fn a_cell_lies_between_its_own_rate_and_the_family() {
        let cell = Tally { won: 9.0, played: 10.0 };
        let rest = Tally { won: 8.0, played: 20.0 };
        let prior = Belief::new(2.0, 2.0).unwrap();
        let family = FamilyMean::from_cells(&[cell, rest], prior, &[8.0]).unwrap();
        assert!(family.cells[0] > family.mean && family.cells[0] < 0.9);
        assert!(family.cells[1] < family.mean && family.cells[1] > 0.4);
    }
}
