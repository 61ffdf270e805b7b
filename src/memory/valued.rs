//! What a memory is worth at given prices of the days, and how many answers are wanted then.
//!
//! Days are missed. With `k` the chance that a step is kept and `Q(u)` what an answer on step `u`
//! leads to, planning it for `u` reaches `G(u) = k Q(u) + (1 - k) G(next open step)`, and behind
//! the last step what comes without any answer. Demand slides the same way.
//!
//! Values live on the nodes of [`super::grid`], for [`LANES`] levels of weight side by side: from
//! the last step backwards each node takes its best next step ([`Valuation::value_all`]), each
//! pattern reads off what it reaches from where it really is ([`Valuation::reach_all`]), and
//! forwards again the patterns spread over the steps that are nearly as good
//! ([`Valuation::demand`]).

use super::board::{Board, LANES, Lane, Seat};
use super::door::narrow;
use super::grid::{Between, Grid, NODES, STABILITIES, Step};
use super::placed::{Placed, place_all};

/// The solver's arrays; those by node run over steps first.
pub(super) struct Valuation {
    board: Board,
    grid: Grid,
    placed: Vec<Placed>,
    /// Weight of each event in each lane.
    levels: Vec<Lane>,
    value: Vec<Lane>,
    /// `value` after a wrong answer, by the difficulty before it.
    value_wrong: Vec<Lane>,
    /// For each step, node and later step, how much the later one is wanted next.
    choice: Vec<Lane>,
    /// What makes the choices after one step and node sum to one.
    scale: Vec<Lane>,
    /// How many patterns come to a node, by the choices before it.
    mass: Vec<Lane>,
    mass_wrong: Vec<Lane>,
}

/// An event still to come for a memory: its day, the recall there without another answer, its
/// weight.
struct EventAfter {
    day: f64,
    recall: f32,
    level: Lane,
}

/// A lane at a time in a plain loop: `array::from_fn` is not always built into the place where it
/// is called, and these run a million times a plan.
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

impl Valuation {
    /// Prepares the board for these patterns with their weights over all events.
    pub(super) fn new(board: Board, seats: &[Seat], totals: &[f64]) -> Self {
        let steps = board.capacity.len();
        let (placed, levels) = place_all(&board, seats, totals);
        let pairs = steps * steps.saturating_sub(1) / 2;
        let zero = [0.0; LANES];
        Self {
            grid: Grid::new(steps.max(1), board.stride),
            placed,
            levels,
            value: vec![zero; steps * NODES],
            value_wrong: vec![zero; steps * NODES],
            choice: vec![zero; pairs * NODES],
            scale: vec![zero; steps * NODES],
            mass: vec![zero; steps * NODES],
            mass_wrong: vec![zero; steps * NODES],
            board,
        }
    }

    fn is_open(&self, step: usize) -> bool {
        self.board.capacity[step] > 0.0
    }

    /// Where in `choice` the steps after `from` begin for one node.
    fn row(&self, from: usize, node: usize) -> usize {
        let steps = self.board.capacity.len();
        let earlier = from * (steps - 1) - from * from.saturating_sub(1) / 2;
        earlier * NODES + node * (steps - 1 - from)
    }

    /// Values of every node, last step first, and how they come about.
    pub(super) fn value_all(&mut self, prices: &[f64], softness: f32) {
        let steps = self.board.capacity.len();
        let soft = 0.25 / softness;
        let mut reached: Vec<Lane> = vec![[0.0; LANES]; steps];
        for from in (0..steps).rev() {
            if !self.is_open(from) {
                continue;
            }
            for node in 0..NODES {
                let ahead = self.events_ahead(from, node);
                let mut never = [0.0; LANES];
                for event in &ahead {
                    add(&mut never, event.level, event.recall);
                }
                let best = self.reach_from(from, node, prices, (never, &ahead), &mut reached);
                self.value[from * NODES + node] = best;
                self.choose(from, node, never, best, &reached, soft);
            }
            self.value_after_wrong(from);
        }
    }

    fn events_ahead(&self, from: usize, node: usize) -> Vec<EventAfter> {
        let begin = self.board.day(from);
        let events = self.board.events.iter().zip(&self.levels);
        events
            .map(|(event, level)| (f64::from(*event), *level))
            .filter(|(day, _)| *day > begin)
            .map(|(day, level)| {
                let recall = self.grid.recall(node % STABILITIES, day - begin);
                EventAfter { day, recall, level }
            })
            .collect()
    }

    /// What one node reaches if its next answer is planned for each later step, and the best of
    /// these and never. What is missed on a step slides to the next open one.
    fn reach_from(
        &self,
        from: usize,
        node: usize,
        prices: &[f64],
        (never, ahead): (Lane, &[EventAfter]),
        reached: &mut [Lane],
    ) -> Lane {
        let difficulty = node / STABILITIES * STABILITIES;
        let (mut best, mut slid) = (never, never);
        for (to, reached) in reached.iter_mut().enumerate().skip(from + 1).rev() {
            if !self.is_open(to) {
                continue;
            }
            let step = &self.grid.steps(node)[to - from - 1];
            let price = narrow(prices[to]);
            let row = to * NODES + difficulty;
            let right = &self.value[row + step.right.low..row + step.right.low + 2];
            let wrong = &self.value_wrong[row + step.repaired.low..row + step.repaired.low + 2];
            let (r, a, b) = (step.recall, step.right.share, step.repaired.share);
            let mut q = lanes(|l| {
                r * (right[0][l] + a * (right[1][l] - right[0][l]))
                    + (1.0 - r) * (wrong[0][l] + b * (wrong[1][l] - wrong[0][l]))
                    - price
            });
            let day = self.board.day(to);
            if ahead.len() > 1 {
                for event in ahead.iter().filter(|event| event.day <= day) {
                    add(&mut q, event.level, event.recall);
                }
            }
            let keeps = narrow(self.board.keeps[to]);
            slid = lanes(|l| keeps * q[l] + (1.0 - keeps) * slid[l]);
            *reached = slid;
            for l in 0..LANES {
                best[l] = best[l].max(slid[l]);
            }
        }
        best
    }

    /// How much each later step is wanted next after one step and node.
    fn choose(
        &mut self,
        from: usize,
        node: usize,
        never: Lane,
        best: Lane,
        reached: &[Lane],
        soft: f32,
    ) {
        let mut sum = lanes(|l| 1e-9 + kernel(never[l], best[l], soft));
        let row = self.row(from, node);
        let later = from + 1..self.board.capacity.len();
        let choices = &mut self.choice[row..row + later.len()];
        for (to, chosen) in later.zip(choices) {
            if self.board.capacity[to] > 0.0 {
                let q = &reached[to];
                *chosen = lanes(|l| kernel(q[l], best[l], soft));
                for l in 0..LANES {
                    sum[l] += chosen[l];
                }
            }
        }
        self.scale[from * NODES + node] = lanes(|l| 1.0 / sum[l]);
    }

    fn value_after_wrong(&mut self, from: usize) {
        for (d, harder) in self.grid.harder().iter().enumerate() {
            for s in 0..STABILITIES {
                let row = from * NODES + s;
                let low = self.value[row + harder.low * STABILITIES];
                let high = self.value[row + (harder.low + 1) * STABILITIES];
                self.value_wrong[row + d * STABILITIES] = mix(low, high, harder.share);
            }
        }
    }

    /// What each pattern reaches if its next answer is planned for each step; the last of each is
    /// never.
    pub(super) fn reach_all(&self, prices: &[f64]) -> Vec<f64> {
        let row = prices.len() + 1;
        let mut all = vec![f64::NEG_INFINITY; self.placed.len() * row];
        for (placed, reached) in self.placed.iter().zip(all.chunks_exact_mut(row)) {
            let mut slid = placed.never;
            reached[prices.len()] = slid;
            for (to, step) in placed.steps.iter().enumerate().rev() {
                let Some(step) = step else { continue };
                let right = self.read(to, step.right, placed.right_difficulty, placed);
                let wrong = self.read(to, step.repaired, placed.repaired_difficulty, placed);
                let then = f64::from(step.recall * right + (1.0 - step.recall) * wrong);
                let then = then * self.board.counts(placed.is_new, to);
                let q = then - prices[to] + placed.before[to];
                let keeps = self.board.keeps[to];
                slid = keeps * q + (1.0 - keeps) * slid;
                reached[to] = slid;
            }
        }
        all
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

    /// Demand for each step at the choices last found by [`Self::value_all`], with what
    /// [`Self::reach_all`] found.
    pub(super) fn demand(&mut self, reached: &[f64], softness: f32) -> Vec<f64> {
        let steps = self.board.capacity.len();
        let mut demand = vec![0.0; steps];
        self.mass.fill([0.0; LANES]);
        self.mass_wrong.fill([0.0; LANES]);
        self.begin(reached, 0.25 / softness, &mut demand);
        for from in 0..steps {
            if !self.is_open(from) {
                continue;
            }
            self.make_harder(from);
            for node in 0..NODES {
                let here = self.mass[from * NODES + node];
                if here.iter().sum::<f32>() >= 1e-4 {
                    self.pass_on(from, node, here, &mut demand);
                }
            }
        }
        demand
    }

    /// The next answer of every pattern from where it really is.
    fn begin(&mut self, reached: &[f64], soft: f32, demand: &mut [f64]) {
        let placed = std::mem::take(&mut self.placed);
        for (one, reached) in placed.iter().zip(reached.chunks_exact(demand.len() + 1)) {
            let best = reached.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let wish = |q: f64| kernel(narrow(q - best), 0.0, soft);
            let sum: f32 = reached.iter().map(|&q| wish(q)).sum();
            let mut slid = 0.0;
            for (to, step) in one.steps.iter().enumerate() {
                let Some(step) = step else { continue };
                let wanted = wish(reached[to]) / sum + slid;
                let share = wanted * narrow(self.board.keeps[to]);
                slid = wanted - share;
                if wanted > 1e-4 {
                    demand[to] += f64::from(wanted);
                    self.drop_mass(to, step.right, one.right_difficulty, share * step.recall, one);
                    let wrong = share * (1.0 - step.recall);
                    self.drop_mass(to, step.repaired, one.repaired_difficulty, wrong, one);
                }
            }
        }
        self.placed = placed;
    }

    /// What was wrong on this step goes on with the difficulty a wrong answer leads to.
    fn make_harder(&mut self, from: usize) {
        for (d, harder) in self.grid.harder().iter().enumerate() {
            for s in 0..STABILITIES {
                let row = from * NODES + s;
                let moved = self.mass_wrong[row + d * STABILITIES];
                add(&mut self.mass[row + harder.low * STABILITIES], moved, 1.0 - harder.share);
                add(&mut self.mass[row + (harder.low + 1) * STABILITIES], moved, harder.share);
            }
        }
    }

    /// Spreads what has come to a node over the steps that are wanted next.
    fn pass_on(&mut self, from: usize, node: usize, here: Lane, demand: &mut [f64]) {
        let row = self.row(from, node);
        let scale = self.scale[from * NODES + node];
        let here = lanes(|l| here[l] * scale[l]);
        let difficulty = node / STABILITIES * STABILITIES;
        let mut slid = [0.0; LANES];
        for (to, demand) in demand.iter_mut().enumerate().skip(from + 1) {
            if self.board.capacity[to] <= 0.0 {
                continue;
            }
            let chosen = &self.choice[row + to - from - 1];
            let keeps = narrow(self.board.keeps[to]);
            let wanted = lanes(|l| here[l] * chosen[l] + slid[l]);
            slid = lanes(|l| (1.0 - keeps) * wanted[l]);
            let total: f32 = wanted.iter().sum();
            if total < 1e-6 {
                continue;
            }
            *demand += f64::from(total);
            let flow = lanes(|l| keeps * wanted[l]);
            let Step { recall, right, repaired } = self.grid.steps(node)[to - from - 1];
            let base = to * NODES + difficulty;
            for (mass, chance, to) in
                [(&mut self.mass, recall, right), (&mut self.mass_wrong, 1.0 - recall, repaired)]
            {
                add(&mut mass[base + to.low], flow, chance * (1.0 - to.share));
                add(&mut mass[base + to.low + 1], flow, chance * to.share);
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
}

/// The weight of a choice `q` beside the best one: 1 at the best, 0 four softnesses below.
#[inline]
fn kernel(q: f32, best: f32, soft: f32) -> f32 {
    let x = (1.0 + (q - best) * soft).max(0.0);
    let x = x * x;
    x * x
}
