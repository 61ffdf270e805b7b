//! What a fit says of each number, give or take what it does not know.

use std::ops::Range;

use serde::Serialize;

use super::fitting::BallFit;
use super::model::ThrowModel;
use super::part::{BENDS, CurvePart, MOVES};
use crate::flight::aim::Scatter;
use crate::launcher::curves::{At, Curve, Moved};
use crate::launcher::settings::Quantity;

/// Standard deviations on either side that hold 95 of 100.
const SURE: f64 = 1.96;
/// Standard deviations from none at which a bend or a move is told: with some fifty that might be,
/// chance makes one clear in ten calibrations.
const CLEAR: f64 = 3.2;

/// A constant and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    pub value: f64,
    /// Plus or minus: 19 of 20 such numbers are inside.
    pub give_or_take: f64,
}

/// What to know about what was learned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Warning {
    /// Every ball had the same value of its dial.
    NeverMoved(Quantity),
    /// Learned on less than half of the dial's scale.
    Narrow { quantity: Quantity, first: f64, last: f64, least: f64, most: f64 },
    /// The dial is not straight; balls at these two of its values would tell most about it.
    Bent { quantity: Quantity, at: [f64; 2] },
    /// The dial of one quantity moves another as well; balls at its ends would tell most.
    Moves { dial: Quantity, other: Quantity, ends: [f64; 2] },
    /// The balls differ more than the launcher's scatter on file.
    MoreScatter,
}

/// The numbers of the fit in which what is not clear is none, give or take what the whole fit
/// holds possible.
pub(super) struct ToldNumbers<'a> {
    pub(super) model: &'a ThrowModel<'a>,
    pub(super) fit: &'a BallFit,
    pub(super) told: &'a BallFit,
}

/// A sum of unknowns, each with what it counts.
fn value(model: &ThrowModel<'_>, fit: &BallFit, weights: &[(usize, f64)]) -> f64 {
    let ThrowModel { middle, sd, .. } = model;
    weights.iter().map(|&(at, w)| w * (middle[at] + sd[at] * fit.least.at[at])).sum()
}

/// Its variance.
fn variance(model: &ThrowModel<'_>, fit: &BallFit, weights: &[(usize, f64)]) -> f64 {
    let (sd, covariance) = (&model.sd, &fit.covariance);
    let row = |&(at, w): &(usize, f64)| -> f64 {
        let products = weights.iter().map(|&(other, w)| covariance[at][other] * sd[other] * w);
        w * sd[at] * products.sum::<f64>()
    };
    weights.iter().map(row).sum::<f64>().max(0.0)
}

/// Whether such a sum is something.
fn is_clear(model: &ThrowModel<'_>, fit: &BallFit, weights: &[(usize, f64)]) -> bool {
    value(model, fit, weights).abs() > CLEAR * variance(model, fit, weights).sqrt()
}

fn is_bent(model: &ThrowModel<'_>, fit: &BallFit, part: &CurvePart) -> bool {
    let quarters = part.bend_at.map(|_| part.between(4)).unwrap_or_default();
    quarters.iter().any(|&dial| is_clear(model, fit, &part.bend_weights(dial)))
}

/// The bends and moves that are clear, of moves those in proportion.
pub(super) fn clear(model: &ThrowModel<'_>, fit: &BallFit) -> Vec<Range<usize>> {
    let bends = model.parts.iter().filter(|part| is_bent(model, fit, part));
    let bends = bends.filter_map(|part| part.bend_at.map(|at| at..at + BENDS));
    let moves = model.parts.iter().flat_map(|part| &part.movers);
    let moves = moves.filter(|by| is_clear(model, fit, &[(by.at, 1.0)]));
    bends.chain(moves.map(|by| by.at..by.at + 1)).collect()
}

impl ToldNumbers<'_> {
    pub(super) fn constant(&self, at: usize) -> Estimate {
        let weights = [(at, 1.0)];
        let value = self.value(&weights);
        Estimate { value, give_or_take: self.give_or_take(self.square_off(&weights, value)) }
    }

    fn value(&self, weights: &[(usize, f64)]) -> f64 {
        value(self.model, self.told, weights)
    }

    /// How far off a value is, squared, as the whole fit expects.
    fn square_off(&self, weights: &[(usize, f64)], said: f64) -> f64 {
        let Self { model, fit, .. } = self;
        variance(model, fit, weights) + (value(model, fit, weights) - said).powi(2)
    }

    /// So many standard deviations that 95 of 100 are inside.
    ///
    /// # Source
    /// Student's quantile by the normal one: Abramowitz & Stegun 26.7.5.
    fn give_or_take(&self, square_off: f64) -> f64 {
        let (z, free) = (SURE, self.fit.freedom());
        let student = z
            + (z.powi(3) + z) / (4.0 * free)
            + (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / (96.0 * free * free);
        student * square_off.sqrt()
    }

    /// A quantity along its own dial, the others anywhere they were thrown.
    pub(super) fn curve(&self, part: &CurvePart) -> Curve {
        let clear = part.movers.iter().filter(|by| is_clear(self.model, self.fit, &[(by.at, 1.0)]));
        let moved = clear.map(|by| {
            let each = self.value(&[(by.at, 1.0)]) / by.half;
            Moved { by: by.sets, from: by.middle, each }
        });
        let dials = match part.bend_at {
            None => part.nodes.clone(),
            Some(_) => part.between(if is_bent(self.model, self.fit, part) { 4 } else { 2 }),
        };
        let balls = self.model.balls;
        let points = dials.into_iter().map(|dial| {
            let own = part.own_weights(dial);
            let makes = self.value(&own);
            let off = balls.iter().map(|ball| {
                let all = [&own[..], &part.moved_weights(dial, &ball.dials)].concat();
                self.square_off(&all, self.value(&all))
            });
            let square_off = off.sum::<f64>() / balls.len() as f64 + self.unexplained(part, makes);
            At { dial, makes, give_or_take: self.give_or_take(square_off) }
        });
        Curve { sets: part.quantity, points: points.collect(), moved: moved.collect() }
    }

    /// The variance of a quantity that no straight or bent dial explains: what balls scatter more
    /// than on file may be the dial's.
    fn unexplained(&self, part: &CurvePart, makes: f64) -> f64 {
        let Scatter { speed_share, angle_deg, spin_share } = self.model.scatter;
        let own = match part.quantity {
            Quantity::Speed => speed_share * makes,
            Quantity::TopSpin | Quantity::SideSpin => spin_share * makes,
            Quantity::Elevation | Quantity::Azimuth => angle_deg,
        };
        (self.fit.widths.scatter - 1.0).max(0.0) * own * own
    }

    /// That a dial is not straight, and what others move it.
    pub(super) fn oddities(&self, part: &CurvePart) -> Vec<Warning> {
        let quantity = part.quantity;
        let bent = is_bent(self.model, self.fit, part)
            .then(|| Warning::Bent { quantity, at: self.gaps(part) });
        let moving = part.movers.iter();
        let moving = moving.filter(|by| {
            (by.at..by.at + MOVES).any(|at| is_clear(self.model, self.fit, &[(at, 1.0)]))
        });
        let moves =
            moving.map(|by| Warning::Moves { dial: by.sets, other: quantity, ends: by.ends });
        bent.into_iter().chain(moves).collect()
    }

    /// The middles of the two widest gaps between thrown values of a dial, by rising value.
    fn gaps(&self, part: &CurvePart) -> [f64; 2] {
        let mut thrown: Vec<f64> =
            self.model.balls.iter().map(|ball| part.dial(&ball.dials)).collect();
        thrown.sort_by(f64::total_cmp);
        let mut gaps: Vec<[f64; 2]> =
            thrown.windows(2).map(|two| [two[1] - two[0], 0.5 * (two[0] + two[1])]).collect();
        gaps.sort_by(|a, b| b[0].total_cmp(&a[0]));
        let (one, two) = (gaps[0][1], gaps[1][1]);
        [one.min(two), one.max(two)]
    }
}
