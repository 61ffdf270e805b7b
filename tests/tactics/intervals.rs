//! Classical intervals for a plain count of points won out of points played.
//!
//! What a naive reading of the same points would claim: the outside view the beliefs are compared
//! with.
//!
//! # Source
//! Newcombe, Stat. Med. 17 (1998) 857-872 (Wilson, continuity correction, Clopper-Pearson, mid-P);
//! Brown, Cai & `DasGupta`, Stat. Sci. 16 (2001) 101-133 (Jeffreys and its modification at the
//! edges).

use statrs::distribution::{ContinuousCDF, Normal};
use statrs::function::beta::beta_reg;

use super::cases::counts;

/// Two ends of a range of rates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Interval {
    /// Lower end.
    pub(super) low: f64,
    /// Upper end.
    pub(super) high: f64,
}

/// Won points out of played points, with the level asked for: all checked once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PlainCount {
    won: f64,
    played: f64,
    tail: f64,
}

impl PlainCount {
    /// `won` of `played` points (weights allowed, at least a hundredth of a point) at a level such
    /// as 0.95.
    pub(super) fn new(won: f64, played: f64, level: f64) -> Self {
        Self { won, played, tail: (1.0 - level) / 2.0 }
    }

    /// Wilson's score interval.
    pub(super) fn wilson(self) -> Interval {
        let (n, p, z) = (self.played, self.won / self.played, self.z());
        let middle = p + z * z / (2.0 * n);
        let half = z * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
        let whole = 1.0 + z * z / n;
        self.edged((middle - half) / whole, (middle + half) / whole)
    }

    /// Wilson's interval with a continuity correction.
    pub(super) fn wilson_corrected(self) -> Interval {
        let (n, x, z) = (self.played, self.won, self.z());
        let (p, q) = (x / n, 1.0 - x / n);
        let whole = 2.0 * (n + z * z);
        let middle = 2.0 * x + z * z;
        let low = z * z - 2.0 - 1.0 / n + 4.0 * p * (n * q + 1.0);
        let high = z * z + 2.0 - 1.0 / n + 4.0 * p * (n * q - 1.0);
        self.edged(
            (middle - 1.0 - z * low.max(0.0).sqrt()) / whole,
            (middle + 1.0 + z * high.max(0.0).sqrt()) / whole,
        )
    }

    /// Clopper and Pearson's interval, from the exact binomial tails.
    pub(super) fn clopper_pearson(self) -> Interval {
        // P(X >= x | p) = tail below, P(X <= x | p) = tail above.
        self.edged(
            solve(|p| self.at_least(self.won, p), self.tail),
            solve(|p| self.at_least(self.won + 1.0, p), 1.0 - self.tail),
        )
    }

    /// The mid-P interval: half the probability of what was seen counts.
    pub(super) fn mid_p(self) -> Interval {
        let middle = |p: f64| 0.5 * (self.at_least(self.won, p) + self.at_least(self.won + 1.0, p));
        self.edged(solve(middle, self.tail), solve(middle, 1.0 - self.tail))
    }

    /// Jeffreys' interval, beta with half a point each way; zero or one at the edges.
    pub(super) fn jeffreys(self) -> Interval {
        let raw = self.jeffreys_plain();
        self.edged(raw.low, raw.high)
    }

    /// Jeffreys' interval without the correction at nothing won or everything won.
    pub(super) fn jeffreys_plain(self) -> Interval {
        let belief = counts(self.won + 0.5, self.played - self.won + 0.5);
        let (low, high) = belief.interval(1.0 - 2.0 * self.tail);
        Interval { low, high }
    }

    /// Jeffreys' interval as modified by Brown, Cai and `DasGupta` for the two counts at either
    /// edge.
    pub(super) fn jeffreys_modified(self) -> Interval {
        let mut limits = self.jeffreys();
        let lost = self.played - self.won;
        if self.won == 0.0 {
            limits.high = 1.0 - self.tail.powf(1.0 / self.played);
        } else if self.won == 1.0 {
            limits.low = 0.0;
        }
        if lost == 0.0 {
            limits.low = self.tail.powf(1.0 / self.played);
        } else if lost == 1.0 {
            limits.high = 1.0;
        }
        limits
    }

    /// `P(X >= x)` for a binomial, as a function of its chance; zero points or less is certain.
    fn at_least(self, x: f64, p: f64) -> f64 {
        if x <= 0.0 {
            1.0
        } else if x > self.played {
            0.0
        } else {
            beta_reg(x, self.played - x + 1.0, p)
        }
    }

    fn edged(self, low: f64, high: f64) -> Interval {
        Interval {
            low: if self.won == 0.0 { 0.0 } else { low.max(0.0) },
            high: if self.won == self.played { 1.0 } else { high.min(1.0) },
        }
    }

    fn z(self) -> f64 {
        Normal::standard().inverse_cdf(1.0 - self.tail)
    }
}

/// The chance at which a rising function reaches `wanted`, by halving; 60 halvings exhaust an f64.
fn solve(rising: impl Fn(f64) -> f64, wanted: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if rising(middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
