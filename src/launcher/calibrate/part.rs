//! One quantity as its dial makes it: a line between the ends of what was thrown (a value for each
//! step of a stepped dial), bends between them, and what every other dial adds.
//!
//! ```text
//! makes = line(dial) + sum_k b_k sin(pi k u) + sum_other (l v + q (v^2 - mean v^2) + p v (2u - 1))
//! ```
//!
//! with u from 0 to 1 along the thrown values and v from -1 to 1 about the middle ones of another
//! dial.

use std::f64::consts::PI;

use crate::launcher::curves::through;
use crate::launcher::dials::{Feature, without_dust};
use crate::launcher::settings::Quantity;
use crate::launcher::{Span, ThrowingMachine, Wheels};

/// Prior standard deviations of the first bend of a dial, and of l, q and p, as shares of half the
/// quantity's range over the whole scale: a judgement, which the balls overrule.
pub(super) const BEND: f64 = 0.1;
pub(super) const MOVE: [f64; MOVES] = [0.04, 0.02, 0.02];
/// How many bends a dial may have.
pub(super) const BENDS: usize = 3;
/// How many unknowns say what another dial adds.
pub(super) const MOVES: usize = 3;

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
    /// Its first bend.
    pub(super) bend_at: Option<usize>,
    pub(super) movers: Vec<Mover>,
}

/// A dial that may add to what another sets.
#[derive(Debug, Clone)]
pub(super) struct Mover {
    /// What it sets itself.
    pub(super) sets: Quantity,
    pub(super) feature: Feature,
    /// The lowest and the highest of its thrown values.
    pub(super) ends: [f64; 2],
    /// Their mean, and from there to the farther end.
    pub(super) middle: f64,
    pub(super) half: f64,
    /// Mean of the squares of v over the balls.
    pub(super) square: f64,
    /// Its first unknown, the one of v itself.
    pub(super) at: usize,
}

impl Mover {
    /// A dial that was moved, from the dials of each ball.
    pub(super) fn from_part(part: &CurvePart, thrown: &[&[f64]]) -> Option<Self> {
        let feature = part.feature.clone().filter(|_| part.nodes.len() >= 2)?;
        let mean = |of: &dyn Fn(&[f64]) -> f64| {
            thrown.iter().map(|dials| of(dials)).sum::<f64>() / thrown.len() as f64
        };
        let middle = mean(&|dials| feature.value(dials));
        let ends = [part.nodes[0], part.nodes[part.nodes.len() - 1]];
        let half = (ends[1] - middle).max(middle - ends[0]);
        let square = mean(&|dials| ((feature.value(dials) - middle) / half).powi(2));
        Some(Self { sets: part.quantity, feature, ends, middle, half, square, at: 0 })
    }

    /// What its unknowns count where the moved quantity's own dial stands `along` its values.
    fn weights(&self, along: f64, dials: &[f64]) -> [(usize, f64); MOVES] {
        let v = (self.feature.value(dials) - self.middle) / self.half;
        let counts = [v, v * v - self.square, v * (2.0 * along - 1.0)];
        std::array::from_fn(|place| (self.at + place, counts[place]))
    }
}

impl CurvePart {
    /// Its thrown values from end to end in so many equal parts.
    pub(super) fn between(&self, parts: u32) -> Vec<f64> {
        let (first, last) = (self.nodes[0], self.nodes[self.nodes.len() - 1]);
        let along = |part| f64::from(part) / f64::from(parts);
        (0..=parts).map(|part| without_dust(first + along(part) * (last - first))).collect()
    }

    /// The value it is read at.
    pub(super) fn dial(&self, dials: &[f64]) -> f64 {
        self.feature.as_ref().map_or(0.0, |feature| feature.value(dials))
    }

    /// The unknowns that make it at these dials, each with what it counts.
    pub(super) fn weights(&self, dials: &[f64]) -> Vec<(usize, f64)> {
        let dial = self.dial(dials);
        self.own_weights(dial).into_iter().chain(self.moved_weights(dial, dials)).collect()
    }

    /// The same of its own dial.
    pub(super) fn own_weights(&self, dial: f64) -> Vec<(usize, f64)> {
        [self.line_weights(dial), self.bend_weights(dial)].concat()
    }

    /// And of the other ones.
    pub(super) fn moved_weights(&self, dial: f64, dials: &[f64]) -> Vec<(usize, f64)> {
        let along = self.along(dial);
        self.movers.iter().flat_map(|other| other.weights(along, dials)).collect()
    }

    /// From 0 to 1 between the ends of what was thrown.
    fn along(&self, dial: f64) -> f64 {
        let (first, last) = (self.nodes[0], self.nodes[self.nodes.len() - 1]);
        if first < last { ((dial - first) / (last - first)).clamp(0.0, 1.0) } else { 0.5 }
    }

    fn line_weights(&self, dial: f64) -> Vec<(usize, f64)> {
        let count = |at: usize| {
            let one = |node: usize| (self.nodes[node], f64::from(u8::from(node == at)));
            through(self.nodes.len(), one, dial)
        };
        (0..self.nodes.len()).map(|at| (self.at + at, count(at))).collect()
    }

    /// What its bends count.
    pub(super) fn bend_weights(&self, dial: f64) -> Vec<(usize, f64)> {
        let Some(bend) = self.bend_at else { return Vec::new() };
        let along = self.along(dial);
        (0..BENDS).map(|at| (bend + at, (PI * (at + 1) as f64 * along).sin())).collect()
    }
}

/// The launcher's range of a quantity.
pub(super) fn range(machine: &ThrowingMachine, quantity: Quantity) -> Span {
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
pub(super) fn prior(machine: &ThrowingMachine, quantity: Quantity) -> (f64, f64) {
    let span = range(machine, quantity);
    (0.5 * (span.least + span.most), (0.5 * (span.most - span.least)).max(1.0))
}
