//! Points counted with their weights, and how much such a count is worth.
//!
//! A point of the newest match counts one; each match back multiplies by [`FADING`]; a debrief from
//! memory counts [`DEBRIEF`]. A receive's belief starts at its family's mean with [`STRENGTH`] points.
//! The strength is fixed on purpose: estimated from five cells it is hardly more than its prior.

use super::beta::Belief;
use crate::tactics::fault::{TacticsError, within};

/// How many points the family mean is worth before any point of the receive itself.
pub const STRENGTH: f64 = 8.0;
/// Weight kept per match back. Common practice, no source.
pub const FADING: f64 = 0.8;
/// Weight of a point told in a debrief instead of recorded.
pub const DEBRIEF: f64 = 0.5;

/// Weighted points won and played.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tally {
    /// Weight of the points won.
    pub won: f64,
    /// Weight of the points played.
    pub played: f64,
}

impl Tally {
    /// Counts one point (or a share of one).
    ///
    /// # Errors
    /// A weight outside 0 to 1.
    pub fn count(&mut self, won: bool, weight: f64) -> Result<(), TacticsError> {
        let weight = within("weight", weight, 0.0, 1.0)?;
        self.played += weight;
        if won {
            self.won += weight;
        }
        Ok(())
    }

    /// Adds a whole count at one weight.
    ///
    /// # Errors
    /// More won than played, or a weight outside 0 to 1.
    pub fn add(&mut self, won: f64, played: f64, weight: f64) -> Result<(), TacticsError> {
        let weight = within("weight", weight, 0.0, 1.0)?;
        let played = within("played", played, 0.0, 1e5)?;
        self.won += within("won", won, 0.0, played)? * weight;
        self.played += played * weight;
        Ok(())
    }

    /// Points lost, by weight.
    pub fn lost(self) -> f64 {
        self.played - self.won
    }

    /// Both together.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { won: self.won + other.won, played: self.played + other.played }
    }

    /// The belief from this count, shrunk to a prior.
    ///
    /// # Errors
    /// None for a tally of at most a million points.
    pub fn belief(self, prior: Belief) -> Result<Belief, TacticsError> {
        prior.after(self.won, self.lost().max(0.0))
    }

    /// How much the count is worth.
    pub fn knowledge(self) -> Knowledge {
        Knowledge::from_points(self.played)
    }
}

/// Weight of a match `age` matches back (0 is the newest).
pub fn fading(factor: f64, age: u32) -> f64 {
    factor.powi(i32::try_from(age).unwrap_or(i32::MAX))
}

/// How much a count of points can carry, in one of four plain words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Knowledge {
    /// Fewer than 5 points.
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
        if points < 5.0 {
            Self::PriorOnly
        } else if points < 15.0 {
            Self::Weak
        } else if points < 40.0 {
            Self::Usable
        } else {
            Self::Solid
        }
    }

    /// The word a player reads.
    pub fn word(self) -> &'static str {
        match self {
            Self::PriorOnly => "prior only",
            Self::Weak => "weak",
            Self::Usable => "usable",
            Self::Solid => "solid",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_points_are_prior_only_and_forty_are_solid() {
        let word = |points| Knowledge::from_points(points).word();
        assert_eq!(word(4.9), "prior only");
        assert_eq!(word(5.0), "weak");
        assert_eq!(word(15.0), "usable");
        assert_eq!(word(39.9), "usable");
        assert_eq!(word(40.0), "solid");
    }

    #[test]
    fn a_debrief_moves_a_rate_half_as_far() {
        let prior = Belief::from_mean(0.5, STRENGTH).unwrap();
        let (mut recorded, mut told) = (Tally::default(), Tally::default());
        recorded.add(4.0, 4.0, 1.0).unwrap();
        told.add(8.0, 8.0, DEBRIEF).unwrap();
        assert_eq!(recorded, told);
        assert!((recorded.belief(prior).unwrap().mean() - 8.0 / 12.0).abs() < 1e-15);
    }
}
