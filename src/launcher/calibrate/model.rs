//! What a calibration looks for, and what the flight says a ball with such constants and dials
//! would do.
//!
//! Unknowns are friction, restitution, drag, and for each quantity the values of its curve at the
//! ends of the thrown dial values, its bends and what other dials add to it ([`super::part`]). Each
//! has a prior: the constants those of the model with the error it states, the ends
//! anything within the launcher's ranges, bends and moves none at all, give or take a share of the
//! range. How much two balls of one setting differ, the launcher's scatter, is carried through the
//! flight, so that bounces of one ball count as the related things they are.

use std::ops::Range;

use super::least_squares::{DIFFERENCE, Matrix, cholesky, forward};
use super::part::{BEND, BENDS, CurvePart, MOVE, Mover, prior, range};
use crate::flight::Constants;
use crate::flight::aim::Scatter;
use crate::flight::path::{COARSE_STEP_S, Until, follow};
use crate::flight::{Launch, SpinRate};
use crate::launcher::dials::Feature;
use crate::launcher::guess::supposed;
use crate::launcher::settings::Quantity;
use crate::launcher::{Launcher, ThrowingMachine};

/// How well a bounce is read off paper on the table, and how well it is seen without: metres, one
/// standard deviation.
const READ_M: f64 = 0.01;
const SEEN_M: f64 = 0.10;
/// Prior standard deviations of friction, restitution and drag: the model's own stated error, for
/// restitution wide enough for both witnesses of the usual one, services and dropped balls.
const CONSTANTS_SD: [f64; 3] = [0.05, 0.05, 0.04];
/// Prior standard deviation of a guess, as a share of the usual one.
const GUESSED: f64 = 0.4;
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
    /// Seen to be as aimed, no mark read.
    pub is_by_eye: bool,
}

impl SeenBall {
    /// True when it was thrown like a serve.
    pub const fn is_service(&self) -> bool {
        self.first_x_m.is_some()
    }

    /// What was seen: of first bounce x, landing x and y and next bounce x which, and its value.
    pub(super) fn seen(&self) -> Vec<(usize, f64)> {
        let sights = [self.first_x_m, Some(self.land_m[0]), Some(self.land_m[1]), self.next_x_m];
        sights.into_iter().enumerate().filter_map(|(at, seen)| Some((at, seen?))).collect()
    }
}

/// The whole model.
pub(super) struct ThrowModel<'a> {
    pub(super) launcher: &'a Launcher,
    pub(super) machine: &'a ThrowingMachine,
    pub(super) balls: &'a [SeenBall],
    pub(super) outlet_m: [f64; 3],
    pub(super) base: Constants,
    pub(super) parts: Vec<CurvePart>,
    /// Prior middle of each unknown.
    pub(super) middle: Vec<f64>,
    /// Prior standard deviation of each unknown.
    pub(super) sd: Vec<f64>,
    /// Bends of one dial, and each move: unknowns whose prior the balls stretch together.
    pub(super) stretched: Vec<Range<usize>>,
    pub(super) scatter: Scatter,
}

/// How wide priors and scatter are, in parts of those on file; what the balls say of it.
#[derive(Debug, Clone)]
pub(super) struct Widths {
    pub(super) priors: Vec<f64>,
    pub(super) scatter: f64,
}

/// How many constants come before the curves.
pub(super) const CONSTANTS: usize = 3;
/// How many numbers a flight starts from: constants and quantities.
const NUMBERS: usize = 8;

impl<'a> ThrowModel<'a> {
    pub(super) fn new(
        launcher: &'a Launcher,
        machine: &'a ThrowingMachine,
        outlet_m: [f64; 3],
        stepped: &[Quantity],
        balls: &'a [SeenBall],
    ) -> Self {
        let base = Constants::default();
        let is_by_eye = balls.iter().all(|ball| ball.is_by_eye);
        let mut middle = vec![base.surface.friction, base.surface.restitution, base.air.drag];
        let mut sd = CONSTANTS_SD.to_vec();
        let mut parts = Vec::new();
        for &quantity in Quantity::ALL {
            let feature = Feature::find(quantity, &launcher.dials, machine.wheels);
            if feature.is_none() && quantity == Quantity::SideSpin {
                continue;
            }
            let mut values: Vec<f64> = match &feature {
                Some(feature) => balls.iter().map(|ball| feature.value(&ball.dials)).collect(),
                None => vec![0.0],
            };
            values.sort_by(f64::total_cmp);
            values.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
            if values.len() > 2 && !stepped.contains(&quantity) {
                values = vec![values[0], values[values.len() - 1]];
            }
            let at = middle.len();
            let (centre, width) = prior(machine, quantity);
            // A line drawn to the ends of a scale may leave the range; half the range each way is
            // weak. What was trimmed began at the guess, and eyes alone tell no spin.
            let supposed = |value: &f64| supposed(launcher, machine, quantity, *value);
            let guessed = |value: &f64| supposed(value).filter(|_| is_by_eye);
            middle.extend(values.iter().map(|value| guessed(value).unwrap_or(centre)));
            let narrow = |value: &f64| if guessed(value).is_some() { GUESSED } else { 1.0 };
            sd.extend(values.iter().map(|value| narrow(value) * width));
            let (bend_at, movers) = (None, Vec::new());
            parts.push(CurvePart { quantity, feature, nodes: values, at, bend_at, movers });
        }
        let scatter = machine.flight_scatter();
        let stretched = Vec::new();
        let mut model = Self {
            launcher,
            machine,
            balls,
            outlet_m,
            base,
            parts,
            middle,
            sd,
            stretched,
            scatter,
        };
        model.may_bend(stepped);
        model
    }

    /// Adds the unknowns of dials that are not straight or set more than one thing.
    fn may_bend(&mut self, stepped: &[Quantity]) {
        let balls: Vec<&[f64]> = self.balls.iter().map(|ball| &ball.dials[..]).collect();
        let moving = self.parts.iter().filter_map(|part| Mover::from_part(part, &balls));
        let mut moving: Vec<Mover> = moving.collect();
        // The spin of one wheel is read at its speed.
        moving.dedup_by(|a, b| a.feature == b.feature);
        let dials = &self.launcher.dials;
        let thrown = |mover: &Mover| {
            let (least, most) = mover.feature.range(dials);
            2.0 * mover.half / (most - least)
        };
        for part in &mut self.parts {
            let width = prior(self.machine, part.quantity).1;
            let own = moving.iter().find(|mover| part.feature.as_ref() == Some(&mover.feature));
            if let Some(own) = own.filter(|_| !stepped.contains(&part.quantity)) {
                let at = self.sd.len();
                part.bend_at = Some(at);
                self.sd.extend((1..=BENDS).map(|k| BEND * width * thrown(own) / k as f64));
                self.stretched.push(at..self.sd.len());
            }
            for other in moving.iter().filter(|other| part.feature.as_ref() != Some(&other.feature))
            {
                let at = self.sd.len();
                part.movers.push(Mover { at, ..other.clone() });
                self.sd.extend(MOVE.map(|share| share * width * thrown(other)));
                self.stretched.push(at..self.sd.len());
            }
        }
        self.middle.resize(self.sd.len(), 0.0);
    }

    /// The unknowns themselves from the scaled ones.
    pub(super) fn unscaled(&self, scaled: &[f64]) -> Vec<f64> {
        self.middle.iter().zip(&self.sd).zip(scaled).map(|((mid, sd), z)| mid + sd * z).collect()
    }

    /// A start: the launcher's ranges laid along its dials, the spin only a `part` of its own,
    /// turned round where the bits of `flip` say so: elevation, topspin, speed. What acts across
    /// the table finds its own way.
    pub(super) fn start(&self, flip: u32, part_of_spin: f64) -> Vec<f64> {
        let mut scaled = vec![0.0; self.middle.len()];
        for part in &self.parts {
            let Some(feature) = &part.feature else { continue };
            let bit = [Quantity::Elevation, Quantity::TopSpin, Quantity::Speed]
                .iter()
                .position(|quantity| *quantity == part.quantity);
            let is_turned = bit.is_some_and(|bit| flip >> bit & 1 == 1);
            let is_spin = matches!(part.quantity, Quantity::TopSpin | Quantity::SideSpin);
            let weaker = if is_spin { part_of_spin } else { 1.0 };
            let span = range(self.machine, part.quantity);
            let (least, most) = feature.range(&self.launcher.dials);
            for (node, at) in part.nodes.iter().zip(part.at..) {
                let along = ((node - least) / (most - least)).clamp(0.0, 1.0);
                let along = if is_turned { 1.0 - along } else { along };
                let value = weaker * (span.least + along * (span.most - span.least));
                scaled[at] = (value - self.middle[at]) / self.sd[at];
            }
        }
        scaled
    }

    /// The constants, then what these dials make of each quantity.
    fn numbers(&self, unknowns: &[f64], dials: &[f64]) -> [f64; NUMBERS] {
        let mut numbers = [0.0; NUMBERS];
        numbers[..CONSTANTS].copy_from_slice(&unknowns[..CONSTANTS]);
        for part in &self.parts {
            numbers[CONSTANTS + part.quantity as usize] =
                part.weights(dials).into_iter().map(|(at, counts)| counts * unknowns[at]).sum();
        }
        numbers
    }

    /// What these numbers throw, and over which table.
    fn thrown(&self, numbers: &[f64; NUMBERS]) -> (Launch, Constants) {
        let [friction, restitution, drag, speed, top_rev_s, side_rev_s, up, across] = *numbers;
        let mut constants = self.base;
        constants.surface.friction = friction.clamp(0.0, 2.0);
        constants.surface.restitution = restitution.clamp(0.3, 1.0);
        constants.air.drag = drag.clamp(0.0, 2.0);
        let launch = Launch {
            outlet_m: self.outlet_m,
            speed_m_s: speed.clamp(0.3, 40.0),
            elevation_deg: up.clamp(-89.0, 89.0),
            azimuth_deg: across.clamp(-89.0, 89.0),
            spin: SpinRate { top_rev_s, side_rev_s, gyro_rev_s: 0.0 },
        };
        (launch, constants)
    }

    /// What these dials throw under these unknowns, and over which table.
    pub(super) fn throws(&self, scaled: &[f64], dials: &[f64]) -> (Launch, Constants) {
        self.thrown(&self.numbers(&self.unscaled(scaled), dials))
    }

    /// What would be seen of a launch where that was seen of a ball.
    fn sights(launch: &Launch, constants: &Constants, ball: &SeenBall) -> Option<Vec<f64>> {
        let land = usize::from(ball.is_service());
        let bounces = land + 1 + usize::from(ball.next_x_m.is_some());
        let until = Until { bounces, time_s: 4.0 };
        let path = follow(&launch.motion(), constants, until, COARSE_STEP_S);
        if path.bounces.len() < bounces {
            return None;
        }
        let sight = |which: usize| match which {
            0 => path.bounces[0].x_m(),
            1 => path.bounces[land].x_m(),
            2 => path.bounces[land].y_m(),
            _ => path.bounces[land + 1].x_m(),
        };
        Some(ball.seen().into_iter().map(|(which, _)| sight(which)).collect())
    }

    /// L of the covariance L L^T of what is seen of a ball: scatter through the flight, and
    /// reading.
    pub(super) fn spread(&self, scaled: &[f64], ball: &SeenBall, times: f64) -> Option<Matrix> {
        let (launch, constants) = self.throws(scaled, &ball.dials);
        let plain = Self::sights(&launch, &constants, ball)?;
        let Scatter { speed_share, angle_deg, spin_share } = self.scatter;
        let off = [
            Launch { speed_m_s: launch.speed_m_s * (1.0 + speed_share), ..launch },
            Launch { elevation_deg: launch.elevation_deg + angle_deg, ..launch },
            Launch { azimuth_deg: launch.azimuth_deg + angle_deg, ..launch },
            Launch { spin: launch.spin.scaled(1.0 + spin_share), ..launch },
        ];
        let mut covariance = vec![vec![0.0; plain.len()]; plain.len()];
        let read_m = if ball.is_by_eye { SEEN_M } else { READ_M };
        for (place, row) in covariance.iter_mut().enumerate() {
            row[place] = read_m * read_m;
        }
        for one in off {
            let there = Self::sights(&one, &constants, ball)?;
            let moved: Vec<f64> = there.iter().zip(&plain).map(|(b, a)| b - a).collect();
            for (row, own) in covariance.iter_mut().zip(&moved) {
                for (sum, other) in row.iter_mut().zip(&moved) {
                    *sum += own * other;
                }
            }
        }
        for sum in covariance.iter_mut().flatten() {
            *sum *= times;
        }
        cholesky(&covariance)
    }

    pub(super) fn spreads(&self, scaled: &[f64], times: f64) -> Option<Vec<Matrix>> {
        self.balls.iter().map(|ball| self.spread(scaled, ball, times)).collect()
    }

    /// Flown minus seen for a ball, in metres, in the order of [`SeenBall::seen`].
    pub(super) fn misses(&self, scaled: &[f64], ball: &SeenBall) -> Option<Vec<f64>> {
        let (launch, constants) = self.throws(scaled, &ball.dials);
        let flown = Self::sights(&launch, &constants, ball)?;
        Some(flown.iter().zip(ball.seen()).map(|(flown, (_, seen))| flown - seen).collect())
    }

    /// Change of what is seen of a ball with every unknown, in units of its spread: by differences
    /// of the few numbers a flight starts from, of which the dials make sums of the unknowns.
    pub(super) fn whitened_slopes(
        &self,
        scaled: &[f64],
        ball: &SeenBall,
        spread: &Matrix,
    ) -> Option<Matrix> {
        let numbers = self.numbers(&self.unscaled(scaled), &ball.dials);
        let sights = |numbers: &[f64; NUMBERS]| {
            let (launch, constants) = self.thrown(numbers);
            Self::sights(&launch, &constants, ball)
        };
        let plain = sights(&numbers)?;
        let mut slopes = vec![vec![0.0; self.sd.len()]; plain.len()];
        let mut add = |number: usize, width: f64, weights: &[(usize, f64)]| {
            let mut beside = numbers;
            beside[number] += DIFFERENCE * width;
            let moved: Vec<f64> = sights(&beside)?.iter().zip(&plain).map(|(b, a)| b - a).collect();
            for (row, moved) in slopes.iter_mut().zip(forward(spread, &moved)) {
                for &(at, counts) in weights {
                    row[at] += moved / (DIFFERENCE * width) * counts * self.sd[at];
                }
            }
            Some(())
        };
        for constant in 0..CONSTANTS {
            add(constant, self.sd[constant], &[(constant, 1.0)])?;
        }
        for part in &self.parts {
            add(CONSTANTS + part.quantity as usize, self.sd[part.at], &part.weights(&ball.dials))?;
        }
        Some(slopes)
    }

    /// All misses in units of their spread, then the distance of each unknown from its prior.
    pub(super) fn residuals(
        &self,
        scaled: &[f64],
        spreads: &[Matrix],
        priors: &[f64],
    ) -> Option<Vec<f64>> {
        let mut all = Vec::new();
        for (ball, spread) in self.balls.iter().zip(spreads) {
            all.extend(forward(spread, &self.misses(scaled, ball)?));
        }
        all.extend(scaled.iter().zip(priors).map(|(scaled, width)| scaled / width));
        Some(all)
    }

    /// Change of [`Self::residuals`] (rows) with every unknown.
    pub(super) fn slopes(
        &self,
        scaled: &[f64],
        spreads: &[Matrix],
        priors: &[f64],
    ) -> Option<Matrix> {
        let mut all = Matrix::new();
        for (ball, spread) in self.balls.iter().zip(spreads) {
            all.extend(self.whitened_slopes(scaled, ball, spread)?);
        }
        for (at, width) in priors.iter().enumerate() {
            let mut row = vec![0.0; priors.len()];
            row[at] = 1.0 / width;
            all.push(row);
        }
        Some(all)
    }
}
