//! The next most useful ball: the dial values whose bounces would narrow down most.
//!
//! Every combination of a low, middle and high value of each dial is flown under the fit; of those
//! that land on the table the one is taken for which the stated errors shrink most (the determinant
//! of their covariance: D-optimal).
//!
//! # Source
//! det(A + J^T C^-1 J) = det(A) det(I + ...): Fedorov 1972, "Theory of Optimal Experiments".

use serde::Serialize;

use super::least_squares::{Least, Matrix, cholesky, forward, log_determinant, normal, slopes};
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
pub(super) fn most_useful(model: &ThrowModel<'_>, least: &Least) -> Option<NextBall> {
    let launcher = model.launcher;
    let unknowns = model.unscaled(&least.at);
    let constants = model.constants(&unknowns);
    let information = normal(&least.slopes);
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
        let throw = throw_of(&model.launch(&unknowns, &dials), &constants)?;
        let first_x_m = (throw == Throw::Serve).then_some(0.0);
        let ball = SeenBall { line: 0, dials, first_x_m, land_m: [0.0; 2], next_x_m: Some(0.0) };
        Some((gain(model, &least.at, &information, &ball).unwrap_or(0.0), ball))
    });
    let (gain, ball) = landing.reduce(|best, other| if other.0 > best.0 { other } else { best })?;
    let dials = moving
        .iter()
        .map(|&at| DialSetting { name: launcher.dials[at].name.clone(), value: ball.dials[at] });
    let size = unknowns.len().max(1) as f64;
    Some(NextBall {
        dials: dials.collect(),
        is_service: ball.is_service(),
        // The determinant is the product of squared widths.
        narrows_percent: 100.0 * (1.0 - (-0.5 * gain / size).exp()),
    })
}

/// How much the logarithm of the determinant grows with this ball.
fn gain(model: &ThrowModel<'_>, at: &[f64], information: &Matrix, ball: &SeenBall) -> Option<f64> {
    let spread = model.spread(at, ball)?;
    let misses = |at: &[f64]| Some(forward(&spread, &model.misses(at, ball)?));
    let mut with = normal(&slopes(at, &misses(at)?, &misses)?);
    for (sum, have) in with.iter_mut().flatten().zip(information.iter().flatten()) {
        *sum += have;
    }
    Some(log_determinant(&cholesky(&with)?) - log_determinant(&cholesky(information)?))
}
