//! What a calibration knows about a launcher's own scales.
//!
//! Every curve is a line through points, so one form holds a straight dial (two points), an
//! inverted one (falling), and a stepped one (a point for each step). Beyond the calibrated range
//! the end of the line is drawn on, and that is noted.

use serde::{Deserialize, Serialize};

use crate::launcher::settings::Quantity;

/// A point of a curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct At {
    /// The value on the panel, or the mean or difference of the wheels.
    pub dial: f64,
    /// What it makes, in the unit of the quantity.
    pub makes: f64,
    /// How sure: plus or minus so much, as [`Estimate`](super::Estimate) says it.
    pub give_or_take: f64,
}

/// How one quantity follows the dials.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Curve {
    pub sets: Quantity,
    /// By rising dial value, at least two; the first and last are the ends of what was thrown.
    pub points: Vec<At>,
    /// What other dials add, where that is clear.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub moved: Vec<Moved>,
}

/// What the dial of one quantity adds to another.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Moved {
    /// What the dial sets itself.
    pub by: Quantity,
    /// The value of that dial at which it adds nothing.
    pub from: f64,
    /// Added for each 1 more on that dial.
    pub each: f64,
}

/// The height at `x` of straight lines through so many points by rising x, the outer ones drawn
/// on; a single point's is the same everywhere.
pub(super) fn through(count: usize, point: impl Fn(usize) -> (f64, f64), x: f64) -> f64 {
    if count < 2 {
        return if count == 1 { point(0).1 } else { f64::NAN };
    }
    let right = (0..count).position(|at| point(at).0 > x).unwrap_or(count).clamp(1, count - 1);
    let ((x0, y0), (x1, y1)) = (point(right - 1), point(right));
    y0 + (x - x0) / (x1 - x0) * (y1 - y0)
}

impl Curve {
    pub fn makes(&self, dial: f64) -> f64 {
        let point = |at: usize| (self.points[at].dial, self.points[at].makes);
        through(self.points.len(), point, dial)
    }

    /// What the dials of other quantities add, each at the value that is asked for.
    pub fn moves(&self, dial_of: impl Fn(Quantity) -> f64) -> f64 {
        self.moved.iter().map(|other| other.each * (dial_of(other.by) - other.from)).sum()
    }

    /// Whether balls were thrown on both sides of this value.
    pub fn covers(&self, dial: f64) -> bool {
        match (self.points.first(), self.points.last()) {
            (Some(first), Some(last)) => (first.dial - 1e-9..=last.dial + 1e-9).contains(&dial),
            _ => false,
        }
    }
}

/// What was learned about a launcher from thrown balls.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Calibrated {
    /// Balls it rests on.
    pub balls: usize,
    /// How far a landing is off when the ball was not among those learned from: metres, typical.
    pub landing_off_m: f64,
    pub curves: Vec<Curve>,
}

impl Calibrated {
    /// How far from where they are aimed 19 of 20 landings are at most, metres.
    ///
    /// # Source
    /// The quantile of F with 2 and n degrees of freedom, n the balls, for misses that scatter
    /// alike along and across: (n / 2) (0.05^(-2 / n) - 1). A tenth more for misses with longer
    /// tails: a judgement.
    pub fn landing_within_m(&self) -> f64 {
        let half = 0.5 * self.balls.max(1) as f64;
        1.1 * self.landing_off_m * (half * (0.05_f64.powf(-1.0 / half) - 1.0)).sqrt()
    }

    pub fn curve(&self, of: Quantity) -> Option<&Curve> {
        self.curves.iter().find(|curve| curve.sets == of)
    }
}
