//! How often a receive wins: the belief about one rate, and points counted with their weights.
//!
//! A point of the newest match counts one; each match back multiplies by [`FADING`]; a debrief from
//! memory counts [`DEBRIEF`]. A receive's belief starts at what is usual of it, moved by how the
//! player does against this opponent, and worth as many points as the player's own receives differ
//! little ([`crate::tactics::stroke_rates`]).

use std::f64::consts::FRAC_PI_2;

use serde::Serialize;
use statrs::function::beta::{beta_reg, inv_beta_reg, ln_beta};

/// How many points a mean is worth before any point of its own, where nothing else is known.
pub const STRENGTH: f64 = 8.0;
/// Weight kept per match back. Common practice, no source.
pub const FADING: f64 = 0.8;
/// Weight of a point told in a debrief instead of recorded.
pub const DEBRIEF: f64 = 0.5;

/// A belief about one rate, a beta distribution: `won` and `lost` are its two counts, prior
/// included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Belief {
    won: f64,
    lost: f64,
}

impl Belief {
    /// From a mean, taken as 0.001 to 0.999, and the number of points it is worth.
    pub fn from_mean(mean: f64, strength: f64) -> Self {
        let mean = mean.clamp(0.001, 0.999);
        Self { won: mean * strength, lost: (1.0 - mean) * strength }
    }

    /// The beta of this mean and this standard deviation (what a beta can have at most, else).
    pub fn from_moments(mean: f64, sd: f64) -> Self {
        let mean = mean.clamp(0.001, 0.999);
        let most = mean * (1.0 - mean);
        Self::from_mean(mean, (most / (sd * sd).max(1e-9) - 1.0).max(0.1))
    }

    /// The belief after `won` and `lost` further points (weights allowed).
    #[must_use]
    pub fn after(self, won: f64, lost: f64) -> Self {
        Self { won: self.won + won.max(0.0), lost: self.lost + lost.max(0.0) }
    }

    /// `a / (a + b)`
    pub fn mean(self) -> f64 {
        self.won / (self.won + self.lost)
    }

    /// `sqrt(a b / ((a+b)^2 (a+b+1)))`
    pub fn sd(self) -> f64 {
        let sum = self.won + self.lost;
        (self.won * self.lost / (sum * sum * (sum + 1.0))).sqrt()
    }

    /// The rate below which the belief holds the share `p`, zero to one.
    pub fn quantile(self, p: f64) -> f64 {
        inv_beta_reg(self.won, self.lost, p.clamp(0.0, 1.0))
    }

    /// Low and high end of the central interval that holds the share `level`, zero to one.
    pub fn interval(self, level: f64) -> (f64, f64) {
        let tail = (1.0 - level) / 2.0;
        (self.quantile(tail), self.quantile(1.0 - tail))
    }

    /// Chance that the rate is below `rate`.
    pub fn below(self, rate: f64) -> f64 {
        beta_reg(self.won, self.lost, rate.clamp(0.0, 1.0))
    }

    /// Density at `rate`, strictly between zero and one.
    pub fn density(self, rate: f64) -> f64 {
        let log = (self.won - 1.0) * rate.ln() + (self.lost - 1.0) * (1.0 - rate).ln();
        (log - ln_beta(self.won, self.lost)).exp()
    }

    /// Chance that this rate is above the other's, the two being independent.
    ///
    /// `P(A > B) = int f_A(x) F_B(x) dx`, by the substitution `x = (1 + tanh(pi/2 sinh t)) / 2`;
    /// exact
    /// to about 1e-10.
    pub fn above(self, other: Self) -> f64 {
        // The step resolves the narrower bell; 4 standard deviations a unit is far inside 1e-10.
        let step = (self.sd().min(other.sd()) * 0.8).clamp(1e-4, 1.0 / 16.0);
        let (mut sum, mut mass) = (0.0, 0.0);
        let mut t = -4.0;
        while t <= 4.0 {
            let x = 0.5 * (1.0 + (FRAC_PI_2 * f64::sinh(t)).tanh());
            if x > 0.0 && x < 1.0 {
                let jacobian = f64::cosh(t) / (FRAC_PI_2 * f64::sinh(t)).cosh().powi(2);
                let weight = self.density(x) * jacobian;
                if weight.is_finite() {
                    mass += weight;
                    sum += weight * other.below(x);
                }
            }
            t += step;
        }
        (sum / mass).clamp(0.0, 1.0)
    }
}

/// Weighted points won and played.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tally {
    /// Weight of the points won.
    pub won: f64,
    /// Weight of the points played.
    pub played: f64,
}

impl Tally {
    /// Counts one point at a weight.
    pub fn count(&mut self, won: bool, weight: f64) {
        self.add(f64::from(u8::from(won)), 1.0, weight);
    }

    /// Adds a whole count at one weight.
    pub fn add(&mut self, won: f64, played: f64, weight: f64) {
        self.won += won * weight;
        self.played += played * weight;
    }

    /// Points lost, by weight.
    pub fn lost(self) -> f64 {
        self.played - self.won
    }

    /// The belief from this count, shrunk to a prior.
    pub fn belief(self, prior: Belief) -> Belief {
        prior.after(self.won, self.lost())
    }
}

/// Weight of a match `age` matches back (0 is the newest).
pub fn fading(factor: f64, age: u32) -> f64 {
    factor.powi(i32::try_from(age).unwrap_or(i32::MAX))
}

/// How much a count of points can carry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Knowledge {
    /// Fewer than 5 points.
    #[serde(rename = "prior only")]
    PriorOnly,
    /// 5 to 14 points.
    Weak,
    /// 15 to 39 points.
    Usable,
    /// 40 points and more.
    Solid,
}

impl Knowledge {
    /// From a (weighted) number of points.
    pub fn from_points(points: f64) -> Self {
        match points {
            ..5.0 => Self::PriorOnly,
            ..15.0 => Self::Weak,
            ..40.0 => Self::Usable,
            _ => Self::Solid,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comparing_two_beliefs_either_way_sums_to_one() {
        for (a, b, c, d) in [(5.0, 3.0, 3.0, 5.0), (0.6, 0.7, 2.0, 9.0), (900.0, 800.0, 4.0, 4.0)] {
            let belief = |won, lost| Belief::from_mean(won / (won + lost), won + lost);
            let (x, y) = (belief(a, b), belief(c, d));
            let sum = x.above(y) + y.above(x);
            assert!((sum - 1.0).abs() < 1e-6, "{a} {b} {c} {d}: {sum}");
        }
    }

    #[test]
    fn four_points_are_prior_only_and_forty_are_solid() {
        assert_eq!(Knowledge::from_points(4.9), Knowledge::PriorOnly);
        assert_eq!(Knowledge::from_points(5.0), Knowledge::Weak);
        assert_eq!(Knowledge::from_points(15.0), Knowledge::Usable);
        assert_eq!(Knowledge::from_points(39.9), Knowledge::Usable);
        assert_eq!(Knowledge::from_points(40.0), Knowledge::Solid);
    }

    #[test]
    fn a_debrief_moves_a_rate_half_as_far() {
        let prior = Belief::from_mean(0.5, STRENGTH);
        let (mut recorded, mut debriefed) = (Tally::default(), Tally::default());
        recorded.add(4.0, 4.0, 1.0);
        debriefed.add(8.0, 8.0, DEBRIEF);
        assert_eq!(recorded, debriefed);
        assert!((recorded.belief(prior).mean() - 8.0 / 12.0).abs() < 1e-15);
    }
}
