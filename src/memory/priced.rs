//! The priced plan: every day's answers get a price, the patterns then plan each for itself, and
//! the prices move until what is wanted fits what a day holds.
//!
//! Maximise `sum_i w_i E[R_i(event)]` with at most `B_t` answers on day `t`. With a Lagrange
//! multiplier `p_t` for each day the patterns decouple: after an answer in state `x` on day `t`
//!
//! `U_t(x) = max( w R(event - t; x), max_{u > t} -p_u + R(u - t; x) U_u(right) + (1 - R)
//! U_u(repaired) )`
//!
//! (where every day is kept; a missed answer slides, as [`super::valued`] says)
//! because nothing is learned between two answers, so the day of the next one is chosen at once.
//! `U` is worked out in [`super::valued`], for a few levels of weight side by side. Demand is
//! softened: a pattern spreads over days that are nearly as good, which hard choices would make
//! jump from day to day and never settle. The caller ranks by what each is worth today and cuts at
//! the budget.

use super::board::{Board, Seat};
use super::door::narrow;
use super::valued::Valuation;

/// How far below the best day a day may lie and still be wanted, in parts of the mean price.
const SOFTNESS: f32 = 0.1;
/// How fast prices follow demand: all days together, a week around a day, the day itself. A day's
/// demand slips to its neighbours at a touch, the whole does not; hence the order.
const PACE_ALL: f64 = 0.3;
const PACE_WEEK: f64 = 0.1;
const PACE_DAY: f64 = 0.03;
/// The price of an answer on the last day when there is one answer for each pattern, in mean
/// weights; it falls with the root of the days left. Where the search for prices begins.
const FIRST_PRICE: f64 = 0.4;
/// The least price, in mean weights.
const LEAST_PRICE: f64 = 1e-4;

/// The outcome of pricing.
#[derive(Debug, Clone)]
pub(super) struct Priced {
    /// The price of one answer in each step.
    pub(super) prices: Vec<f64>,
    /// How many answers are wanted in each step at these prices.
    pub(super) demand: Vec<f64>,
    /// For each pattern, in the order given: the value of answering it today over leaving it,
    /// before paying today's price; what to rank by.
    pub(super) worths: Vec<f64>,
    /// The weighted recall that the plan expects, summed over patterns and events.
    pub(super) value: f64,
}

/// Moves prices until demand fits.
pub(super) struct Pricer {
    /// Answers each step holds if it is kept, and the chance of that.
    capacity: Vec<f64>,
    keeps: Vec<f64>,
    patterns: usize,
    mean_weight: f64,
    valuation: Valuation,
}

impl Pricer {
    /// Prepares the board for these patterns.
    pub(super) fn new(board: Board, seats: &[Seat]) -> Self {
        let totals: Vec<f64> = seats.iter().map(|seat| seat.weights.iter().sum()).collect();
        Self {
            capacity: board.capacity.clone(),
            keeps: board.keeps.clone(),
            patterns: seats.len(),
            mean_weight: totals.iter().sum::<f64>() / totals.len().max(1) as f64,
            valuation: Valuation::new(board, seats, &totals),
        }
    }

    /// Moves prices from `start` (or from nothing) for some rounds, one at least. What is planned
    /// is at the prices of the last round; the prices given back are moved once more, for tomorrow.
    pub(super) fn solve(&mut self, start: Option<Vec<f64>>, rounds: usize) -> Priced {
        let steps = self.capacity.len();
        let answers = self.capacity.iter().sum::<f64>() / self.patterns.max(1) as f64;
        let first = (FIRST_PRICE / answers.max(1e-9)).clamp(0.01, 0.7) * self.mean_weight;
        let prices = start
            .filter(|p| p.len() == steps && p.iter().all(|x| x.is_finite() && *x >= 0.0))
            .unwrap_or_else(|| {
                let days = |t: usize| (steps - t) as f64;
                (0..steps).map(|t| first / days(t).sqrt()).collect()
            });
        let mut priced = self.round(prices);
        for _ in 1..rounds {
            priced = self.round(priced.prices);
        }
        priced
    }

    fn round(&mut self, mut prices: Vec<f64>) -> Priced {
        let softness = self.softness(&prices);
        self.valuation.value_all(&prices, softness);
        let reached = self.valuation.reach_all(&prices);
        let demand = self.valuation.demand(&reached, softness);
        let (worths, value) = self.worths(&reached, &prices, &demand);
        self.move_prices(&mut prices, &demand);
        Priced { prices, demand, worths, value }
    }

    /// Moves prices by the log of demand over room: much where all days agree, less where a week
    /// does, little for a single day, because demand slips easily from one day to the next.
    fn move_prices(&self, prices: &mut [f64], demand: &[f64]) {
        let least = LEAST_PRICE * self.mean_weight;
        let excess: Vec<Option<f64>> = demand
            .iter()
            .zip(&self.capacity)
            .map(|(&wanted, &room)| {
                (room > 0.0).then(|| ((wanted + 0.05 * room) / (1.05 * room)).ln().clamp(-2.0, 2.0))
            })
            .collect();
        let mean = |from: usize, to: usize| {
            let open: Vec<f64> =
                excess[from..to.min(excess.len())].iter().flatten().copied().collect();
            open.iter().sum::<f64>() / open.len().max(1) as f64
        };
        let room: f64 = self.capacity.iter().sum();
        let total = (demand.iter().sum::<f64>().max(1e-9) / room.max(1e-9)).ln().clamp(-2.0, 2.0);
        for (t, price) in prices.iter_mut().enumerate() {
            let Some(own) = excess[t] else { continue };
            let near = mean(t.saturating_sub(3), t + 4);
            let step = PACE_ALL * total + PACE_WEEK * near + PACE_DAY * own;
            *price = (*price * step.exp()).max(least);
        }
    }

    fn softness(&self, prices: &[f64]) -> f32 {
        let open = prices.iter().zip(&self.capacity).filter(|(_, c)| **c > 0.0);
        let (sum, n) = open.fold((0.0, 0.0), |(sum, n), (p, _)| (sum + p, n + 1.0));
        SOFTNESS * narrow(sum / f64::max(n, 1.0)).max(1e-9)
    }

    /// What each pattern is worth today, and what the whole plan is expected to reach.
    fn worths(&self, reached: &[f64], prices: &[f64], demand: &[f64]) -> (Vec<f64>, f64) {
        let mut value = 0.0;
        let mut worths = Vec::with_capacity(self.patterns);
        for reached in reached.chunks_exact(prices.len() + 1) {
            let now = reached[0];
            let later = reached[1..].iter().copied().fold(f64::NEG_INFINITY, f64::max);
            worths.push(now + prices.first().copied().unwrap_or(0.0) - later);
            value += later.max(now);
        }
        let days = self.keeps.iter().zip(&self.capacity);
        let paid = prices.iter().zip(demand).zip(days);
        value += paid.map(|((p, d), (k, c))| k * p * d.min(*c)).sum::<f64>();
        (worths, value)
    }
}
