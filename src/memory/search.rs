//! The small plan: few patterns and few answers, so that every schedule near the best is looked at.
//!
//! A schedule says which pattern is answered in which slot. A pattern's expected recall under fixed
//! days is worked out exactly, right or wrong and repaired at each answer. Slots are filled by the
//! best single addition and then exchanged until no change of one slot and no swap of two helps.
//! Prices are of no use here: with three patterns a price cannot halve the wish for one answer.
//! Re-made every day, so that what the answers show is used.

use std::collections::HashMap;

use super::board::{Board, Held, Results, Seat};
use super::door::{narrow, recall_at};

/// The most answers in all, and the most patterns times steps, that are searched.
const MOST_ANSWERS: f64 = 12.0;
const MOST_CELLS: usize = 160;
/// The most answers that are planned ahead for one pattern: a sixth adds next to nothing, and
/// tomorrow plans again.
const MOST_EACH: u32 = 5;
/// The most patterns for which today's answer is looked through to both of its results.
const MOST_LOOKED_THROUGH: usize = 8;
/// Changes smaller than this are noise.
const LEAST_GAIN: f64 = 1e-12;
/// The most exchanges of one search; a dozen are usual.
const MOST_EXCHANGES: usize = 200;

/// Whether a set is small enough to be searched.
pub(super) fn is_small(items: usize, steps: usize, answers: f64) -> bool {
    items > 0 && answers <= MOST_ANSWERS && items * steps <= MOST_CELLS && steps <= 64
}

/// The best schedule found.
#[derive(Debug, Clone)]
pub(super) struct Schedule {
    /// For each pattern the steps on which it is answered, as bits.
    pub(super) steps: Vec<u64>,
    /// For each pattern what the schedule loses without today's answer to it.
    pub(super) worths: Vec<f64>,
    /// The weighted recall summed over patterns and events.
    pub(super) value: f64,
}

/// Room for one answer.
#[derive(Debug, Clone, Copy)]
struct Slot {
    step: usize,
    pattern: Option<usize>,
}

/// Another pattern, or none, for the slot at a place.
type SlotChange = (usize, Option<usize>);

/// What is already known of each pattern: its expected value for each set of steps.
type KnownValues = Vec<HashMap<u64, f64>>;

fn search_knowing(board: &Board, seats: &[Seat], known: &mut KnownValues) -> Schedule {
    let mut slots = Vec::new();
    for (step, room) in board.capacity.iter().enumerate() {
        let mut left = *room;
        while left >= 1.0 {
            slots.push(Slot { step, pattern: None });
            left -= 1.0;
        }
    }
    let mut search = Search { board, seats, known, slots, plans: vec![0; seats.len()] };
    search.fill();
    search.exchange();
    let plans = std::mem::take(&mut search.plans);
    let value = plans.iter().enumerate().map(|(n, &plan)| search.value(n, plan)).sum();
    let worth = |(n, &plan)| search.value(n, plan) - search.value(n, plan & !1);
    let worths = plans.iter().enumerate().map(worth).collect();
    Schedule { steps: plans, worths, value }
}

/// Finds the best schedule whose days ahead may depend on how today's one answer goes: for each
/// pattern (or none) that today's slot could hold, the rest is searched after right and after
/// wrong. A schedule fixed in advance cannot move an answer to where a wrong one made it needed.
/// Beside it the value of the best schedule that leaves today out.
pub(super) fn search(board: &Board, seats: &[Seat]) -> (Schedule, f64) {
    let mut known: KnownValues = vec![HashMap::new(); seats.len()];
    let fixed = search_knowing(board, seats, &mut known);
    let mut after = board.clone();
    after.capacity[0] = 0.0;
    let mut best = search_knowing(&after, seats, &mut known);
    let without_today = best.value;
    let one_today = (1.0..2.0).contains(&board.capacity[0]);
    if !one_today || seats.len() > MOST_LOOKED_THROUGH {
        return (fixed, without_today);
    }
    for (n, seat) in seats.iter().enumerate() {
        if !may_be_answered(seat, 1) {
            continue;
        }
        let Results { chance, right, repaired } = board.results(seat.memory, 0.0);
        let mut search_after = |held: Held| {
            let mut seats = seats.to_vec();
            // The states that follow are kept in single precision, as everywhere.
            let single = |value: f64| f64::from(narrow(value));
            let (stability, difficulty) = (single(held.stability), single(held.difficulty));
            seats[n].memory = Some(Held { stability, difficulty, last: 0.0 });
            let counts = board.counts(seat.memory.is_none(), 0);
            seats[n].weights.iter_mut().for_each(|weight| *weight *= counts);
            // Only this pattern has changed; what is known of the others stays true.
            let own = std::mem::take(&mut known[n]);
            let found = search_knowing(&after, &seats, &mut known);
            known[n] = own;
            found
        };
        let (if_right, if_wrong) = (search_after(right), search_after(repaired));
        let value = chance * if_right.value + (1.0 - chance) * if_wrong.value;
        if value > best.value {
            best = Schedule { value, ..if_right };
            best.steps[n] |= 1;
            best.worths[n] = value - without_today;
        }
    }
    (if best.value > fixed.value { best } else { fixed }, without_today)
}

/// Whether a pattern may be answered on these steps: not again on the day of its last answer.
fn may_be_answered(seat: &Seat, steps: u64) -> bool {
    seat.memory.is_none_or(|held| held.last < 0.0 || steps & 1 == 0)
}

struct Search<'a> {
    board: &'a Board,
    seats: &'a [Seat],
    known: &'a mut KnownValues,
    slots: Vec<Slot>,
    /// The steps of each pattern in the slots, as bits.
    plans: Vec<u64>,
}

impl Search<'_> {
    /// Fills slots one at a time, the best addition first.
    fn fill(&mut self) {
        loop {
            let mut best = (LEAST_GAIN, None);
            for place in 0..self.slots.len() {
                let Slot { step, pattern: None } = self.slots[place] else { continue };
                for n in 0..self.plans.len() {
                    let plan = self.plans[n];
                    let changed = plan | 1 << step;
                    if changed != plan && self.may(n, changed) {
                        let gain = self.value(n, changed) - self.value(n, plan);
                        if gain > best.0 {
                            best = (gain, Some((place, n)));
                        }
                    }
                }
            }
            let Some((place, n)) = best.1 else { return };
            self.slots[place].pattern = Some(n);
            self.plans[n] |= 1 << self.slots[place].step;
        }
    }

    /// Changes one slot or swaps two until nothing helps.
    fn exchange(&mut self) {
        for _ in 0..MOST_EXCHANGES {
            let mut best = (LEAST_GAIN, Vec::new());
            let mut attempt = |search: &mut Self, changes: &[SlotChange]| {
                let gain = search.gain(changes);
                if gain > best.0 {
                    best = (gain, changes.to_vec());
                }
            };
            for a in 0..self.slots.len() {
                let at_a = self.slots[a].pattern;
                for n in (0..self.plans.len()).map(Some).chain([None]) {
                    attempt(self, &[(a, n)]);
                }
                for b in a + 1..self.slots.len() {
                    let at_b = self.slots[b].pattern;
                    // A swap, and the shift of one pattern into a slot that passes its own on.
                    for n in (0..self.plans.len()).map(Some) {
                        attempt(self, &[(a, at_b), (b, at_a)]);
                        attempt(self, &[(a, at_b), (b, n)]);
                        attempt(self, &[(a, n), (b, at_a)]);
                    }
                }
            }
            if best.1.is_empty() {
                return;
            }
            for (place, n) in best.1 {
                self.slots[place].pattern = n;
            }
            self.plans = (0..self.plans.len()).map(|n| steps_of(&self.slots, n)).collect();
        }
    }

    /// What some changes of slots would gain; nothing when they are not allowed.
    fn gain(&mut self, changes: &[SlotChange]) -> f64 {
        let mut touched: Vec<usize> = changes
            .iter()
            .flat_map(|&(place, n)| [self.slots[place].pattern, n])
            .flatten()
            .collect();
        touched.sort_unstable();
        touched.dedup();
        let mut after = self.slots.clone();
        for &(place, n) in changes {
            after[place].pattern = n;
        }
        let mut gain = 0.0;
        for n in touched {
            let steps = steps_of(&after, n);
            let given = after.iter().filter(|slot| slot.pattern == Some(n)).count();
            if given != steps.count_ones() as usize || !self.may(n, steps) {
                return 0.0;
            }
            gain += self.value(n, steps) - self.value(n, self.plans[n]);
        }
        gain
    }

    fn may(&self, n: usize, steps: u64) -> bool {
        steps.count_ones() <= MOST_EACH && may_be_answered(&self.seats[n], steps)
    }

    /// The expected weighted recall of one pattern at all events, answered on these steps.
    fn value(&mut self, n: usize, steps: u64) -> f64 {
        if let Some(&known) = self.known[n].get(&steps) {
            return known;
        }
        let seat = &self.seats[n];
        let value = self.expected(seat, seat.memory, steps, 0);
        self.known[n].insert(steps, value);
        value
    }

    /// The same from event number `event` on, from a memory.
    fn expected(&self, seat: &Seat, memory: Option<Held>, steps: u64, event: usize) -> f64 {
        let Some(&at) = self.board.events.get(event) else { return 0.0 };
        let at = f64::from(at);
        let day = self.board.day(steps.trailing_zeros() as usize);
        if steps == 0 || day >= at {
            let recall = memory.map_or(0.0, |held| recall_at(held.stability, at - held.last));
            return seat.weights[event] * recall + self.expected(seat, memory, steps, event + 1);
        }
        let rest = steps & (steps - 1);
        let step = steps.trailing_zeros() as usize;
        let Results { chance, right, repaired } = self.board.results(memory, day);
        let answered = chance * self.expected(seat, Some(right), rest, event)
            + (1.0 - chance) * self.expected(seat, Some(repaired), rest, event);
        let answered = answered * self.board.counts(memory.is_none(), step);
        let keeps = self.board.keeps[step];
        if keeps >= 1.0 {
            return answered;
        }
        keeps * answered + (1.0 - keeps) * self.expected(seat, memory, rest, event)
    }
}

fn steps_of(slots: &[Slot], n: usize) -> u64 {
    let own = slots.iter().filter(|slot| slot.pattern == Some(n));
    own.fold(0, |steps, slot| steps | 1 << slot.step)
}
