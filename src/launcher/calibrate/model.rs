//! What a calibration looks for, and what the flight says a ball with such constants and dials
//! would do.
//!
//! Unknowns are friction, restitution, drag, and for each quantity the values of its curve at the
//! ends of the thrown dial values (at each value for a stepped dial). Each has a prior: the
//! constants those of the model with the error it states, the curves anything within the launcher's
//! ranges. How much two balls of one setting differ, the launcher's scatter, is carried through the
//! flight, so that bounces of one ball count as the related things they are.

use super::least_squares::{Matrix, cholesky, forward};
use crate::flight::Constants;
use crate::flight::aim::Scatter;
use crate::flight::path::{COARSE_STEP_S, Until, follow};
use crate::flight::{Launch, SpinRate};
use crate::launcher::curves::through;
use crate::launcher::dials::Feature;
use crate::launcher::settings::Quantity;
use crate::launcher::{Launcher, Span, ThrowingMachine, Wheels};

/// How well a bounce is read off paper on the table, metres: one standard deviation.
const READ_M: f64 = 0.01;
/// Prior standard deviations of friction, restitution and drag: the model's own stated error, for
/// restitution wide enough for both witnesses of the usual one, services and dropped balls.
const CONSTANTS_SD: [f64; 3] = [0.05, 0.05, 0.04];

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

    /// What was seen: of first bounce x, landing x and y and next bounce x which, and its value.
    pub(super) fn seen(&self) -> Vec<(usize, f64)> {
        let sights = [self.first_x_m, Some(self.land_m[0]), Some(self.land_m[1]), self.next_x_m];
        sights.into_iter().enumerate().filter_map(|(at, seen)| Some((at, seen?))).collect()
    }
}

/// One quantity with its unknowns.
#[derive(Debug, Clone)]
pub(super) struct CurvePart {
    pub(super) quantity: Quantity,
    /// None when no dial sets it.
    pub(super) feature: Option<Feature>,
    /// Feature values with an unknown each; one when it never changed.
    pub(super) nodes: Vec<f64>,
    /// Its first unknown.
    pub(super) at: usize,
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
    scatter: Scatter,
}

/// How many constants come before the curves.
pub(super) const CONSTANTS: usize = 3;

impl<'a> ThrowModel<'a> {
    pub(super) fn new(
        launcher: &'a Launcher,
        machine: &'a ThrowingMachine,
        outlet_m: [f64; 3],
        stepped: &[Quantity],
        balls: &'a [SeenBall],
    ) -> Self {
        let base = Constants::default();
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
            // weak.
            middle.extend(values.iter().map(|_| centre));
            sd.extend(values.iter().map(|_| width));
            parts.push(CurvePart { quantity, feature, nodes: values, at });
        }
        let scatter = machine.flight_scatter();
        Self { launcher, machine, balls, outlet_m, base, parts, middle, sd, scatter }
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

    /// The constants among the unknowns.
    pub(super) fn constants(&self, unknowns: &[f64]) -> Constants {
        let mut constants = self.base;
        constants.surface.friction = unknowns[0].clamp(0.0, 2.0);
        constants.surface.restitution = unknowns[1].clamp(0.3, 1.0);
        constants.air.drag = unknowns[2].clamp(0.0, 2.0);
        constants
    }

    /// What these dials make under these unknowns.
    pub(super) fn launch(&self, unknowns: &[f64], dials: &[f64]) -> Launch {
        let mut launch = Launch {
            outlet_m: self.outlet_m,
            speed_m_s: 0.0,
            elevation_deg: 0.0,
            azimuth_deg: 0.0,
            spin: SpinRate::DEAD,
        };
        for part in &self.parts {
            let makes = part.makes(unknowns, dials);
            match part.quantity {
                Quantity::Speed => launch.speed_m_s = makes.clamp(0.3, 40.0),
                Quantity::TopSpin => launch.spin.top_rev_s = makes,
                Quantity::SideSpin => launch.spin.side_rev_s = makes,
                Quantity::Elevation => launch.elevation_deg = makes.clamp(-89.0, 89.0),
                Quantity::Azimuth => launch.azimuth_deg = makes.clamp(-89.0, 89.0),
            }
        }
        launch
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
    pub(super) fn spread(&self, scaled: &[f64], ball: &SeenBall) -> Option<Matrix> {
        let unknowns = self.unscaled(scaled);
        let launch = self.launch(&unknowns, &ball.dials);
        let constants = self.constants(&unknowns);
        let plain = Self::sights(&launch, &constants, ball)?;
        let Scatter { speed_share, angle_deg, spin_share } = self.scatter;
        let off = [
            Launch { speed_m_s: launch.speed_m_s * (1.0 + speed_share), ..launch },
            Launch { elevation_deg: launch.elevation_deg + angle_deg, ..launch },
            Launch { azimuth_deg: launch.azimuth_deg + angle_deg, ..launch },
            Launch { spin: launch.spin.scaled(1.0 + spin_share), ..launch },
        ];
        let mut covariance = vec![vec![0.0; plain.len()]; plain.len()];
        for (place, row) in covariance.iter_mut().enumerate() {
            row[place] = READ_M * READ_M;
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
        cholesky(&covariance)
    }

    pub(super) fn spreads(&self, scaled: &[f64]) -> Option<Vec<Matrix>> {
        self.balls.iter().map(|ball| self.spread(scaled, ball)).collect()
    }

    /// Flown minus seen for a ball, in metres, in the order of [`SeenBall::seen`].
    pub(super) fn misses(&self, scaled: &[f64], ball: &SeenBall) -> Option<Vec<f64>> {
        let unknowns = self.unscaled(scaled);
        let launch = self.launch(&unknowns, &ball.dials);
        let flown = Self::sights(&launch, &self.constants(&unknowns), ball)?;
        Some(flown.iter().zip(ball.seen()).map(|(flown, (_, seen))| flown - seen).collect())
    }

    /// All misses in units of their spread, then the distance of each unknown from its prior.
    pub(super) fn residuals(&self, scaled: &[f64], spreads: &[Matrix]) -> Option<Vec<f64>> {
        let mut all = Vec::new();
        for (ball, spread) in self.balls.iter().zip(spreads) {
            all.extend(forward(spread, &self.misses(scaled, ball)?));
        }
        all.extend_from_slice(scaled);
        Some(all)
    }
}

impl CurvePart {
    /// The curve at these dials.
    fn makes(&self, unknowns: &[f64], dials: &[f64]) -> f64 {
        let dial = self.feature.as_ref().map_or(0.0, |feature| feature.value(dials));
        through(self.nodes.len(), |at| (self.nodes[at], unknowns[self.at + at]), dial)
    }
}

/// The launcher's range of a quantity.
fn range(machine: &ThrowingMachine, quantity: Quantity) -> Span {
    match quantity {
        Quantity::Speed => machine.speed_m_s,
        Quantity::TopSpin if machine.wheels == Wheels::One => {
            let spins = || machine.tied.iter().map(|point| point.spin_rev_s);
            let (least, most) =
                (spins().fold(f64::INFINITY, f64::min), spins().fold(f64::NEG_INFINITY, f64::max));
            if least < most { Span::new(least, most) } else { machine.spin_rev_s }
        }
        Quantity::TopSpin => machine.spin_rev_s,
        Quantity::SideSpin => {
            let most = machine.strongest_rev_s();
            Span::new(-most, most)
        }
        Quantity::Elevation => machine.elevation_deg,
        Quantity::Azimuth => machine.azimuth_deg,
    }
}

/// Prior middle and standard deviation of a curve's value: the middle of the range, give or take
/// half of it, however the dial runs.
fn prior(machine: &ThrowingMachine, quantity: Quantity) -> (f64, f64) {
    let span = range(machine, quantity);
    (0.5 * (span.least + span.most), (0.5 * (span.most - span.least)).max(1.0))
}
