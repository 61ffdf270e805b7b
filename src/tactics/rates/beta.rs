//! A belief about one rate: a beta distribution.
//!
//! Mean, spread, quantiles and the chance that one rate is above another. Special functions come from
//! statrs; the comparison of two beliefs is a double-exponential quadrature, exact to about 1e-10.

use std::f64::consts::FRAC_PI_2;

use statrs::distribution::{Beta, Continuous, ContinuousCDF};
use statrs::function::beta::beta_reg;

use super::interval::Interval;
use crate::tactics::fault::{TacticsError, chance, within};

/// Greatest total count a belief may hold; beyond it the quadrature is no longer resolved.
const MOST_COUNT: f64 = 1e6;

/// A beta belief: `won` and `lost` are its two counts, prior included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Belief {
    won: f64,
    lost: f64,
}

impl Belief {
    /// From the two counts, both above zero.
    ///
    /// # Errors
    /// A count that is not between 0.01 and a million.
    pub fn new(won: f64, lost: f64) -> Result<Self, TacticsError> {
        Ok(Self {
            won: within("won", won, 0.01, MOST_COUNT)?,
            lost: within("lost", lost, 0.01, MOST_COUNT)?,
        })
    }

    /// From a mean and the number of points it is worth.
    ///
    /// # Errors
    /// A mean outside 0.001 to 0.999, a strength outside 0.1 to 100 000.
    pub fn from_mean(mean: f64, strength: f64) -> Result<Self, TacticsError> {
        let mean = within("mean", mean, 0.001, 0.999)?;
        let strength = within("strength", strength, 0.1, 1e5)?;
        Ok(Self { won: mean * strength, lost: (1.0 - mean) * strength })
    }

    /// The belief after `won` and `lost` further points (weights allowed).
    ///
    /// # Errors
    /// A negative or absurd count.
    pub fn after(self, won: f64, lost: f64) -> Result<Self, TacticsError> {
        let won = within("won", won, 0.0, MOST_COUNT)?;
        let lost = within("lost", lost, 0.0, MOST_COUNT)?;
        Self::new(self.won + won, self.lost + lost)
    }

    /// Count of points won, prior included.
    pub fn won(self) -> f64 {
        self.won
    }

    /// Count of points lost, prior included.
    pub fn lost(self) -> f64 {
        self.lost
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

    /// The rate below which the belief holds the share `p`.
    ///
    /// # Errors
    /// A share outside zero to one.
    pub fn quantile(self, p: f64) -> Result<f64, TacticsError> {
        Ok(self.distribution()?.inverse_cdf(chance("p", p)?))
    }

    /// The central interval that holds the share `level`.
    ///
    /// # Errors
    /// A level outside zero to one.
    pub fn interval(self, level: f64) -> Result<Interval, TacticsError> {
        let tail = (1.0 - chance("level", level)?) / 2.0;
        Ok(Interval { low: self.quantile(tail)?, high: self.quantile(1.0 - tail)? })
    }

    /// Chance that the rate is below `rate`.
    pub fn below(self, rate: f64) -> f64 {
        if rate <= 0.0 {
            0.0
        } else if rate >= 1.0 {
            1.0
        } else {
            beta_reg(self.won, self.lost, rate)
        }
    }

    /// Density at `rate`, up to a constant.
    pub(crate) fn weight(self, rate: f64) -> f64 {
        ((self.won - 1.0) * rate.ln() + (self.lost - 1.0) * (1.0 - rate).ln()).exp()
    }

    /// Chance that this rate is above the other's, the two being independent.
    ///
    /// `P(A > B) = int f_A(x) F_B(x) dx`, by the substitution `x = (1 + tanh(pi/2 sinh t)) / 2`.
    ///
    /// # Errors
    /// None for a belief made by [`Belief::new`]; the signature leaves room for refusal.
    pub fn above(self, other: Self) -> Result<f64, TacticsError> {
        let density = self.distribution()?;
        // The step resolves the narrower bell; 4 standard deviations a unit is far inside 1e-10.
        let step = (self.sd().min(other.sd()) * 0.8).clamp(1e-4, 1.0 / 16.0);
        let (mut sum, mut mass) = (0.0, 0.0);
        let mut t = -4.0;
        while t <= 4.0 {
            let x = 0.5 * (1.0 + (FRAC_PI_2 * f64::sinh(t)).tanh());
            if x > 0.0 && x < 1.0 {
                let jacobian = f64::cosh(t) / (FRAC_PI_2 * f64::sinh(t)).cosh().powi(2);
                let weight = density.pdf(x) * jacobian;
                if weight.is_finite() {
                    mass += weight;
                    sum += weight * other.below(x);
                }
            }
            t += step;
        }
        Ok((sum / mass).clamp(0.0, 1.0))
    }

    fn distribution(self) -> Result<Beta, TacticsError> {
        Beta::new(self.won, self.lost).map_err(|_| TacticsError::OutOfRange {
            what: "won",
            value: self.won,
            least: 0.01,
            most: MOST_COUNT,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comparing_two_beliefs_either_way_sums_to_one() {
        for (a, b, c, d) in [(5.0, 3.0, 3.0, 5.0), (0.6, 0.7, 2.0, 9.0), (900.0, 800.0, 4.0, 4.0)] {
            let (x, y) = (Belief::new(a, b).unwrap(), Belief::new(c, d).unwrap());
            let sum = x.above(y).unwrap() + y.above(x).unwrap();
            assert!((sum - 1.0).abs() < 1e-6, "{a} {b} {c} {d}: {sum}");
        }
    }

    #[test]
    fn an_empty_belief_is_refused() {
        assert!(Belief::new(0.0, 1.0).is_err());
        assert!(Belief::from_mean(1.0, 8.0).is_err());
    }
}
