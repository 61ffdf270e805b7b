//! The best fit, and how wide the launcher's scatter and each unknown's prior must be for it.
//!
//! A dial may be straight or not, and a launcher throw as evenly as its file says or not; how much
//! so is learned with the rest, as the widths under which these balls are the least surprising. A
//! prior that stretches with what it holds is Student's t: small bends are taken for none, large
//! ones for what they are, and with few balls for either.
//!
//! # Source
//! Tipping & Lawrence 2005, "Variational inference for Student-t models": a prior's width by turns
//! with what it holds. `MacKay` 1992, "Bayesian Interpolation": the scatter from what the numbers
//! that the balls decide leave over.

use std::ops::Range;

use super::least_squares::{Least, Matrix, dot, inverse, log_determinant, minimise, normal};
use super::model::{ThrowModel, Widths};

/// Misfit that is good enough not to look for a dial that runs the other way.
pub(super) const GOOD: f64 = 2.5;
/// Rounds in which widths and the spread of a ball are computed anew from the fit.
const ROUNDS: usize = 8;
/// Elevation, topspin and speed each one way or the other.
const FLIPS: u32 = 8;
/// How much of the spin its range promises a search starts with.
const PARTS_OF_SPIN: [f64; 3] = [1.0, 0.6, 0.3];
/// How many sights the scatter on file counts as, and numbers a prior on file: little, both.
const SIGHTS_ON_FILE: f64 = 4.0;
const NUMBERS_ON_FILE: f64 = 1.0;
/// The width of a prior of what is taken for none.
const NONE: f64 = 1e-3;

/// A fit.
pub(super) struct BallFit {
    pub(super) least: Least,
    /// Of each ball, stretched by the scatter.
    pub(super) spreads: Vec<Matrix>,
    /// Of the unknowns, scaled.
    pub(super) covariance: Matrix,
    pub(super) widths: Widths,
}

impl BallFit {
    /// Sights, and how many of them the unknowns have used up.
    fn sights(&self) -> (usize, f64) {
        let sights = self.least.residuals.len() - self.least.at.len();
        let left = self.covariance.iter().zip(&self.widths.priors).enumerate();
        let used = left.map(|(at, (row, prior))| 1.0 - row[at] / (prior * prior));
        (sights, used.sum())
    }

    /// Degrees of freedom of a stated error.
    pub(super) fn freedom(&self) -> f64 {
        let (sights, used) = self.sights();
        SIGHTS_ON_FILE + (sights as f64 - used).max(0.0)
    }

    /// The widths that go with this fit.
    fn own_widths(&self, stretched: &[Range<usize>]) -> Widths {
        let (sights, _) = self.sights();
        let own = &self.least.residuals[..sights];
        let missed = self.widths.scatter * dot(own, own);
        let mut priors = self.widths.priors.clone();
        for unknowns in stretched {
            let held =
                unknowns.clone().map(|at| self.least.at[at].powi(2) + self.covariance[at][at]);
            let width =
                (NUMBERS_ON_FILE + held.sum::<f64>()) / (NUMBERS_ON_FILE + unknowns.len() as f64);
            priors[unknowns.clone()].fill(width.sqrt());
        }
        Widths { priors, scatter: (SIGHTS_ON_FILE + missed) / self.freedom() }
    }
}

/// The best fit. Weak spin on a rough table and strong spin on a smooth one look alike from afar,
/// so several spins are started from; dials that run the other way are tried when none of these
/// explains the balls.
pub(super) fn best(model: &ThrowModel<'_>) -> Option<BallFit> {
    let on_file = Widths { priors: vec![1.0; model.sd.len()], scatter: 1.0 };
    let mut found: Option<(Surprise, Vec<f64>)> = None;
    for flip in 0..FLIPS {
        for part_of_spin in PARTS_OF_SPIN {
            let start = model.start(flip, part_of_spin);
            let first = fitted(model, &start, &on_file, 8);
            let Some((least, _)) =
                first.and_then(|(least, _)| fitted(model, &least.at, &on_file, 8))
            else {
                continue;
            };
            let Some(surprise) = surprise(model, &least.at, &on_file) else { continue };
            if found.as_ref().is_none_or(|(fewest, _)| surprise.total < fewest.total) {
                found = Some((surprise, least.at));
            }
        }
        if found.as_ref().is_some_and(|(surprise, _)| surprise.misfit < GOOD) {
            break;
        }
    }
    settled(model, found?.1, on_file, &model.stretched)
}

/// The fit in which only these bends and moves are any.
pub(super) fn told(model: &ThrowModel<'_>, fit: &BallFit, any: &[Range<usize>]) -> Option<BallFit> {
    let mut widths = fit.widths.clone();
    for at in model.stretched.iter().cloned().flatten() {
        if !any.iter().any(|any| any.contains(&at)) {
            widths.priors[at] = NONE;
        }
    }
    settled(model, fit.least.at.clone(), widths, any)
}

/// The fit and its widths, by turns; only the priors of `stretched` change.
fn settled(
    model: &ThrowModel<'_>,
    mut at: Vec<f64>,
    mut widths: Widths,
    stretched: &[Range<usize>],
) -> Option<BallFit> {
    let mut last = None;
    for _ in 0..ROUNDS {
        let (least, spreads) = fitted(model, &at, &widths, 25)?;
        let covariance = inverse(&normal(&least.slopes))?;
        at.clone_from(&least.at);
        let fit = BallFit { least, spreads, covariance, widths };
        widths = fit.own_widths(stretched);
        last = Some(fit);
    }
    last
}

/// How surprising the balls are under some unknowns.
struct Surprise {
    /// -2 log likelihood, up to a constant. The spread of the balls depends on the unknowns, so
    /// its determinant counts: else much scatter would explain all.
    total: f64,
    misfit: f64,
}

fn surprise(model: &ThrowModel<'_>, scaled: &[f64], widths: &Widths) -> Option<Surprise> {
    let spreads = model.spreads(scaled, widths.scatter)?;
    let residuals = model.residuals(scaled, &spreads, &widths.priors)?;
    let cost = dot(&residuals, &residuals);
    let width: f64 = spreads.iter().map(log_determinant).sum();
    let rows = (residuals.len() - scaled.len()).max(1);
    Some(Surprise { total: cost + width, misfit: cost / rows as f64 })
}

/// The fit from one start in so many steps, with the spreads of the balls there.
fn fitted(
    model: &ThrowModel<'_>,
    at: &[f64],
    widths: &Widths,
    steps: usize,
) -> Option<(Least, Vec<Matrix>)> {
    let spreads = model.spreads(at, widths.scatter)?;
    let residuals = |scaled: &[f64]| model.residuals(scaled, &spreads, &widths.priors);
    let slopes = |scaled: &[f64]| model.slopes(scaled, &spreads, &widths.priors);
    let least = minimise(at, &residuals, &slopes, steps)?;
    Some((least, spreads))
}
