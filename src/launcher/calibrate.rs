//! Calibration: constants of the table and curves of the dials from thrown balls.
//!
//! Each ball says which dial values were entered and where it bounced. The flight model turns dials
//! into bounces; least squares find the constants and curves under which these bounces are the
//! least surprising ([`model`]), together with how sure each of them is. Nothing is promised beyond
//! that: the error on balls it has not seen comes from leaving each ball out in turn.

mod least_squares;
mod model;
mod next;
mod residuals;

use serde::Serialize;

use crate::base::text;
use crate::flight::Constants;
use crate::launcher::curves::{At, Calibrated, Curve};
use crate::launcher::dials::Feature;
use crate::launcher::settings::Quantity;
use crate::launcher::{Launcher, ThrowingMachine, Tied, Wheels};
use least_squares::{Least, Matrix, dot, inverse, log_determinant, minimise, normal};
pub use model::SeenBall;
use model::{CONSTANTS, CurvePart, ThrowModel};
pub use next::NextBall;
pub use residuals::{CalibrationError, Residual};
use residuals::{contradiction, residuals};

/// The fewest balls worth fitting.
pub const FEWEST: usize = 6;
/// Standard deviations in a stated error: meant for about ten numbers to hold together in 95 of
/// 100 cases (Bonferroni).
const SURE: f64 = 2.8;
/// Misfit that is good enough not to look for a dial that runs the other way.
const GOOD: f64 = 2.5;
/// Rounds in which the spread of a ball is computed anew from the fit.
const ROUNDS: usize = 4;
/// Elevation, topspin and speed each one way or the other.
const FLIPS: u32 = 8;
/// How much of the spin its range promises a search starts with.
const PARTS_OF_SPIN: [f64; 3] = [1.0, 0.6, 0.3];

/// A constant and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    pub value: f64,
    /// Plus or minus: all numbers of a calibration together in about 90 of 100 where dials are
    /// straight and set one thing each; not known where they are not.
    pub give_or_take: f64,
}

/// What to know about what was learned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Warning {
    /// Every ball had the same value of its dial.
    NeverMoved(Quantity),
    /// Learned on less than half of the dial's scale.
    Narrow { quantity: Quantity, first: f64, last: f64, least: f64, most: f64 },
    /// The balls differ more than the launcher's scatter on file.
    MoreScatter,
}

/// What was learned.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Learned {
    pub friction: Estimate,
    /// Share of the upright speed given back.
    pub restitution: Estimate,
    pub drag: Estimate,
    /// The constants together, as `table.ron` takes them.
    #[serde(skip)]
    pub constants: Constants,
    pub calibrated: Calibrated,
    /// Misfit of a ball in units of its expected spread; about 1 when the scatter on file is true.
    pub misfit: f64,
    pub residuals: Vec<Residual>,
    pub warnings: Vec<Warning>,
    /// The ball that would teach most.
    pub next: Option<NextBall>,
}

impl Learned {
    /// The launcher with what was learned about it; one wheel gets its spin by speed as well.
    pub fn applied(&self, launcher: &Launcher) -> Launcher {
        let mut launcher = launcher.clone();
        let one_wheel = launcher.machine.as_mut().filter(|own| own.wheels == Wheels::One);
        if let Some((machine, tied)) = one_wheel.zip(tied(&self.calibrated)) {
            machine.tied = tied;
        }
        launcher.calibrated = Some(self.calibrated.clone());
        launcher
    }
}

/// Spin by speed on one wheel, from the two curves of its speed dial.
fn tied(calibrated: &Calibrated) -> Option<Vec<Tied>> {
    let spin = calibrated.curve(Quantity::TopSpin)?;
    let points = calibrated.curve(Quantity::Speed)?.points.iter();
    let mut tied: Vec<Tied> = points
        .map(|point| Tied { speed_m_s: point.makes, spin_rev_s: spin.makes(point.dial) })
        .collect();
    tied.sort_by(|a, b| a.speed_m_s.total_cmp(&b.speed_m_s));
    tied.dedup_by(|a, b| a.speed_m_s <= b.speed_m_s);
    Some(tied).filter(|tied| tied.len() >= 2)
}

/// Learns from thrown balls. `stepped` names quantities whose dial has steps of unequal size.
///
/// # Errors
/// [`CalibrationError`] when the balls are too few or contradict each other.
pub fn calibrate(
    launcher: &Launcher,
    outlet_m: [f64; 3],
    stepped: &[Quantity],
    balls: &[SeenBall],
) -> Result<Learned, CalibrationError> {
    let machine = launcher.machine.as_ref().filter(|_| !launcher.dials.is_empty());
    let machine = machine.ok_or_else(|| CalibrationError::NoDials(launcher.name.clone()))?;
    let model = ThrowModel::new(launcher, machine, outlet_m, stepped, balls);
    enough(&model)?;
    let (least, spreads) = best(&model).ok_or(CalibrationError::Nothing)?;
    let rows = least.residuals.len() - least.at.len();
    let misfit = least.cost / rows.max(1) as f64;
    let unknowns = model.unscaled(&least.at);
    let covariance = inverse(&normal(&least.slopes)).ok_or(CalibrationError::Nothing)?;
    let residuals = residuals(&model, &least, &covariance, &spreads)?;
    contradiction(&residuals, misfit)?;
    // More scatter than the file says is charged to every number.
    let inflated = SURE * misfit.max(1.0).sqrt();
    let sure = |at: usize| Estimate {
        value: unknowns[at],
        give_or_take: inflated * model.sd[at] * covariance[at][at].max(0.0).sqrt(),
    };
    let estimated = |part: &CurvePart| {
        let points = part.nodes.iter().zip(part.at..).map(|(&dial, at)| {
            let Estimate { value, give_or_take } = sure(at);
            At { dial, makes: value, give_or_take }
        });
        Curve { sets: part.quantity, points: points.collect() }
    };
    let parts = model.parts.iter().filter(|part| part.feature.is_some());
    let (learned, unmoved): (Vec<_>, Vec<_>) = parts.partition(|part| part.nodes.len() >= 2);
    let curves: Vec<Curve> = learned.into_iter().map(estimated).collect();
    let unmoved = unmoved.into_iter().map(|part| Warning::NeverMoved(part.quantity));
    let narrow = curves.iter().filter_map(|curve| narrow(launcher, machine, curve));
    let scatter = (misfit > GOOD).then_some(Warning::MoreScatter);
    let warnings = unmoved.chain(narrow).chain(scatter).collect();
    let left_out: f64 = residuals.iter().map(|ball| ball.left_out_m * ball.left_out_m).sum();
    let landing_off_m = (left_out / residuals.len() as f64).sqrt();
    Ok(Learned {
        friction: sure(0),
        restitution: sure(1),
        drag: sure(2),
        constants: model.constants(&unknowns),
        calibrated: Calibrated { balls: balls.len(), landing_off_m, curves },
        misfit,
        residuals,
        warnings,
        next: next::most_useful(&model, &least),
    })
}

/// Whether there are balls enough for the unknowns of the curves.
fn enough(model: &ThrowModel<'_>) -> Result<(), CalibrationError> {
    let (unknowns, have) = (model.middle.len(), model.balls.len());
    let seen: usize = model.balls.iter().map(|ball| ball.seen().len()).sum();
    let each = (seen as f64 / have.max(1) as f64).max(2.0);
    // Half as many sights again as unknown numbers of the curves leave something to check with.
    let curves = (unknowns - CONSTANTS) as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small positive number"
    )]
    let need = ((1.5 * curves / each).ceil() as usize).max(FEWEST);
    if have < need {
        let have = text::count(have, "ball");
        return Err(CalibrationError::TooFew { have, unknowns, need });
    }
    Ok(())
}

/// The best fit. Weak spin on a rough table and strong spin on a smooth one look alike from afar,
/// so several spins are started from; dials that run the other way are tried when none of these
/// explains the balls.
fn best(model: &ThrowModel<'_>) -> Option<(Least, Vec<Matrix>)> {
    let mut found: Option<(Surprise, Vec<f64>)> = None;
    for flip in 0..FLIPS {
        for part_of_spin in PARTS_OF_SPIN {
            let start = model.start(flip, part_of_spin);
            let Some((least, _)) = fitted(model, start, (2, 8)) else { continue };
            let Some(surprise) = surprise(model, &least.at) else { continue };
            if found.as_ref().is_none_or(|(fewest, _)| surprise.total < fewest.total) {
                found = Some((surprise, least.at));
            }
        }
        if found.as_ref().is_some_and(|(surprise, _)| surprise.misfit < GOOD) {
            break;
        }
    }
    fitted(model, found?.1, (ROUNDS, 25))
}

/// How surprising the balls are under some unknowns.
struct Surprise {
    /// -2 log likelihood, up to a constant. The spread of the balls depends on the unknowns, so
    /// its determinant counts: else much scatter would explain all.
    total: f64,
    misfit: f64,
}

fn surprise(model: &ThrowModel<'_>, scaled: &[f64]) -> Option<Surprise> {
    let spreads = model.spreads(scaled)?;
    let residuals = model.residuals(scaled, &spreads)?;
    let cost = dot(&residuals, &residuals);
    let width: f64 = spreads.iter().map(log_determinant).sum();
    let rows = (residuals.len() - scaled.len()).max(1);
    Some(Surprise { total: cost + width, misfit: cost / rows as f64 })
}

/// The fit from one start: so many rounds of so many steps, the spreads computed anew for each
/// round.
fn fitted(
    model: &ThrowModel<'_>,
    mut at: Vec<f64>,
    (rounds, steps): (usize, usize),
) -> Option<(Least, Vec<Matrix>)> {
    let mut last = None;
    for _ in 0..rounds {
        let spreads = model.spreads(&at)?;
        let least = minimise(&at, &|scaled| model.residuals(scaled, &spreads), steps)?;
        let moved = least.at.iter().zip(&at).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        at.clone_from(&least.at);
        last = Some((least, spreads));
        if moved < 0.02 {
            break;
        }
    }
    last
}

/// A part of a dial's scale no ball was thrown at.
fn narrow(launcher: &Launcher, machine: &ThrowingMachine, curve: &Curve) -> Option<Warning> {
    if curve.sets == Quantity::TopSpin && machine.wheels == Wheels::One {
        return None;
    }
    let feature = Feature::find(curve.sets, &launcher.dials, machine.wheels)?;
    let (first, last) = (curve.points.first()?.dial, curve.points.last()?.dial);
    let (least, most) = feature.range(&launcher.dials);
    let (quantity, is_narrow) = (curve.sets, last - first < 0.5 * (most - least));
    is_narrow.then_some(Warning::Narrow { quantity, first, last, least, most })
}
