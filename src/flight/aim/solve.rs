//! Damped least squares (Levenberg and Marquardt) in speed, elevation and azimuth.
//!
//! Each band is a residual that is zero inside and grows outside, so one solver serves targets,
//! limits and the search for the nearest ball alike:
//!
//! ```text
//! r_i = weight_i (distance of measure_i from its band) / scale_i
//! (J^T J + lambda D) step = -J^T r,   D = diag of the usual size of each unknown, squared, inverse
//! ```
//!
//! The derivatives are forward differences; the flight is smooth except where a bounce changes
//! from sliding to gripping, and several starts take care of that.

use glam::{DMat3, DVec3};

use crate::flight::constants::Constants;
use crate::flight::path::Watch;

use super::measure::{Band, MEASURES, Measure};
use super::outcome::{Measured, measure};
use super::request::Request;

/// Iterations of one start, at most.
const ITERATIONS: usize = 25;
/// Differences for the derivatives: m/s, degrees, degrees.
const DIFFERENCE: [f64; 3] = [1e-4, 1e-3, 1e-3];
/// Usual size of a change of each unknown.
const SIZE: [f64; 3] = [1.0, 5.0, 5.0];
/// Where the unknowns have to stay for the flight to mean anything.
const REACH: [Band; 3] =
    [Band::between(0.2, 40.0), Band::between(-89.0, 89.0), Band::between(-89.0, 89.0)];

/// A weighted band for the solver.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pull {
    pub(super) measure: Measure,
    pub(super) band: Band,
    pub(super) weight: f64,
}

/// Where a start ended.
#[derive(Debug, Clone, Copy)]
pub(super) struct Landing {
    pub(super) unknowns: [f64; 3],
    pub(super) measured: Measured,
    pub(super) cost: f64,
}

impl Pull {
    /// Whether the band acts at all: a single value always does, a wide band only from outside.
    fn pulls(&self, measured: &Measured) -> bool {
        self.band.is_exact() || self.band.outside(measured[self.measure as usize]) != 0.0
    }

    fn residual(&self, measured: &Measured) -> f64 {
        self.weight * self.band.outside(measured[self.measure as usize]) / self.measure.scale()
    }
}

/// What a landing costs under these pulls.
pub(super) fn cost(pulls: &[Pull], measured: &Measured) -> f64 {
    pulls.iter().map(|pull| pull.residual(measured).powi(2)).sum()
}

/// Walks from `start` to where the pulls balance.
pub(super) fn walk(
    request: &Request,
    constants: &Constants,
    pulls: &[Pull],
    start: [f64; 3],
) -> Option<Landing> {
    let high = pulls.iter().any(|pull| pull.measure == Measure::Apex);
    let watch = if high { Watch::Tops } else { Watch::BouncesAndNet };
    let fly = |unknowns: [f64; 3]| measure(request, constants, unknowns, watch);
    let kept = |unknowns: [f64; 3]| -> [f64; 3] {
        std::array::from_fn(|i| unknowns[i].clamp(REACH[i].least, REACH[i].most))
    };
    let mut at = kept(start);
    let mut measured = fly(at)?;
    let mut now = cost(pulls, &measured);
    let mut lambda = 1e-3;
    for _ in 0..ITERATIONS {
        if now < 1e-18 {
            break;
        }
        let Some(slopes) = slopes(&fly, at, &measured) else { break };
        let (normal, gradient) = normal_equations(pulls, &measured, &slopes);
        let mut moved = false;
        // A rejected step only damps more; six tries span six orders of magnitude.
        for _ in 0..6 {
            let damping = DMat3::from_diagonal(DVec3::from_array(SIZE.map(|s| lambda / (s * s))));
            let step = (normal + damping).inverse() * -gradient;
            if !step.is_finite() {
                lambda *= 10.0;
                continue;
            }
            let bend = bend(&fly, pulls, at, &measured, &slopes, step)
                .map_or(DVec3::ZERO, |force| (normal + damping).inverse() * -force);
            // A bend as long as the step itself says that the parabola is no good there.
            let bend = if bend.length() < 0.7 * step.length() { 0.5 * bend } else { DVec3::ZERO };
            let tried = kept((DVec3::from_array(at) + step + bend).to_array());
            let better = fly(tried).map(|m| (cost(pulls, &m), m)).filter(|(c, _)| *c < now);
            if let Some((cheaper, there)) = better {
                moved = now - cheaper > 1e-5 * now;
                (at, measured, now) = (tried, there, cheaper);
                lambda = (lambda * 0.1).max(1e-12);
                break;
            }
            lambda *= 10.0;
        }
        if !moved {
            break;
        }
    }
    Some(Landing { unknowns: at, measured, cost: now })
}

/// J^T times the second derivative along `step`: what bends the step along a curved valley.
///
/// Landing and next bounce together make such a valley (their condition is about 70); without the
/// bend, the walk along it is too slow.
///
/// # Source
/// Transtrum & Sethna 2012, "Improvements to the Levenberg-Marquardt algorithm" (geodesic
/// acceleration), with their finite difference of a tenth of the step.
fn bend(
    fly: &impl Fn([f64; 3]) -> Option<Measured>,
    pulls: &[Pull],
    at: [f64; 3],
    measured: &Measured,
    slopes: &[[f64; 3]; MEASURES],
    step: DVec3,
) -> Option<DVec3> {
    const PART: f64 = 0.1;
    let ahead = fly((DVec3::from_array(at) + PART * step).to_array())?;
    let mut force = DVec3::ZERO;
    for pull in pulls.iter().filter(|pull| pull.pulls(measured)) {
        let which = pull.measure as usize;
        let slope = DVec3::from_array(slopes[which]);
        let second = 2.0 / PART * ((ahead[which] - measured[which]) / PART - slope.dot(step));
        let weight = pull.weight / pull.measure.scale();
        force += weight * weight * second * slope;
    }
    Some(force)
}

/// Change of every measure per change of each unknown.
fn slopes(
    fly: &impl Fn([f64; 3]) -> Option<Measured>,
    at: [f64; 3],
    measured: &Measured,
) -> Option<[[f64; 3]; MEASURES]> {
    let mut slopes = [[0.0; 3]; MEASURES];
    for unknown in 0..3 {
        let mut beside = at;
        beside[unknown] += DIFFERENCE[unknown];
        let there = fly(beside)?;
        for (slope, (after, before)) in slopes.iter_mut().zip(there.iter().zip(measured)) {
            slope[unknown] = (after - before) / DIFFERENCE[unknown];
        }
    }
    Some(slopes)
}

/// J^T J and J^T r over the bands that pull.
fn normal_equations(
    pulls: &[Pull],
    measured: &Measured,
    slopes: &[[f64; 3]; MEASURES],
) -> (DMat3, DVec3) {
    let mut normal = DMat3::ZERO;
    let mut gradient = DVec3::ZERO;
    for pull in pulls.iter().filter(|pull| pull.pulls(measured)) {
        let residual = pull.residual(measured);
        let row =
            DVec3::from_array(slopes[pull.measure as usize]) * (pull.weight / pull.measure.scale());
        normal += DMat3::from_cols(row * row.x, row * row.y, row * row.z);
        gradient += row * residual;
    }
    (normal, gradient)
}
