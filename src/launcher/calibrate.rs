//! Calibration: constants of the table and curves of the dials from thrown balls.
//!
//! Each ball says which dial values were entered and where it bounced. The flight model turns dials
//! into bounces; least squares find the constants and curves under which these bounces are the
//! least surprising ([`model`], [`fitting`]), together with how sure each of them is. Nothing is
//! promised beyond that: the error on balls it has not seen comes from leaving each ball out in
//! turn.

mod fitting;
mod least_squares;
mod model;
mod next;
mod numbers;
mod part;
mod residuals;

use serde::Serialize;

use crate::base::text;
use crate::flight::Constants;
use crate::launcher::curves::{Calibrated, Curve};
use crate::launcher::dials::Feature;
use crate::launcher::settings::Quantity;
use crate::launcher::{Launcher, ThrowingMachine, Tied, Wheels};
use fitting::GOOD;
pub use model::SeenBall;
use model::{CONSTANTS, ThrowModel};
pub use next::NextBall;
use numbers::ToldNumbers;
pub use numbers::{Estimate, Warning};
pub use residuals::{CalibrationError, Residual};
use residuals::{contradiction, residuals};

/// The fewest balls worth fitting.
pub const FEWEST: usize = 6;
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
    /// Squared misfit of a ball in units of its expected spread; about 1 when the scatter on file
    /// is true.
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
    let fit = fitting::best(&model).ok_or(CalibrationError::Nothing)?;
    let misfit = fit.widths.scatter;
    contradiction(&residuals(&model, &fit)?, misfit)?;
    let told = fitting::told(&model, &fit, &numbers::clear(&model, &fit));
    let told = told.ok_or(CalibrationError::Nothing)?;
    let residuals = residuals(&model, &told)?;
    let numbers = ToldNumbers { model: &model, fit: &fit, told: &told };
    let parts = model.parts.iter().filter(|part| part.feature.is_some());
    let (learned, unmoved): (Vec<_>, Vec<_>) = parts.partition(|part| part.nodes.len() >= 2);
    let curves: Vec<Curve> = learned.iter().map(|part| numbers.curve(part)).collect();
    let unmoved = unmoved.into_iter().map(|part| Warning::NeverMoved(part.quantity));
    let odd = learned.iter().flat_map(|part| numbers.oddities(part));
    let narrow = curves.iter().filter_map(|curve| narrow(launcher, machine, curve));
    let scatter = (misfit > GOOD).then_some(Warning::MoreScatter);
    let warnings = unmoved.chain(odd).chain(narrow).chain(scatter).collect();
    let left_out: f64 = residuals.iter().map(|ball| ball.left_out_m * ball.left_out_m).sum();
    let landing_off_m = (left_out / residuals.len() as f64).sqrt();
    Ok(Learned {
        friction: numbers.constant(0),
        restitution: numbers.constant(1),
        drag: numbers.constant(2),
        constants: model.throws(&told.least.at, &balls[0].dials).1,
        calibrated: Calibrated { balls: balls.len(), landing_off_m, curves },
        misfit,
        residuals,
        warnings,
        next: next::most_useful(&model, &fit),
    })
}

/// Whether there are balls enough for the unknowns of the curves.
fn enough(model: &ThrowModel<'_>) -> Result<(), CalibrationError> {
    let nodes = model.parts.iter().map(|part| part.nodes.len()).sum::<usize>();
    let (unknowns, have) = (CONSTANTS + nodes, model.balls.len());
    let seen: usize = model.balls.iter().map(|ball| ball.seen().len()).sum();
    let each = (seen as f64 / have.max(1) as f64).max(2.0);
    // Half as many sights again as unknown numbers of the curves leave something to check with;
    // what was trimmed is checked already.
    let is_by_eye = model.balls.iter().all(|ball| ball.is_by_eye);
    let (times, fewest) = if is_by_eye { (1.0, FEWEST / 2) } else { (1.5, FEWEST) };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small positive number"
    )]
    let need = ((times * nodes as f64 / each).ceil() as usize).max(fewest);
    if have < need {
        let have = text::count(have, "ball");
        return Err(CalibrationError::TooFew { have, unknowns, need });
    }
    Ok(())
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
