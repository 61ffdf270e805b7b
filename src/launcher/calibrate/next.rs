//! The next most useful ball: the dial values whose bounces would narrow down most.
//!
//! Every combination of a low, middle and high value of each dial is flown under the fit; of those
//! that land on the table the one is taken for which all that is unknown narrows most, on average.
//!
//! ```text
//! V' = V - V J^T (I + J V J^T)^-1 J V
//! ```
//!
//! # Source
//! Fedorov 1972, "Theory of Optimal Experiments": what an observation takes from a covariance.

use serde::Serialize;

use super::fitting::BallFit;
use super::least_squares::{Matrix, cholesky, dot, forward};
use super::model::{SeenBall, ThrowModel};
use crate::flight::path::{STEP_S, Until, follow};
use crate::flight::{Constants, Launch, Throw};
use crate::launcher::DialSetting;
use crate::launcher::dials::{physical_dials, without_dust};

/// Where on each dial's scale a ball is tried.
const ALONG: [f64; 3] = [0.15, 0.5, 0.85];
/// The most combinations that are tried.
const MOST: usize = 243;

/// A ball worth throwing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextBall {
    /// What is entered.
    pub dials: Vec<DialSetting>,
    /// True when it will bounce on its own half first.
    pub is_service: bool,
    /// How much narrower the stated errors get, per cent of their present width, on average.
    pub narrows_percent: f64,
}

/// How a launch comes down on the table, if it does.
fn throw_of(launch: &Launch, constants: &Constants) -> Option<Throw> {
    let path = follow(&launch.motion(), constants, Until { bounces: 3, time_s: 4.0 }, STEP_S);
    path.fault(path.throw()).is_none().then(|| path.throw())
}

/// The most useful ball among those that land; none when none does.
pub(super) fn most_useful(model: &ThrowModel<'_>, fit: &BallFit) -> Option<NextBall> {
    let launcher = model.launcher;
    // Dials that set nothing physical stay where the first ball had them.
    let moving = physical_dials(launcher);
    let count = moving.iter().fold(1_usize, |count, _| count.saturating_mul(ALONG.len())).min(MOST);
    let base = &model.balls.first()?.dials;
    let landing = (0..count).filter_map(|number| {
        let mut dials = base.clone();
        let mut rest = number;
        for &at in &moving {
            let dial = &launcher.dials[at];
            let along = dial.least + ALONG[rest % ALONG.len()] * (dial.most - dial.least);
            let steps = ((along - dial.least) / dial.notch).round();
            dials[at] = without_dust(dial.least + steps * dial.notch);
            rest /= ALONG.len();
        }
        let (launch, constants) = model.throws(&fit.least.at, &dials);
        let throw = throw_of(&launch, &constants)?;
        let first_x_m = (throw == Throw::Serve).then_some(0.0);
        let land_m = [0.0; 2];
        let next_x_m = Some(0.0);
        let ball = SeenBall { line: 0, dials, first_x_m, land_m, next_x_m, is_by_eye: false };
        Some((narrowing(model, fit, &ball).unwrap_or(0.0), ball))
    });
    let (narrowing, ball) =
        landing.reduce(|best, other| if other.0 > best.0 { other } else { best })?;
    let dials = moving
        .iter()
        .map(|&at| DialSetting { name: launcher.dials[at].name.clone(), value: ball.dials[at] });
    Some(NextBall {
        dials: dials.collect(),
        is_service: ball.is_service(),
        narrows_percent: 100.0 * narrowing,
    })
}

/// The share of its width that an unknown loses by this ball, on average.
fn narrowing(model: &ThrowModel<'_>, fit: &BallFit, ball: &SeenBall) -> Option<f64> {
    let at = &fit.least.at;
    let spread = model.spread(at, ball, fit.widths.scatter)?;
    let slopes = model.whitened_slopes(at, ball, &spread)?;
    let seen = |unknown: usize| -> Vec<f64> {
        slopes.iter().map(|row| dot(row, &fit.covariance[unknown])).collect()
    };
    let taken: Vec<Vec<f64>> = (0..at.len()).map(seen).collect();
    let mut with: Matrix = Matrix::new();
    for (place, row) in slopes.iter().enumerate() {
        let product = |other: usize| row.iter().zip(&taken).map(|(s, t)| s * t[other]).sum::<f64>();
        let mut row: Vec<f64> = (0..slopes.len()).map(product).collect();
        row[place] += 1.0;
        with.push(row);
    }
    let lower = cholesky(&with)?;
    let left = taken.iter().enumerate().map(|(unknown, taken)| {
        let less = forward(&lower, taken);
        (1.0 - dot(&less, &less) / fit.covariance[unknown][unknown]).max(0.0).sqrt()
    });
    Some(1.0 - left.sum::<f64>() / at.len() as f64)
}
