//! Calibration: constants of the table and curves of the dials from thrown balls.
//!
//! Each ball says which dial values were entered and where it bounced. The flight model turns dials into
//! bounces; least squares find the constants and curves under which these bounces are the least
//! surprising ([`model`]), together with how sure each of them is. Nothing is promised beyond that: the error
//! on balls it has not seen comes from leaving each ball out in turn.

mod least_squares;
mod model;
mod next;

use serde::Serialize;

use crate::flight::Constants;
use crate::launcher::dials::{At, Calibrated, Curve, Feature, Quantity};
use crate::launcher::{Launcher, Machine, Tied, Wheels};
use least_squares::{Least, Matrix, inverse, minimise, normal};
use model::{CONSTANTS, Model};
pub use next::NextBall;

/// The fewest balls worth fitting.
pub const FEWEST: usize = 6;
/// Stated errors hold for all numbers together in 95 of 100 cases (Bonferroni for about ten of them).
const SURE: f64 = 2.8;
/// Misfit per ball, in squared standard deviations, above which the balls contradict each other.
const CONTRADICTION: f64 = 9.0;
/// Misfit that is good enough not to look for a dial that runs the other way.
const GOOD: f64 = 2.5;
/// Rounds in which the spread of a ball is computed anew from the fit.
const ROUNDS: usize = 4;
/// Elevation, topspin and speed each one way or the other.
const FLIPS: u32 = 8;
/// How much of the spin its range promises a search starts with.
const PARTS_OF_SPIN: [f64; 3] = [1.0, 0.6, 0.3];

/// One thrown ball as it was seen. Metres in the launcher's frame.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenBall {
    /// Its line in the file.
    pub line: usize,
    /// What was entered, in the order of the launcher's dials.
    pub dials: Vec<f64>,
    /// x of the bounce on its own half, when it was thrown like a serve.
    pub first_x_m: Option<f64>,
    /// Landing on the receiver's half, x and y.
    pub land_m: [f64; 2],
    /// x of the bounce after that, on the table or estimated at the floor's edge.
    pub next_x_m: Option<f64>,
}

impl SeenBall {
    /// True when it was thrown like a serve.
    pub const fn is_service(&self) -> bool {
        self.first_x_m.is_some()
    }

    /// What was seen: which sight, and its value.
    fn seen(&self) -> Vec<(usize, f64)> {
        let sights = [self.first_x_m, Some(self.land_m[0]), Some(self.land_m[1]), self.next_x_m];
        sights.into_iter().enumerate().filter_map(|(at, seen)| Some((at, seen?))).collect()
    }
}

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

/// A constant and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Sure {
    /// The value.
    pub value: f64,
    /// Plus or minus, all numbers of the calibration together in 95 of 100 cases.
    pub give_or_take: f64,
}

/// What was learned.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Learned {
    /// Friction between ball and table.
    pub friction: Sure,
    /// Share of the upright speed given back.
    pub restitution: Sure,
    /// Drag coefficient.
    pub drag: Sure,
    /// The constants together, as `table.ron` takes them.
    #[serde(skip)]
    pub constants: Constants,
    /// The dials.
    pub calibrated: Calibrated,
    /// Misfit of a ball in units of its expected spread; about 1 when the scatter on file is true.
    pub misfit: f64,
    /// Ball by ball.
    pub residuals: Vec<Residual>,
    /// What to know.
    pub warnings: Vec<String>,
    /// The ball that would teach most.
    pub next: Option<NextBall>,
}

impl Learned {
    /// The launcher with what was learned about it; one wheel gets its spin by speed as well.
    pub fn applied(&self, launcher: &Launcher) -> Launcher {
        let mut launcher = launcher.clone();
        if let Some(machine) = launcher.machine.as_mut().filter(|own| own.wheels == Wheels::One) {
            let tied = tied(&self.calibrated);
            if tied.len() >= 2 {
                machine.tied = tied;
            }
        }
        launcher.calibrated = Some(self.calibrated.clone());
        launcher
    }
}

/// Spin by speed on one wheel, from the two curves of its speed dial.
fn tied(calibrated: &Calibrated) -> Vec<Tied> {
    let (Some(speed), Some(spin)) =
        (calibrated.curve(Quantity::Speed), calibrated.curve(Quantity::TopSpin))
    else {
        return Vec::new();
    };
    let mut tied: Vec<Tied> = speed
        .points
        .iter()
        .map(|point| Tied { speed_m_s: point.makes, spin_rev_s: spin.makes(point.dial) })
        .collect();
    tied.sort_by(|a, b| a.speed_m_s.total_cmp(&b.speed_m_s));
    tied.dedup_by(|a, b| a.speed_m_s <= b.speed_m_s);
    tied
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
    let machine = launcher
        .machine
        .as_ref()
        .filter(|_| !launcher.dials.is_empty())
        .ok_or_else(|| CalibrationError::NoDials(launcher.name.clone()))?;
    let model = Model::new(launcher, machine, outlet_m, stepped, balls);
    enough(&model, balls)?;
    let (least, spreads) = best(&model, launcher, machine, balls)?;
    let rows = least.residuals.len() - least.at.len();
    let misfit = least.cost / rows.max(1) as f64;
    let unknowns = model.unscaled(&least.at);
    let covariance = inverse(&normal(&least.slopes)).ok_or(CalibrationError::Nothing)?;
    let residuals = residuals(&model, &least, &covariance, &spreads, balls)?;
    contradiction(&least, &residuals, balls, misfit)?;
    // More scatter than the file says is charged to every number.
    let inflated = SURE * misfit.max(1.0).sqrt();
    let sure = |at: usize| Sure {
        value: unknowns[at],
        give_or_take: inflated * model.sd[at] * covariance[at][at].max(0.0).sqrt(),
    };
    let off = |left: &Residual| left.left_out_m * left.left_out_m;
    let landing_off_m =
        (residuals.iter().map(off).sum::<f64>() / residuals.len().max(1) as f64).sqrt();
    let mut warnings = Vec::new();
    let mut curves = Vec::new();
    for part in &model.parts {
        if part.feature.is_none() {
            continue;
        }
        if part.nodes.len() < 2 {
            warnings.push(format!(
                "{}: every ball had the same value, so the dial is not learned; throw two balls at another",
                part.quantity
            ));
            continue;
        }
        let points = part.nodes.iter().zip(part.at..).map(|(&dial, at)| {
            let Sure { value, give_or_take } = sure(at);
            At { dial, makes: value, give_or_take }
        });
        curves.push(Curve { sets: part.quantity, points: points.collect() });
    }
    warnings.extend(outside(launcher, machine, &curves));
    if misfit > GOOD {
        warnings.push(
            "the balls differ more than the launcher's scatter on file: measure it, or read more carefully"
                .to_owned(),
        );
    }
    let next = next::most_useful(&model, launcher, &least, balls);
    let count = u32::try_from(balls.len()).unwrap_or(u32::MAX);
    Ok(Learned {
        friction: sure(0),
        restitution: sure(1),
        drag: sure(2),
        constants: model.constants(&unknowns),
        calibrated: Calibrated { balls: count, landing_off_m, curves },
        misfit,
        residuals,
        warnings,
        next,
    })
}

/// Whether there are balls enough for the unknowns of the curves.
fn enough(model: &Model, balls: &[SeenBall]) -> Result<(), CalibrationError> {
    let unknowns = model.middle.len();
    let seen: usize = balls.iter().map(|ball| ball.seen().len()).sum();
    let each = (seen as f64 / balls.len().max(1) as f64).max(2.0);
    // Half as many sights again as unknown numbers of the curves leave something to check with.
    let curves = (unknowns - CONSTANTS) as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small positive number"
    )]
    let need = ((1.5 * curves / each).ceil() as usize).max(FEWEST);
    if balls.len() < need {
        let have = crate::base::text::count(balls.len(), "ball");
        return Err(CalibrationError::TooFew { have, unknowns, need });
    }
    Ok(())
}

/// The best fit. Weak spin on a rough table and strong spin on a smooth one look alike from afar, so several
/// spins are started from; dials that run the other way are tried when none of these explains the balls.
fn best(
    model: &Model,
    launcher: &Launcher,
    machine: &Machine,
    balls: &[SeenBall],
) -> Result<(Least, Vec<Matrix>), CalibrationError> {
    let mut found: Option<(f64, Vec<f64>)> = None;
    for flip in 0..FLIPS {
        for part_of_spin in PARTS_OF_SPIN {
            let start = model.start(launcher, machine, flip, part_of_spin);
            let Some((least, _)) = fitted(model, start, balls, (2, 8)) else { continue };
            let Some(surprise) = surprise(model, &least.at, balls) else { continue };
            if found.as_ref().is_none_or(|(fewest, _)| surprise.0 < *fewest) {
                found = Some((surprise.0, least.at));
            }
        }
        let is_good = found.as_ref().is_some_and(|(_, at)| {
            surprise(model, at, balls).is_some_and(|(_, misfit)| misfit < GOOD)
        });
        if is_good {
            break;
        }
    }
    found
        .and_then(|(_, at)| fitted(model, at, balls, (ROUNDS, 25)))
        .ok_or(CalibrationError::Nothing)
}

/// How surprising the balls are under these unknowns (-2 log likelihood, up to a constant), and the misfit. The
/// spread of the balls depends on the unknowns, so its determinant counts: else much scatter would explain all.
fn surprise(model: &Model, scaled: &[f64], balls: &[SeenBall]) -> Option<(f64, f64)> {
    let spreads = model.spreads(&model.unscaled(scaled), balls)?;
    let residuals = model.residuals(scaled, balls, &spreads)?;
    let cost: f64 = residuals.iter().map(|r| r * r).sum();
    let width: f64 = spreads
        .iter()
        .flat_map(|spread| spread.iter().enumerate().map(|(at, row)| 2.0 * row[at].ln()))
        .sum();
    let rows = (residuals.len() - scaled.len()).max(1);
    Some((cost + width, cost / rows as f64))
}

/// The fit from one start: so many rounds of so many steps, the spreads computed anew for each round.
fn fitted(
    model: &Model,
    start: Vec<f64>,
    balls: &[SeenBall],
    (rounds, steps): (usize, usize),
) -> Option<(Least, Vec<Matrix>)> {
    let mut at = start;
    let mut last = None;
    for _ in 0..rounds {
        let spreads = model.spreads(&model.unscaled(&at), balls)?;
        let residuals = |scaled: &[f64]| model.residuals(scaled, balls, &spreads);
        let least = minimise(&at, &residuals, steps)?;
        let moved = least.at.iter().zip(&at).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        at.clone_from(&least.at);
        last = Some((least, spreads));
        if moved < 0.02 {
            break;
        }
    }
    last
}

/// Each ball against the fit, and against the fit without it.
///
/// # Source
/// Leaving one out of a least-squares fit without fitting again: r / (1 - h), here in blocks, with the hat
/// matrix H = J (J^T J)^-1 J^T (Cook & Weisberg 1982, "Residuals and Influence in Regression", 2.2).
fn residuals(
    model: &Model,
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
fn contradiction(
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

/// Parts of the dials' scales no ball was thrown at.
fn outside(launcher: &Launcher, machine: &Machine, curves: &[Curve]) -> Vec<String> {
    curves
        .iter()
        .filter_map(|curve| {
            if curve.sets == Quantity::TopSpin && machine.wheels == Wheels::One {
                return None;
            }
            let feature = Feature::of(curve.sets, &launcher.dials, machine.wheels)?;
            let (first, last) = (curve.points.first()?.dial, curve.points.last()?.dial);
            let (least, most) = feature.range(&launcher.dials);
            let is_narrow = last - first < 0.5 * (most - least);
            is_narrow.then(|| {
                format!(
                    "{}: learned from {first} to {last} only, of {least} to {most}; beyond it is a guess",
                    curve.sets
                )
            })
        })
        .collect()
}
