//! The adaptation filter with the drop left open: how much being read costs is learned from the
//! same balls.
//!
//! A receive that wins nine of ten unwatched and hardly any when they wait loses far more than the
//! usual drop; with one assumed drop the filter would have to call its rate low instead. So a
//! filter runs for each of a few drops, and each is weighed by how likely it makes every ball.

use crate::base::{Bound, OutOfBounds};
use crate::tactics::adaptation::{Assumptions, Filter, Outlook};
use crate::tactics::rates::Belief;

/// What an answer loses when it is read, of one point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadDrop(f64);

impl ReadDrop {
    /// Assumed before any point. Assumption.
    pub const ASSUMED: Self = Self(0.15);
    /// A small one and a large one, tried beside it. Assumption.
    pub const SMALL: Self = Self(0.08);
    pub const LARGE: Self = Self(0.25);
    const BOUND: Bound =
        Bound { what: "`drop`", unit: "", least: 0.0, most: 0.6, source: "assumption" };

    /// # Errors
    /// [`OutOfBounds`] for less than nothing or more than 0.6.
    pub fn new(share: f64) -> Result<Self, OutOfBounds> {
        Self::BOUND.check(share).map(Self)
    }

    /// As a share of a point.
    pub const fn share(self) -> f64 {
        self.0
    }

    /// The same for an answer that wins so little unread that it cannot lose as much.
    pub fn within(self, unread: f64) -> f64 {
        self.0.min(unread * 0.9)
    }
}

/// Drops held possible, with their weights before the first ball: the three of the advice's table,
/// hardly any, and a steep one. Assumption.
const DROPS: [(f64, f64); 5] = [(0.03, 0.1), (0.08, 0.2), (0.15, 0.35), (0.25, 0.25), (0.5, 0.1)];

/// One filter for each drop.
#[derive(Clone, Debug)]
pub struct OpenDrop {
    filters: Vec<(f64, Filter)>,
}

impl OpenDrop {
    /// Before the first ball; with a drop given, only that one.
    pub fn new(unread: Belief, drop: Option<ReadDrop>) -> Self {
        let drops = drop.map_or_else(|| DROPS.to_vec(), |drop| vec![(drop.share(), 1.0)]);
        let filter = |drop| Filter::new(Assumptions::usual(unread, drop));
        Self { filters: drops.into_iter().map(|(drop, weight)| (weight, filter(drop))).collect() }
    }

    /// After something that says nothing about the drop.
    pub fn each(&mut self, change: impl FnMut(&mut Filter)) {
        self.filters.iter_mut().map(|(_, filter)| filter).for_each(change);
    }

    /// After a ball, which each filter finds `likely`: what it does with it gives how likely.
    pub fn weigh(&mut self, mut likely: impl FnMut(&mut Filter) -> f64) {
        for (weight, filter) in &mut self.filters {
            *weight *= likely(filter);
        }
        let sum: f64 = self.filters.iter().map(|(weight, _)| weight).sum();
        if sum > 0.0 {
            self.filters.iter_mut().for_each(|(weight, _)| *weight /= sum);
        }
    }

    /// What all say together about the next ball.
    pub fn outlook(&self, alternative: Belief) -> Outlook {
        let mut together = Outlook { read: 0.0, assumed: 0.0, win: 0.0, other_better: 0.0 };
        for (weight, filter) in &self.filters {
            let one = filter.outlook(alternative);
            together.read += weight * one.read;
            together.assumed += weight * one.assumed;
            together.win += weight * one.win;
            together.other_better += weight * one.other_better;
        }
        together
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tactics::adaptation::Exposure;

    /// Wins nearly always unwatched, hardly ever when they wait.
    fn steep(filter: &mut OpenDrop) {
        for ball in 0..24 {
            filter.weigh(|one| one.see(Exposure { won: ball % 8 > 0, waiting: Some(false) }));
        }
        for ball in 0..24 {
            filter.weigh(|one| one.see(Exposure { won: ball % 12 == 0, waiting: Some(true) }));
        }
    }

    #[test]
    fn a_receive_that_collapses_when_read_is_not_taken_for_a_weak_one() {
        let prior = Belief::from_mean(0.5, 8.0);
        let (mut open, mut usual) =
            (OpenDrop::new(prior, None), OpenDrop::new(prior, Some(ReadDrop::ASSUMED)));
        steep(&mut open);
        steep(&mut usual);
        let (open, usual) = (open.outlook(prior), usual.outlook(prior));
        assert!(open.read > 0.95 && usual.read > 0.9);
        // Two of twenty-four won while they waited.
        assert!(open.win < 0.25, "{}", open.win);
        assert!(usual.win > open.win + 0.1, "{} {}", usual.win, open.win);
    }

    #[test]
    fn a_drop_that_is_given_is_the_only_one() {
        let prior = Belief::from_mean(0.5, 8.0);
        let mut given = OpenDrop::new(prior, Some(ReadDrop::new(0.2).unwrap()));
        let mut alone = Filter::new(Assumptions::usual(prior, 0.2));
        for won in [true, false, false] {
            given.weigh(|one| one.see(Exposure { won, waiting: None }));
            alone.see(Exposure { won, waiting: None });
        }
        assert!((given.outlook(prior).win - alone.outlook(prior).win).abs() < 1e-12);
    }
}
