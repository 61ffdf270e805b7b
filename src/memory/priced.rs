//! The priced plan: every day's answers get a price, the patterns then plan each for itself, and
//! the prices move until what is wanted fits what a day holds.
//!
//! Maximise `sum_i w_i E[R_i(event)]` with at most `B_t` answers on day `t`. With a Lagrange
//! multiplier `p_t` for each day the patterns decouple: after an answer in state `x` on day `t`
//!
//! `U_t(x) = max( w R(event - t; x), max_{u > t} -p_u + R(u - t; x) U_u(right) + (1 - R) U_u(repaired) )`
//!
//! because nothing is learned between two answers, so the day of the next one is chosen at once.
//! `U` lives on the grid of [`super::grid`] for a few levels of weight side by side. Demand is
//! softened: a pattern spreads over days that are nearly as good, which hard choices would make
//! jump from day to day and never settle. The caller ranks by [`Worth`] and cuts at the budget.

use super::door::State;
use super::grid::{Between, Grid, NODES, STABILITIES, narrow};
use super::ladders::Ladders;
use super::placed::{Placed, Seat, place};

/// Levels of weight side by side.
pub const LANES: usize = 8;
pub(super) type Lane = [f32; LANES];

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

/// What is to be planned: steps of `stride` days, the first one beginning today.
#[derive(Debug, Clone)]
pub struct Board {
    /// Days in one step.
    pub stride: u32,
    /// Answers each step holds; 0 on a day off.
    pub capacity: Vec<f64>,
    /// Days from today to each event, ascending; the last step begins before the last of them.
    pub events: Vec<u32>,
    /// Which steps an untried pattern may be begun in.
    pub open_for_new: Vec<bool>,
    /// The chance that the first answer of an untried pattern is right.
    pub first_right: f64,
    /// The state after a right first answer, and after a wrong one and its repair.
    pub first_states: (State, State),
}

/// What one pattern is worth today at the prices found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    /// Value of answering today over leaving it, before paying today's price; what to rank by.
    pub today: f64,
    /// The step of its best next answer, if any.
    pub next: Option<usize>,
}

/// The outcome of pricing.
#[derive(Debug, Clone)]
pub struct Priced {
    /// The price of one answer in each step.
    pub prices: Vec<f64>,
    /// How many answers are wanted in each step at these prices.
    pub demand: Vec<f64>,
    /// Each pattern's worth, in the order given.
    pub worths: Vec<Worth>,
    /// The weighted recall that the plan expects, summed over patterns and events.
    pub value: f64,
}

/// The levels of weight, and the solver's arrays.
pub struct Pricer {
    board: Board,
    grid: Grid,
    placed: Vec<Placed>,
    /// Weight of each event in each lane.
    levels: Vec<Lane>,
    mean_weight: f64,
    value: Vec<Lane>,
    /// `value` after a wrong answer, by the difficulty before it.
    value_wrong: Vec<Lane>,
    /// For each step, node and later step, how much the later one is wanted next.
    choice: Vec<Lane>,
    /// What makes the choices after one step and node sum to one.
    scale: Vec<Lane>,
    mass: Vec<Lane>,
    mass_wrong: Vec<Lane>,
}

/// A lane at a time in a plain loop: `array::from_fn` is not always built into the place where it is
/// called, and these run a million times a plan.
#[expect(clippy::inline_always, reason = "the compiler leaves it out of line, at twice the time")]
#[inline(always)]
fn lanes(mut of: impl FnMut(usize) -> f32) -> Lane {
    let mut all = [0.0; LANES];
    for (l, one) in all.iter_mut().enumerate() {
        *one = of(l);
    }
    all
}

fn add(into: &mut Lane, flow: Lane, share: f32) {
    for (l, one) in into.iter_mut().enumerate() {
        *one += share * flow[l];
    }
}

fn mix(a: Lane, b: Lane, share: f32) -> Lane {
    lanes(|l| a[l] + share * (b[l] - a[l]))
}

impl Pricer {
    /// Prepares the board for these patterns.
    pub fn new(board: Board, seats: &[Seat]) -> Self {
        let steps = board.capacity.len();
        let grid = Grid::new(steps.max(1), board.stride);
        let totals: Vec<f64> = seats.iter().map(|s| s.weights.iter().sum()).collect();
        let mean_weight = totals.iter().sum::<f64>() / totals.len().max(1) as f64;
        let ladders = Ladders::new(&board, seats, &totals);
        let placed = seats
            .iter()
            .zip(&totals)
            .zip(&ladders.rung)
            .map(|((seat, &w), &first)| {
                place(&board, seat, w, &ladders.totals[first..first + ladders.width], first)
            })
            .collect();
        let levels = ladders.levels;
        let pairs = steps * steps.saturating_sub(1) / 2;
        let zero = [0.0; LANES];
        Self {
            grid,
            placed,
            levels,
            mean_weight,
            value: vec![zero; steps * NODES],
            value_wrong: vec![zero; steps * NODES],
            choice: vec![zero; pairs * NODES],
            scale: vec![zero; steps * NODES],
            mass: vec![zero; steps * NODES],
            mass_wrong: vec![zero; steps * NODES],
            board,
        }
    }

    /// Finds prices from `start` (or from nothing) in `rounds` rounds.
    pub fn solve(&mut self, start: Option<Vec<f64>>, rounds: usize) -> Priced {
        let steps = self.board.capacity.len();
        let answers = self.board.capacity.iter().sum::<f64>() / self.placed.len().max(1) as f64;
        let first = (FIRST_PRICE / answers.max(1e-9)).clamp(0.01, 0.7) * self.mean_weight;
        let floor = 1e-4 * self.mean_weight;
        let mut prices = start
            .filter(|p| p.len() == steps && p.iter().all(|x| x.is_finite() && *x >= 0.0))
            .unwrap_or_else(|| {
                let days = |t: usize| (steps - t) as f64;
                (0..steps).map(|t| first / days(t).sqrt()).collect()
            });
        let mut demand = vec![0.0; steps];
        for _ in 0..rounds {
            let softness = self.softness(&prices);
            self.back(&prices, softness, true);
            let reached = self.reach_all(&prices);
            self.forth(&reached, softness, &mut demand);
            self.move_prices(&mut prices, &demand, floor);
        }
        let softness = self.softness(&prices);
        self.back(&prices, softness, false);
        let (worths, value) = self.worths(&self.reach_all(&prices), &prices, &demand);
        Priced { prices, demand, worths, value }
    }

    /// One round from yesterday's prices: today's worths at those, and the prices for tomorrow.
    pub fn carry_on(&mut self, mut prices: Vec<f64>) -> Priced {
        let mut demand = vec![0.0; prices.len()];
        let softness = self.softness(&prices);
        self.back(&prices, softness, true);
        let reached = self.reach_all(&prices);
        self.forth(&reached, softness, &mut demand);
        let (worths, value) = self.worths(&reached, &prices, &demand);
        self.move_prices(&mut prices, &demand, 1e-4 * self.mean_weight);
        Priced { prices, demand, worths, value }
    }

    /// Moves prices by the log of demand over room: much where all days agree, less where a week
    /// does, little for a single day, because demand slips easily from one day to the next.
    fn move_prices(&self, prices: &mut [f64], demand: &[f64], floor: f64) {
        let excess: Vec<Option<f64>> = demand
            .iter()
            .zip(&self.board.capacity)
            .map(|(&wanted, &room)| {
                (room > 0.0).then(|| ((wanted + 0.05 * room) / (1.05 * room)).ln().clamp(-2.0, 2.0))
            })
            .collect();
        let mean = |from: usize, to: usize| {
            let open: Vec<f64> =
                excess[from..to.min(excess.len())].iter().flatten().copied().collect();
            open.iter().sum::<f64>() / open.len().max(1) as f64
        };
        let room: f64 = self.board.capacity.iter().sum();
        let total = (demand.iter().sum::<f64>().max(1e-9) / room.max(1e-9)).ln().clamp(-2.0, 2.0);
        for (t, price) in prices.iter_mut().enumerate() {
            let Some(own) = excess[t] else { continue };
            let near = mean(t.saturating_sub(3), t + 4);
            let step = PACE_ALL * total + PACE_WEEK * near + PACE_DAY * own;
            *price = (*price * step.exp()).max(floor);
        }
    }

    fn softness(&self, prices: &[f64]) -> f32 {
        let open = prices.iter().zip(&self.board.capacity).filter(|(_, c)| **c > 0.0);
        let (sum, n) = open.fold((0.0, 0.0), |(sum, n), (p, _)| (sum + p, n + 1.0));
        SOFTNESS * narrow(sum / f64::max(n, 1.0)).max(1e-9)
    }

    /// Where in `choice` the steps after `from` begin for one node.
    fn row(&self, from: usize, node: usize) -> usize {
        let steps = self.board.capacity.len();
        let earlier = from * (steps - 1) - from * from.saturating_sub(1) / 2;
        earlier * NODES + node * (steps - 1 - from)
    }

    /// Values of every node, last step first.
    fn back(&mut self, prices: &[f64], softness: f32, with_choices: bool) {
        let steps = self.board.capacity.len();
        let soft = 0.25 / softness;
        let mut reached: Vec<Lane> = vec![[0.0; LANES]; steps];
        for from in (0..steps).rev() {
            if self.board.capacity[from] <= 0.0 {
                continue;
            }
            let begin = from as f64 * f64::from(self.board.stride);
            for node in 0..NODES {
                let s = node % STABILITIES;
                let d = node / STABILITIES;
                let mut best = [0.0; LANES];
                let mut ahead = Vec::with_capacity(self.board.events.len());
                for (event, level) in self.board.events.iter().zip(&self.levels) {
                    let days = f64::from(*event) - begin;
                    if days > 0.0 {
                        let recall = self.grid.recall(s, days);
                        ahead.push((f64::from(*event), recall, *level));
                        for l in 0..LANES {
                            best[l] += level[l] * recall;
                        }
                    }
                }
                for (to, reached) in reached.iter_mut().enumerate().skip(from + 1) {
                    if self.board.capacity[to] <= 0.0 {
                        continue;
                    }
                    let step = &self.grid.steps(node)[to - from - 1];
                    let price = narrow(prices[to]);
                    let row = to * NODES + d * STABILITIES;
                    let right = &self.value[row + step.right.low..row + step.right.low + 2];
                    let wrong =
                        &self.value_wrong[row + step.repaired.low..row + step.repaired.low + 2];
                    let (r, a, b) = (step.recall, step.right.share, step.repaired.share);
                    let mut q = lanes(|l| {
                        r * (right[0][l] + a * (right[1][l] - right[0][l]))
                            + (1.0 - r) * (wrong[0][l] + b * (wrong[1][l] - wrong[0][l]))
                            - price
                    });
                    let day = to as f64 * f64::from(self.board.stride);
                    if ahead.len() > 1 {
                        for (_, recall, level) in ahead.iter().filter(|(event, ..)| *event <= day) {
                            for l in 0..LANES {
                                q[l] += level[l] * recall;
                            }
                        }
                    }
                    *reached = q;
                    for l in 0..LANES {
                        best[l] = best[l].max(q[l]);
                    }
                }
                self.value[from * NODES + node] = best;
                if !with_choices {
                    continue;
                }
                let mut sum = [1e-9_f32; LANES];
                let mut never = [0.0_f32; LANES];
                for (_, recall, level) in &ahead {
                    for l in 0..LANES {
                        never[l] += level[l] * recall;
                    }
                }
                for l in 0..LANES {
                    sum[l] += kernel(never[l], best[l], soft);
                }
                let row = self.row(from, node);
                let choices = &mut self.choice[row..row + steps - from - 1];
                for ((chosen, q), room) in choices
                    .iter_mut()
                    .zip(&reached[from + 1..])
                    .zip(&self.board.capacity[from + 1..])
                {
                    if *room > 0.0 {
                        *chosen = lanes(|l| kernel(q[l], best[l], soft));
                        for l in 0..LANES {
                            sum[l] += chosen[l];
                        }
                    }
                }
                self.scale[from * NODES + node] = lanes(|l| 1.0 / sum[l]);
            }
            for (d, harder) in self.grid.harder().iter().enumerate() {
                for s in 0..STABILITIES {
                    let row = from * NODES + s;
                    let low = self.value[row + harder.low * STABILITIES];
                    let high = self.value[row + (harder.low + 1) * STABILITIES];
                    self.value_wrong[row + d * STABILITIES] = mix(low, high, harder.share);
                }
            }
        }
    }

    /// What each pattern reaches if its next answer falls on each step; the last of each is never.
    fn reach_all(&self, prices: &[f64]) -> Vec<f64> {
        let mut reached = Vec::with_capacity(self.placed.len() * (prices.len() + 1));
        for placed in &self.placed {
            for (to, step) in placed.steps.iter().enumerate() {
                reached.push(match step {
                    None => f64::NEG_INFINITY,
                    Some(step) => {
                        let right = self.read(to, step.right, placed.right_difficulty, placed);
                        let wrong =
                            self.read(to, step.repaired, placed.repaired_difficulty, placed);
                        f64::from(step.recall * right + (1.0 - step.recall) * wrong) - prices[to]
                            + placed.before[to]
                    }
                });
            }
            reached.push(placed.never);
        }
        reached
    }

    fn read(&self, step: usize, s: Between, d: Between, placed: &Placed) -> f32 {
        let corner = |d: usize, s: usize| {
            let lanes = &self.value[step * NODES + d * STABILITIES + s];
            let low = lanes[placed.level];
            low + placed.share * (lanes[placed.level + 1] - low)
        };
        let along = |d: usize| {
            let low = corner(d, s.low);
            low + s.share * (corner(d, s.low + 1) - low)
        };
        let low = along(d.low);
        low + d.share * (along(d.low + 1) - low)
    }

    /// Demand for each step at the choices last found by `back`, with what [`Self::reach_all`] found.
    fn forth(&mut self, reached: &[f64], softness: f32, demand: &mut [f64]) {
        let steps = self.board.capacity.len();
        let soft = 0.25 / softness;
        self.mass.fill([0.0; LANES]);
        self.mass_wrong.fill([0.0; LANES]);
        demand.fill(0.0);
        let placed = std::mem::take(&mut self.placed);
        for (one, reached) in placed.iter().zip(reached.chunks_exact(steps + 1)) {
            let best = reached.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let wish = |q: f64| kernel(narrow(q - best), 0.0, soft);
            let sum: f32 = reached.iter().map(|&q| wish(q)).sum();
            for (to, step) in one.steps.iter().enumerate() {
                let Some(step) = step else { continue };
                let share = wish(reached[to]) / sum;
                if share > 1e-4 {
                    demand[to] += f64::from(share);
                    self.drop_mass(to, step.right, one.right_difficulty, share * step.recall, one);
                    let wrong = share * (1.0 - step.recall);
                    self.drop_mass(to, step.repaired, one.repaired_difficulty, wrong, one);
                }
            }
        }
        self.placed = placed;
        for from in 0..steps {
            if self.board.capacity[from] <= 0.0 {
                continue;
            }
            for (d, harder) in self.grid.harder().iter().enumerate() {
                for s in 0..STABILITIES {
                    let row = from * NODES + s;
                    let moved = self.mass_wrong[row + d * STABILITIES];
                    for (l, share) in moved.into_iter().enumerate() {
                        self.mass[row + harder.low * STABILITIES][l] +=
                            (1.0 - harder.share) * share;
                        self.mass[row + (harder.low + 1) * STABILITIES][l] += harder.share * share;
                    }
                }
            }
            for node in 0..NODES {
                let mut here = self.mass[from * NODES + node];
                if here.iter().sum::<f32>() < 1e-4 {
                    continue;
                }
                let row = self.row(from, node);
                let scale = self.scale[from * NODES + node];
                for l in 0..LANES {
                    here[l] *= scale[l];
                }
                let d = node / STABILITIES;
                for (to, wanted) in demand.iter_mut().enumerate().skip(from + 1) {
                    if self.board.capacity[to] <= 0.0 {
                        continue;
                    }
                    let chosen = &self.choice[row + to - from - 1];
                    let flow = lanes(|l| here[l] * chosen[l]);
                    let total: f32 = flow.iter().sum();
                    if total < 1e-6 {
                        continue;
                    }
                    *wanted += f64::from(total);
                    let step = self.grid.steps(node)[to - from - 1];
                    let base = to * NODES + d * STABILITIES;
                    let (r, a, b) = (step.recall, step.right.share, step.repaired.share);
                    let (low, high) = (step.right.low, step.right.low + 1);
                    add(&mut self.mass[base + low], flow, r * (1.0 - a));
                    add(&mut self.mass[base + high], flow, r * a);
                    let (low, high) = (step.repaired.low, step.repaired.low + 1);
                    add(&mut self.mass_wrong[base + low], flow, (1.0 - r) * (1.0 - b));
                    add(&mut self.mass_wrong[base + high], flow, (1.0 - r) * b);
                }
            }
        }
    }

    fn drop_mass(&mut self, step: usize, s: Between, d: Between, mass: f32, placed: &Placed) {
        for (dn, dw) in [(d.low, 1.0 - d.share), (d.low + 1, d.share)] {
            for (sn, sw) in [(s.low, 1.0 - s.share), (s.low + 1, s.share)] {
                let lanes = &mut self.mass[step * NODES + dn * STABILITIES + sn];
                let here = mass * dw * sw;
                lanes[placed.level] += here * (1.0 - placed.share);
                lanes[placed.level + 1] += here * placed.share;
            }
        }
    }

    fn worths(&self, reached: &[f64], prices: &[f64], demand: &[f64]) -> (Vec<Worth>, f64) {
        let mut value = 0.0;
        let worths = self
            .placed
            .iter()
            .zip(reached.chunks_exact(prices.len() + 1))
            .map(|(one, reached)| {
                let never = one.never;
                let (mut best, mut next) = (never, None);
                for (to, &q) in reached[..one.steps.len()].iter().enumerate().skip(1) {
                    if q > best {
                        (best, next) = (q, Some(to));
                    }
                }
                let now = reached[0];
                let today = now + prices.first().copied().unwrap_or(0.0) - best;
                if now > best {
                    next = Some(0);
                }
                value += best.max(now);
                Worth { today, next }
            })
            .collect();
        value += prices
            .iter()
            .zip(demand)
            .zip(&self.board.capacity)
            .map(|((p, d), c)| p * d.min(*c))
            .sum::<f64>();
        (worths, value)
    }
}

/// The weight of a choice `q` beside the best one: 1 at the best, 0 four softnesses below.
#[inline]
fn kernel(q: f32, best: f32, soft: f32) -> f32 {
    let x = (1.0 + (q - best) * soft).max(0.0);
    let x = x * x;
    x * x
}
