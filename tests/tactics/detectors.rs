//! Sequential tests for "the rate has dropped from p0 to p1", and how often each cries wolf.
//!
//! The advice does not decide with these; they are what no rule can escape. All shares are exact, by
//! recursion over the score of the test.
//!
//! # Source
//! Wald, Sequential Analysis (1947); Page, Biometrika 41 (1954) 100; Shiryaev 1963 and Roberts
//! 1966.

#![expect(clippy::unwrap_used, reason = "a refused value is a failed test")]

use secondball::tactics::chance::binomial;

/// The two rates a test tells apart: `p0` as planned, `p1` once read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rates {
    p0: f64,
    p1: f64,
}

impl Rates {
    /// Two different rates strictly between zero and one.
    pub(super) fn new(p0: f64, p1: f64) -> Self {
        assert!(p1 > 0.0 && p1 < p0 && p0 < 1.0);
        Self { p0, p1 }
    }

    /// Log-likelihood ratio (read against as planned) of one point, in nats.
    pub(super) fn step(self, won: bool) -> f64 {
        self.ratio(won).ln()
    }

    /// Mean step once read: how many nats a point carries.
    pub(super) fn nats_when_read(self) -> f64 {
        self.p1 * self.step(true) + (1.0 - self.p1) * self.step(false)
    }

    /// Mean of the opposite step while all is as planned.
    pub(super) fn nats_as_planned(self) -> f64 {
        -(self.p0 * self.step(true) + (1.0 - self.p0) * self.step(false))
    }

    fn ratio(self, won: bool) -> f64 {
        if won { self.p1 / self.p0 } else { (1.0 - self.p1) / (1.0 - self.p0) }
    }

    /// Cumulative sum `S = max(0, S + step)` after each point.
    pub(super) fn cumulative_sums(self, won: &[bool]) -> Vec<f64> {
        trace(won, 0.0, |sum, won| (sum + self.step(won)).max(0.0))
    }

    /// Shiryaev-Roberts statistic `M = (1 + M) ratio` after each point.
    pub(super) fn shiryaev_roberts(self, won: &[bool]) -> Vec<f64> {
        trace(won, 0.0, |sum, won| (1.0 + sum) * self.ratio(won))
    }

    /// Posterior of "read" after each point, read with chance `start` before the first and `later`
    /// between two.
    pub(super) fn posterior(self, won: &[bool], start: f64, later: f64) -> Vec<f64> {
        let mut first = true;
        trace(won, start, |read, won| {
            let prior = if first { read } else { read + (1.0 - read) * later };
            first = false;
            let odds = prior * self.ratio(won);
            odds / (odds + 1.0 - prior)
        })
    }
}

/// Evidence against "the rate is at least p0" that may be looked at after every point: mean of
/// betting products.
///
/// `E = mean over lambda of prod (1 + lambda (p0 - won))`; above 1/alpha it refutes at level alpha.
pub(super) fn evidence(won: &[bool], p0: f64, lambdas: &[f64]) -> Vec<f64> {
    let mut products = vec![1.0; lambdas.len()];
    won.iter()
        .map(|won| {
            let miss = p0 - if *won { 1.0 } else { 0.0 };
            for (product, lambda) in products.iter_mut().zip(lambdas) {
                *product *= 1.0 + lambda * miss;
            }
            products.iter().sum::<f64>() / products.len() as f64
        })
        .collect()
}

fn trace(won: &[bool], start: f64, mut next: impl FnMut(f64, bool) -> f64) -> Vec<f64> {
    won.iter()
        .scan(start, |state, won| {
            *state = next(*state, *won);
            Some(*state)
        })
        .collect()
}

/// A cumulative sum in whole numbers: a lost point adds `loss`, a won one takes `win` away, not
/// below zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct CountedSum {
    /// Added by a lost point.
    pub(super) loss: u32,
    /// Taken away by a won point.
    pub(super) win: u32,
    /// The sum that raises the alarm.
    pub(super) alarm: u32,
}

impl CountedSum {
    /// The sum after each point.
    pub(super) fn sums(self, won: &[bool]) -> Vec<u32> {
        won.iter()
            .scan(0, |sum, won| {
                *sum = self.next(*sum, *won);
                Some(*sum)
            })
            .collect()
    }

    /// The point (from 1) that raises the alarm.
    pub(super) fn first_alarm(self, won: &[bool]) -> Option<usize> {
        self.sums(won).iter().position(|sum| *sum >= self.alarm).map(|index| index + 1)
    }

    /// Chance of an alarm within `points`, each lost with chance `q`. Exact.
    pub(super) fn alarm_within(self, points: u32, q: f64) -> f64 {
        let mut reach = vec![0.0; self.alarm as usize];
        reach[0] = 1.0;
        let mut alarmed = 0.0;
        for _ in 0..points {
            let mut after = vec![0.0; reach.len()];
            for (sum, mass) in (0..self.alarm).zip(&reach) {
                for (won, share) in [(false, q), (true, 1.0 - q)] {
                    let next = self.next(sum, won);
                    if next >= self.alarm {
                        alarmed += mass * share;
                    } else {
                        after[next as usize] += mass * share;
                    }
                }
            }
            reach = after;
        }
        alarmed
    }

    /// Mean number of points until the alarm, each lost with chance `q` (above zero).
    ///
    /// Gaussian elimination on `L(s) = 1 + q L(s + loss) + (1-q) L(s - win)`.
    pub(super) fn mean_run(self, q: f64) -> f64 {
        let n = self.alarm as usize;
        let mut system = vec![vec![0.0; n + 1]; n];
        for (sum, row) in (0..self.alarm).zip(&mut system) {
            row[sum as usize] += 1.0;
            row[n] = 1.0;
            for (won, share) in [(false, q), (true, 1.0 - q)] {
                let next = self.next(sum, won);
                if next < self.alarm {
                    row[next as usize] -= share;
                }
            }
        }
        // Diagonally dominant, so no pivoting is needed.
        for k in 0..n {
            let pivot = system[k].clone();
            for row in system.iter_mut().skip(k + 1) {
                let factor = row[k] / pivot[k];
                if factor != 0.0 {
                    for (cell, above) in row.iter_mut().zip(&pivot).skip(k) {
                        *cell -= factor * above;
                    }
                }
            }
        }
        let mut run = vec![0.0; n];
        for k in (0..n).rev() {
            let known: f64 = (k + 1..n).map(|j| system[k][j] * run[j]).sum();
            run[k] = (system[k][n] - known) / system[k][k];
        }
        run.first().copied().unwrap_or(0.0)
    }

    fn next(self, sum: u32, won: bool) -> u32 {
        if won { sum.saturating_sub(self.win) } else { sum + self.loss }
    }
}

/// Wald's sequential test on counted events (here: points lost), q0 against the greater q1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SequentialPlan {
    /// Events a point at which neither side gains (s).
    pub(super) slope: f64,
    /// All is as planned when events <= `slope * n - accept` (h1).
    pub(super) accept: f64,
    /// The rate has risen when events >= `slope * n + reject` (h2).
    pub(super) reject: f64,
    /// Wald's approximate mean number of points, at q0 and at q1.
    pub(super) mean_points: (f64, f64),
    /// `ln (q1 (1-q0) / (q0 (1-q1)))`, the common divisor.
    pub(super) k: f64,
}

/// Exact behaviour of a sequential plan at one rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PlanOutcome {
    /// Chance that it ends with "risen".
    pub(super) rejects: f64,
    /// Mean number of points until it ends.
    pub(super) points: f64,
}

impl SequentialPlan {
    /// For the two error rates alpha (false alarm) and beta (missed).
    pub(super) fn new(q0: f64, q1: f64, alpha: f64, beta: f64) -> Self {
        let k = (q1 * (1.0 - q0) / (q0 * (1.0 - q1))).ln();
        let lower = (beta / (1.0 - alpha)).ln();
        let upper = ((1.0 - beta) / alpha).ln();
        let mean = |q: f64| q * (q1 / q0).ln() + (1.0 - q) * ((1.0 - q1) / (1.0 - q0)).ln();
        Self {
            slope: ((1.0 - q0) / (1.0 - q1)).ln() / k,
            accept: -lower / k,
            reject: upper / k,
            mean_points: (
                ((1.0 - alpha) * lower + alpha * upper) / mean(q0),
                (beta * lower + (1.0 - beta) * upper) / mean(q1),
            ),
            k,
        }
    }

    /// Exact behaviour when events come with chance `q`, followed until what is left is under
    /// 1e-13.
    pub(super) fn outcome(&self, q: f64) -> PlanOutcome {
        let mut running = vec![1.0];
        let (mut rejects, mut points) = (0.0, 0.0);
        for n in 1_u32..5000 {
            let left: f64 = running.iter().sum();
            if left < 1e-13 {
                break;
            }
            points += left;
            let mut after = vec![0.0; running.len() + 1];
            for (events, mass) in running.iter().enumerate() {
                after[events] += mass * (1.0 - q);
                after[events + 1] += mass * q;
            }
            let line = self.slope * f64::from(n);
            for (events, mass) in after.iter_mut().enumerate() {
                let events = events as f64;
                if events >= line + self.reject {
                    rejects += *mass;
                    *mass = 0.0;
                } else if events <= line - self.accept {
                    *mass = 0.0;
                }
            }
            running = after;
        }
        PlanOutcome { rejects, points }
    }
}

/// The fewest points of a fixed-length test, and its exact errors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct FixedTest {
    /// Points needed.
    pub(super) points: usize,
    /// Alarm when at most this many are won.
    pub(super) wins_at_most: usize,
    /// Chance of a false alarm.
    pub(super) false_alarm: f64,
    /// Chance of a true one.
    pub(super) power: f64,
}

impl FixedTest {
    /// The test "at most `wins_at_most` of `points`".
    pub(super) fn at_most(rates: Rates, points: usize, wins_at_most: usize) -> Self {
        let tail = |p| binomial(points, p).iter().take(wins_at_most + 1).sum();
        Self { points, wins_at_most, false_alarm: tail(rates.p0), power: tail(rates.p1) }
    }

    /// The shortest test whose false alarms stay within `false_alarm` and that finds so many.
    pub(super) fn shortest(rates: Rates, false_alarm: f64, power: f64) -> Self {
        let longest_alarm = |points: usize| {
            let tests = (0..points).map(|wins| Self::at_most(rates, points, wins));
            tests.take_while(|test| test.false_alarm <= false_alarm).last()
        };
        (1..1000).filter_map(longest_alarm).find(|test| test.power >= power).unwrap()
    }
}

#[test]
fn evidence_has_mean_one_while_nothing_has_changed() {
    // Every sequence of six points, weighted by its chance: an exact expectation.
    let (p0, mut mean) = (0.55, 0.0);
    for bits in 0..64_u32 {
        let won: Vec<bool> = (0..6).map(|point| bits >> point & 1 == 1).collect();
        let weight: f64 = won.iter().map(|w| if *w { p0 } else { 1.0 - p0 }).product();
        mean += weight * evidence(&won, p0, &[0.5, 1.5])[5];
    }
    assert!((mean - 1.0).abs() < 1e-12);
}
