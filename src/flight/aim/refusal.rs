//! Why nothing fits: which limit bit, what was missed, and the nearest ball that is possible.

use super::measure::{Band, Measure};
use super::outcome::Aimed;
use super::request::{Origin, Request};
use super::solve::{Landing, Pull};
use crate::flight::FlightError;

/// Where the search ends when nothing fits.
pub(super) struct Nearest {
    /// The nearest ball that keeps what can be kept.
    pub(super) ball: Landing,
    /// The ball that leans on every limit at once, which shows the limits.
    pub(super) leaning: Landing,
    /// What it leans on.
    pub(super) pulls: Vec<Pull>,
}

/// Why there is no launch.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AimError {
    /// The request itself is impossible to read.
    #[error(transparent)]
    Numbers(#[from] FlightError),
    /// No ball does all of it.
    #[error("no ball does all of that")]
    Refused(Box<Refusal>),
}

/// A band that the nearest ball does not reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Miss {
    /// What it is about.
    pub measure: Measure,
    /// Where it should have been.
    pub band: Band,
    /// Who asks for it.
    pub origin: Origin,
    /// Where the nearest ball is.
    pub got: f64,
}

/// Nothing does all that was asked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Refusal {
    /// The limit that stands in the way, worst first: something firm (a law, the table, the
    /// launcher) that the nearest ball leans on.
    pub limits: Vec<Miss>,
    /// What the nearest ball misses, worst first.
    pub misses: Vec<Miss>,
    /// The nearest ball that is legal, if any is.
    pub nearest: Option<Aimed>,
}

impl Refusal {
    /// Reads where the search ended: bands the nearest ball misses, and firm ones it leans on.
    pub(super) fn explain(request: &Request, searched: &Nearest, nearest: Option<Aimed>) -> Self {
        let mut limits = Vec::new();
        let mut misses = Vec::new();
        for (wish, pull) in request.wishes.iter().zip(&searched.pulls) {
            let size = wish.measure.scale();
            let miss = |landing: &Landing| Miss {
                measure: wish.measure,
                band: wish.band,
                origin: wish.origin,
                got: landing.measured[wish.measure as usize],
            };
            if matches!(wish.origin, Origin::Law | Origin::Launcher) {
                // Leaning: outside the slightly smaller band of the solver.
                let leaning = miss(&searched.leaning);
                let force = pull.band.outside(leaning.got).abs() / size;
                if force > 0.0 {
                    limits.push((force, leaning));
                }
            } else {
                let nearest = miss(&searched.ball);
                let missed = wish.band.outside(nearest.got).abs() / size;
                if missed > 1e-4 {
                    misses.push((missed, nearest));
                }
            }
        }
        let sorted = |mut list: Vec<(f64, Miss)>| -> Vec<Miss> {
            // A launcher's limit first: that is the one a person can do something about.
            list.sort_by(|a, b| {
                let of_launcher = |miss: &Miss| miss.origin == Origin::Launcher;
                of_launcher(&b.1).cmp(&of_launcher(&a.1)).then(b.0.total_cmp(&a.0))
            });
            list.into_iter().map(|(_, miss)| miss).collect()
        };
        Self { limits: sorted(limits), misses: sorted(misses), nearest }
    }

    /// Whether the nearest ball does all that was asked and only does not look like a serve.
    pub fn is_only_unlike_a_serve(&self) -> bool {
        self.nearest.is_some()
            && !self.misses.is_empty()
            && self.misses.iter().all(|miss| miss.origin == Origin::LikeAServe)
    }
}
