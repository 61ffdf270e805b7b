//! Does he wait for what has come most often? Exposure, and what a log says about the drop.
//!
//! The server's expectation of each receive is a fading share of what he has seen. With rates
//! `theta_r - d (e_r - 1/k)` a log of receives and outcomes gives a posterior of the drop d.
//! Usually it is as wide
//! as before: which is why the advice measures the drop from "was he waiting" and never from a log
//! alone.

use secondball::tactics::rates::Belief;

use super::cases::counts;

/// How fast the server's expectation moves with each receive seen. Assumption.
pub(super) const LEARNING: f64 = 0.25;
/// The drop counts as measured once its spread has shrunk to this part of the prior's.
pub(super) const MEASURED: f64 = 0.7;
/// The drop assumed before any point: mean and spread. Assumption.
pub(super) const DROP: DropPrior = DropPrior { mean: 0.15, sd: 0.08 };

/// Cells of the rate grid.
const RATES: u32 = 200;
/// Rates are kept this far from certainty.
const EDGE: f64 = 0.01;

/// What is assumed about the drop: a bell over 0, 0.02, .. 0.40.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct DropPrior {
    /// Centre.
    pub(super) mean: f64,
    /// Spread.
    pub(super) sd: f64,
}

impl DropPrior {
    /// The grid of drops with its weights, summing to one.
    fn grid(self) -> Vec<(f64, f64)> {
        let weight = |d: f64| (-0.5 * ((d - self.mean) / self.sd).powi(2)).exp();
        let drops: Vec<f64> = (0..=20).map(|step| f64::from(step) * 0.02).collect();
        let sum: f64 = drops.iter().map(|d| weight(*d)).sum();
        drops.into_iter().map(|d| (d, weight(d) / sum)).collect()
    }
}

/// One stretch of points against one server: which receive came (by number), and whether it won.
pub(super) type Stretch = Vec<(usize, bool)>;

/// The server's expectation of each receive, before every ball and after the last.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Exposures {
    /// Expectation of the receive that then came.
    pub(super) before_each: Vec<f64>,
    /// Expectation of every receive after the last ball.
    pub(super) after: Vec<f64>,
}

/// `e <- e + lambda (seen - e)`, starting at `1/k` for each of k receives.
pub(super) fn exposures(receives: &[usize], k: usize, learning: f64) -> Exposures {
    let mut share = vec![1.0 / (k.max(1)) as f64; k];
    let mut before_each = Vec::with_capacity(receives.len());
    for &receive in receives {
        before_each.push(share[receive]);
        for (place, part) in share.iter_mut().enumerate() {
            let seen = if place == receive { 1.0 } else { 0.0 };
            *part += learning * (seen - *part);
        }
    }
    Exposures { before_each, after: share }
}

/// What a log says about each receive's middle rate and about the common drop.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct DropPosterior {
    /// Mean of each receive's rate at an expectation of 1/k.
    pub(super) rates: Vec<f64>,
    /// Spread of each.
    pub(super) rate_sds: Vec<f64>,
    /// Mean of the drop.
    pub(super) drop: f64,
    /// Spread of the drop.
    pub(super) drop_sd: f64,
    /// The same two before the log.
    pub(super) prior: DropPrior,
}

impl DropPosterior {
    /// From stretches of points; expectation starts afresh in each.
    pub(super) fn from_stretches(
        stretches: &[Stretch],
        priors: &[Belief],
        drop: DropPrior,
        learning: f64,
    ) -> Self {
        let k = priors.len();
        let middle = 1.0 / k.max(1) as f64;
        let mut balls: Vec<Vec<(f64, bool)>> = vec![Vec::new(); k];
        for stretch in stretches {
            let receives: Vec<usize> = stretch.iter().map(|ball| ball.0).collect();
            let seen = exposures(&receives, k, learning);
            for ((receive, won), expected) in stretch.iter().zip(seen.before_each) {
                balls[*receive].push((expected - middle, *won));
            }
        }
        let grid = drop.grid();
        let prior = spread_of(&grid);
        // Given the drop, the receives are independent: one evidence and two moments for each.
        let mut weights: Vec<(f64, f64)> = Vec::with_capacity(grid.len());
        let mut moments = Vec::with_capacity(grid.len());
        for (d, weight) in grid {
            let mut log = f64::ln(weight);
            let mut here = Vec::with_capacity(k);
            for (belief, log_of) in priors.iter().zip(&balls) {
                let (evidence, mean, square) = receive_moments(*belief, log_of, d);
                log += evidence;
                here.push((mean, square));
            }
            weights.push((d, log));
            moments.push(here);
        }
        let most = weights.iter().map(|w| w.1).fold(f64::NEG_INFINITY, f64::max);
        let total: f64 = weights.iter().map(|w| (w.1 - most).exp()).sum();
        let posterior: Vec<(f64, f64)> =
            weights.iter().map(|(d, log)| (*d, (log - most).exp() / total)).collect();
        let found = spread_of(&posterior);
        let (mut rates, mut squares) = (vec![0.0; k], vec![0.0; k]);
        for ((_, weight), here) in posterior.iter().zip(moments) {
            for (place, (mean, square)) in here.into_iter().enumerate() {
                rates[place] += weight * mean;
                squares[place] += weight * square;
            }
        }
        let rate_sds =
            rates.iter().zip(squares).map(|(mean, square)| (square - mean * mean).sqrt()).collect();
        Self { rates, rate_sds, drop: found.mean, drop_sd: found.sd, prior }
    }

    /// The unread rate of a receive, when it is not expected at all.
    pub(super) fn unread(&self, receive: usize) -> f64 {
        self.rates[receive] + self.drop / self.rates.len() as f64
    }

    /// The rate of a receive that is fully expected.
    pub(super) fn read(&self, receive: usize) -> f64 {
        self.unread(receive) - self.drop
    }

    /// Whether the log has told anything about the drop.
    pub(super) fn is_measured(&self) -> bool {
        self.drop_sd <= MEASURED * self.prior.sd
    }
}

fn spread_of(grid: &[(f64, f64)]) -> DropPrior {
    let mean: f64 = grid.iter().map(|(d, w)| d * w).sum();
    let square: f64 = grid.iter().map(|(d, w)| d * d * w).sum();
    DropPrior { mean, sd: (square - mean * mean).max(0.0).sqrt() }
}

/// Log evidence, mean and mean square of one receive's rate for a given drop.
fn receive_moments(prior: Belief, balls: &[(f64, bool)], drop: f64) -> (f64, f64, f64) {
    let rows: Vec<(f64, f64, f64)> = (0..RATES)
        .map(|cell| {
            let rate = (f64::from(cell) + 0.5) / f64::from(RATES);
            let log: f64 = balls
                .iter()
                .map(|(expected, won)| {
                    let p = (rate - drop * expected).clamp(EDGE, 1.0 - EDGE);
                    if *won { p.ln() } else { (1.0 - p).ln() }
                })
                .sum();
            (rate, prior.density(rate), log)
        })
        .collect();
    let most = rows.iter().map(|row| row.2).fold(f64::NEG_INFINITY, f64::max);
    let whole: f64 = rows.iter().map(|row| row.1).sum();
    let (mut mass, mut mean, mut square) = (0.0, 0.0, 0.0);
    for (rate, weight, log) in rows {
        let weight = weight / whole * (log - most).exp();
        mass += weight;
        mean += weight * rate;
        square += weight * rate * rate;
    }
    (mass.ln() + most, mean / mass, square / mass)
}

#[test]
fn a_dozen_points_do_not_measure_the_drop() {
    let stretch: Stretch = (0..12).map(|ball| (ball % 2, ball % 3 == 0)).collect();
    let priors = [counts(4.0, 4.0); 2];
    let found = DropPosterior::from_stretches(&[stretch], &priors, DROP, LEARNING);
    assert!(!found.is_measured());
    assert!(found.unread(0) > found.read(0));
}
