//! Each thrown ball against the fit: how far off it is, and how far it would be without itself.

use serde::Serialize;

use super::least_squares::{Least, Matrix, inverse};
use super::model::{SeenBall, ThrowModel};

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
}

/// Each ball against the fit, and against the fit without it.
///
/// # Source
/// Leaving one out of a least-squares fit without fitting again: r / (1 - h), here in blocks, with
/// the hat matrix H = J (J^T J)^-1 J^T (Cook & Weisberg 1982, "Residuals and Influence in
/// Regression", 2.2).
pub(super) fn residuals(
    model: &ThrowModel,
    least: &Least,
    covariance: &Matrix,
    spreads: &[Matrix],
    balls: &[SeenBall],
) -> Result<Vec<Residual>, CalibrationError> {
    let unknowns = model.unscaled(&least.at);
    let mut row = 0;
    let mut all = Vec::new();
    for (ball, spread) in balls.iter().zip(spreads) {
        let seen = ball.seen();
        let size = seen.len();
        let slopes = &least.slopes[row..row + size];
        let mut rest = vec![vec![0.0; size]; size];
        for i in 0..size {
            for j in 0..size {
                let mut hat = 0.0;
                for (k, row) in covariance.iter().enumerate() {
                    let across: f64 = row.iter().zip(&slopes[j]).map(|(c, s)| c * s).sum();
                    hat += slopes[i][k] * across;
                }
                rest[i][j] = f64::from(u8::from(i == j)) - hat;
            }
            // A ball that alone decides something has nothing left to be checked by.
            rest[i][i] = rest[i][i].max(1e-3);
        }
        let own = &least.residuals[row..row + size];
        let left_out: Vec<f64> = match inverse(&rest) {
            Some(inverse) => {
                inverse.iter().map(|row| row.iter().zip(own).map(|(a, r)| a * r).sum()).collect()
            }
            None => own.to_vec(),
        };
        // Back to metres: the miss is L times its whitened form.
        let metres =
            |at: usize| -> f64 { spread[at].iter().zip(&left_out).map(|(l, r)| l * r).sum() };
        let at = |which: usize| seen.iter().position(|&(seen, _)| seen == which);
        let misses = model.misses(&unknowns, ball).ok_or(CalibrationError::Nothing)?;
        let miss = |which: usize| at(which).map(|at| -misses[at]);
        let left = |which: usize| at(which).map_or(0.0, metres);
        all.push(Residual {
            line: ball.line,
            landing_m: [miss(1).unwrap_or_default(), miss(2).unwrap_or_default()],
            next_m: miss(3),
            left_out_m: left(1).hypot(left(2)),
        });
        row += size;
    }
    Ok(all)
}

/// Balls that no fit brings together.
pub(super) fn contradiction(
    least: &Least,
    residuals: &[Residual],
    balls: &[SeenBall],
    misfit: f64,
) -> Result<(), CalibrationError> {
    if misfit <= CONTRADICTION {
        return Ok(());
    }
    let mut row = 0;
    let mut worst = (0.0, 0);
    for (place, ball) in balls.iter().enumerate() {
        let size = ball.seen().len();
        let own = &least.residuals[row..row + size];
        let times = (own.iter().map(|r| r * r).sum::<f64>() / size as f64).sqrt();
        if times > worst.0 {
            worst = (times, place);
        }
        row += size;
    }
    let at = &residuals[worst.1];
    let off = at.landing_m[0].hypot(at.landing_m[1]).max(at.next_m.map_or(0.0, f64::abs));
    Err(CalibrationError::Contradiction { worst: at.line, off_cm: off * 100.0, times: worst.0 })
}
