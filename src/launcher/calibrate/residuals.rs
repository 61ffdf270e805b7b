//! Each thrown ball against the fit: how far off it is, and how far it would be without itself.

use serde::Serialize;

use super::fitting::BallFit;
use super::least_squares::{Matrix, dot, inverse};
use super::model::ThrowModel;

/// Misfit per ball, in squared standard deviations, above which the balls contradict each other.
const CONTRADICTION: f64 = 9.0;

/// Why nothing is learned from these balls.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CalibrationError {
    /// Too few.
    #[error("{have} cannot teach {unknowns} numbers: at least {need} are needed")]
    TooFew {
        /// How many there are, in words.
        have: String,
        /// How many numbers are looked for.
        unknowns: usize,
        /// How many it takes.
        need: usize,
    },
    /// No physics explains them together.
    #[error(
        "the balls contradict each other: even the best fit misses line {worst} by {off_cm:.0} cm, \
         {times:.0} times what this launcher's scatter explains"
    )]
    Contradiction {
        /// The line of the worst.
        worst: usize,
        /// Its miss at the landing, centimetres.
        off_cm: f64,
        /// The same in standard deviations of the scatter.
        times: f64,
    },
    /// A person, or a launcher without dials.
    #[error("{0} has no dials to calibrate")]
    NoDials(String),
    /// The flight gave no numbers anywhere near.
    #[error("no constants and dials explain these balls at all")]
    Nothing,
}

/// A ball against the fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Residual {
    /// Its line in the file.
    pub line: usize,
    /// Seen minus computed landing, metres: along and across.
    pub landing_m: [f64; 2],
    /// Seen minus computed next bounce, metres.
    pub next_m: Option<f64>,
    /// The landing's distance when the ball is left out of the fit, metres.
    pub left_out_m: f64,
    /// What the fit misses of it, in standard deviations of the launcher's scatter.
    #[serde(skip)]
    pub times: f64,
}

/// Each ball against the fit, and against the fit without it.
///
/// # Source
/// Leaving one out of a least-squares fit without fitting again: r / (1 - h), here in blocks, with
/// the hat matrix H = J (J^T J)^-1 J^T (Cook & Weisberg 1982, "Residuals and Influence in
/// Regression", 2.2).
pub(super) fn residuals(
    model: &ThrowModel<'_>,
    fit: &BallFit,
) -> Result<Vec<Residual>, CalibrationError> {
    let BallFit { least, spreads, covariance, widths } = fit;
    let mut row = 0;
    let mut all = Vec::new();
    for (ball, spread) in model.balls.iter().zip(spreads) {
        let seen = ball.seen();
        let rows = row..row + seen.len();
        row = rows.end;
        let (slopes, own) = (&least.slopes[rows.clone()], &least.residuals[rows]);
        let hat = |i: usize, j: usize| -> f64 {
            covariance.iter().zip(&slopes[i]).map(|(row, slope)| slope * dot(row, &slopes[j])).sum()
        };
        let rest = |i: usize, j: usize| match f64::from(u8::from(i == j)) - hat(i, j) {
            // A ball that alone decides something has nothing left to be checked by.
            rest if i == j => rest.max(1e-3),
            rest => rest,
        };
        let places = 0..seen.len();
        let rest: Matrix =
            places.clone().map(|i| places.clone().map(|j| rest(i, j)).collect()).collect();
        let left_out: Vec<f64> = match inverse(&rest) {
            Some(inverse) => inverse.iter().map(|row| dot(row, own)).collect(),
            None => own.to_vec(),
        };
        let at = |which: usize| seen.iter().position(|&(seen, _)| seen == which);
        let misses = model.misses(&least.at, ball).ok_or(CalibrationError::Nothing)?;
        let miss = |which: usize| at(which).map(|at| -misses[at]);
        // Back to metres: the miss is L times its whitened form.
        let left = |which: usize| at(which).map_or(0.0, |at| dot(&spread[at], &left_out));
        all.push(Residual {
            line: ball.line,
            landing_m: [miss(1).unwrap_or_default(), miss(2).unwrap_or_default()],
            next_m: miss(3),
            left_out_m: left(1).hypot(left(2)),
            times: (widths.scatter * dot(own, own) / seen.len() as f64).sqrt(),
        });
    }
    Ok(all)
}

/// Balls that no fit brings together.
pub(super) fn contradiction(residuals: &[Residual], misfit: f64) -> Result<(), CalibrationError> {
    let worst = residuals.iter().max_by(|a, b| a.times.total_cmp(&b.times));
    let Some(worst) = worst.filter(|_| misfit > CONTRADICTION) else { return Ok(()) };
    let off = worst.landing_m[0].hypot(worst.landing_m[1]);
    let off_cm = off.max(worst.next_m.map_or(0.0, f64::abs)) * 100.0;
    Err(CalibrationError::Contradiction { worst: worst.line, off_cm, times: worst.times })
}
