//! The small plan: few patterns and few answers, so that every schedule near the best is looked at.
//!
//! A schedule says which pattern is answered in which slot. A pattern's expected recall under fixed
//! days is worked out exactly, right or wrong and repaired at each answer. Slots are filled by the
//! best single addition and then exchanged until no change of one slot and no swap of two helps.
//! Prices are of no use here: with three patterns a price cannot halve the wish for one answer.
//! Re-made every day, so that what the answers show is used.

use std::collections::HashMap;

use super::door::{Moves, State, difficulty_after, recall_at};
use super::grid::narrow;
use super::placed::Seat;
use super::priced::Board;

/// The most answers in all, and the most patterns times steps, that are searched.
const MOST_ANSWERS: f64 = 12.0;
const MOST_CELLS: usize = 160;

/// The most answers that are planned ahead for one pattern: a sixth adds next to nothing, and
/// tomorrow plans again.
const MOST_EACH: u32 = 5;

/// Whether a set is small enough to be searched.
pub(super) fn is_small(items: usize, steps: usize, answers: f64) -> bool {
    items > 0 && answers <= MOST_ANSWERS && items * steps <= MOST_CELLS && steps <= 64
}

/// The best schedule found.
#[derive(Debug, Clone)]
pub(super) struct Schedule {
    /// For each pattern the steps on which it is answered, as bits.
    pub(super) steps: Vec<u64>,
    /// The weighted recall summed over patterns and events.
    pub(super) value: f64,
}

/// What is already known of each pattern: its expected value for each set of steps.
type Known = Vec<HashMap<u64, f64>>;

/// Finds the best schedule.
pub(super) fn search(board: &Board, seats: &[Seat]) -> Schedule {
    search_knowing(board, seats, &mut vec![HashMap::new(); seats.len()])
}

fn search_knowing(board: &Board, seats: &[Seat], known: &mut Known) -> Schedule {
    let mut search = Search { board, seats, known };
    let mut slots: Vec<(usize, Option<usize>)> = Vec::new();
    for (step, room) in board.capacity.iter().enumerate() {
        let mut left = *room;
        while left >= 1.0 {
            slots.push((step, None));
            left -= 1.0;
        }
    }
    let mut plans = vec![0_u64; seats.len()];
    search.fill(&mut slots, &mut plans);
    search.exchange(&mut slots, &mut plans);
    let value = (0..seats.len()).map(|n| search.value(n, plans[n])).sum();
    Schedule { steps: plans, value }
}

/// The most patterns for which today's answer is looked through to both of its results.
const MOST_LOOKED_THROUGH: usize = 8;

/// Finds the best schedule whose days ahead may depend on how today's one answer goes: for each
/// pattern (or none) that today's slot could hold, the rest is searched after right and after wrong.
/// A schedule fixed in advance cannot move an answer to where a wrong one made it needed.
pub(super) fn search_through_today(board: &Board, seats: &[Seat]) -> Schedule {
    let mut known: Known = vec![HashMap::new(); seats.len()];
    let fixed = search_knowing(board, seats, &mut known);
    let one_today = (1.0..2.0).contains(&board.capacity[0]);
    if !one_today || seats.len() > MOST_LOOKED_THROUGH {
        return fixed;
    }
    let mut after = board.clone();
    after.capacity[0] = 0.0;
    let mut best = search_knowing(&after, seats, &mut known);
    for n in 0..seats.len() {
        let Some((chance, right, repaired)) = results_today(board, &seats[n]) else { continue };
        let mut then = |state: State| {
            let mut seats = seats.to_vec();
            seats[n].memory = Some((state, 0));
            // Only this pattern has changed; what is known of the others stays true.
            let own = std::mem::take(&mut known[n]);
            let found = search_knowing(&after, &seats, &mut known);
            known[n] = own;
            found
        };
        let (if_right, if_wrong) = (then(right), then(repaired));
        let value = chance * if_right.value + (1.0 - chance) * if_wrong.value;
        if value > best.value {
            best = Schedule { steps: if_right.steps, value };
            best.steps[n] |= 1;
        }
    }
    if best.value > fixed.value { best } else { fixed }
}

/// The chance that today's answer is right, and the states after right and after repaired.
fn results_today(board: &Board, seat: &Seat) -> Option<(f64, State, State)> {
    match seat.memory {
        None => board.open_for_new[0].then_some((
            board.first_right,
            board.first_states.0,
            board.first_states.1,
        )),
        Some((_, 0)) => None,
        Some((state, ago)) => {
            let (s, d) = numbers(state);
            let reached = Moves::of(s, d).at(f64::from(ago));
            let (right_d, repaired_d) = difficulty_after(d);
            let state = |s: f64, d: f64| State::new(narrow(s), narrow(d)).ok();
            Some((
                reached.recall,
                state(reached.right_days, right_d)?,
                state(reached.repaired_days, repaired_d)?,
            ))
        }
    }
}

struct Search<'a> {
    board: &'a Board,
    seats: &'a [Seat],
    known: &'a mut Known,
}

/// Changes smaller than this are noise.
const LEAST_GAIN: f64 = 1e-12;

impl Search<'_> {
    /// Fills slots one at a time, the best addition first.
    fn fill(&mut self, slots: &mut [(usize, Option<usize>)], plans: &mut [u64]) {
        loop {
            let mut best = (LEAST_GAIN, None);
            for (slot, &(step, _)) in slots.iter().enumerate().filter(|(_, s)| s.1.is_none()) {
                for (n, &plan) in plans.iter().enumerate() {
                    let changed = plan | bit(step);
                    if changed != plan && self.may(n, changed) {
                        let gain = self.value(n, changed) - self.value(n, plan);
                        if gain > best.0 {
                            best = (gain, Some((slot, n)));
                        }
                    }
                }
            }
            let Some((slot, n)) = best.1 else { return };
            slots[slot].1 = Some(n);
            plans[n] |= bit(slots[slot].0);
        }
    }

    /// Changes one slot or swaps two until nothing helps.
    fn exchange(&mut self, slots: &mut [(usize, Option<usize>)], plans: &mut [u64]) {
        for _ in 0..200 {
            let mut best = (LEAST_GAIN, None);
            for a in 0..slots.len() {
                for n in (0..plans.len()).map(Some).chain([None]) {
                    let changed = [(a, n)];
                    let gain = self.gain(slots, plans, &changed);
                    if gain > best.0 {
                        best = (gain, Some(changed.to_vec()));
                    }
                }
                for b in a + 1..slots.len() {
                    // A swap, and the shift of one pattern into a slot that passes its own on.
                    for n in (0..plans.len()).map(Some) {
                        for changed in [
                            [(a, slots[b].1), (b, slots[a].1)],
                            [(a, slots[b].1), (b, n)],
                            [(a, n), (b, slots[a].1)],
                        ] {
                            let gain = self.gain(slots, plans, &changed);
                            if gain > best.0 {
                                best = (gain, Some(changed.to_vec()));
                            }
                        }
                    }
                }
            }
            let Some(changed) = best.1 else { return };
            for (slot, n) in changed {
                slots[slot].1 = n;
            }
            for (n, plan) in plans.iter_mut().enumerate() {
                *plan = steps_of(slots, n);
            }
        }
    }

    /// What a change of slots would gain; nothing when it is not allowed.
    fn gain(
        &mut self,
        slots: &[(usize, Option<usize>)],
        plans: &[u64],
        changed: &[(usize, Option<usize>)],
    ) -> f64 {
        let mut touched: Vec<usize> =
            changed.iter().flat_map(|&(slot, n)| [slots[slot].1, n]).flatten().collect();
        touched.sort_unstable();
        touched.dedup();
        let mut after = slots.to_vec();
        for &(slot, n) in changed {
            after[slot].1 = n;
        }
        let mut gain = 0.0;
        for n in touched {
            let steps = steps_of(&after, n);
            let given = after.iter().filter(|(_, owner)| *owner == Some(n)).count();
            if given != steps.count_ones() as usize || !self.may(n, steps) {
                return 0.0;
            }
            gain += self.value(n, steps) - self.value(n, plans[n]);
        }
        gain
    }

    /// Whether a pattern may be answered on these steps: not again on the day of its last answer,
    /// and not begun when it is too late for that.
    fn may(&self, n: usize, steps: u64) -> bool {
        if steps.count_ones() > MOST_EACH {
            return false;
        }
        match self.seats[n].memory {
            Some((_, 0)) => steps & 1 == 0,
            Some(_) => true,
            None => steps == 0 || self.board.open_for_new[steps.trailing_zeros() as usize],
        }
    }

    fn value(&mut self, n: usize, steps: u64) -> f64 {
        if let Some(&known) = self.known[n].get(&steps) {
            return known;
        }
        let seat = &self.seats[n];
        let memory = seat.memory.map(|(state, ago)| (numbers(state), -f64::from(ago)));
        let value = self.expected(seat, memory, steps, 0);
        self.known[n].insert(steps, value);
        value
    }

    /// Expected weighted recall at the events from number `event` on, with answers on `steps`.
    fn expected(
        &self,
        seat: &Seat,
        memory: Option<((f64, f64), f64)>,
        steps: u64,
        event: usize,
    ) -> f64 {
        let Some(&at) = self.board.events.get(event) else { return 0.0 };
        let at = f64::from(at);
        let step = steps.trailing_zeros();
        let day = f64::from(step) * f64::from(self.board.stride);
        if steps == 0 || day >= at {
            let recall = memory.map_or(0.0, |((s, _), last)| recall_at(s, at - last));
            return seat.weights[event] * recall + self.expected(seat, memory, steps, event + 1);
        }
        let rest = steps & (steps - 1);
        let (chance, right, repaired) = match memory {
            None => {
                let (right, repaired) = self.board.first_states;
                (self.board.first_right, numbers(right), numbers(repaired))
            }
            Some(((s, d), last)) => {
                let reached = Moves::of(s, d).at(day - last);
                let (right_d, repaired_d) = difficulty_after(d);
                (reached.recall, (reached.right_days, right_d), (reached.repaired_days, repaired_d))
            }
        };
        chance * self.expected(seat, Some((right, day)), rest, event)
            + (1.0 - chance) * self.expected(seat, Some((repaired, day)), rest, event)
    }
}

fn numbers(state: State) -> (f64, f64) {
    (f64::from(state.stability_days()), f64::from(state.difficulty()))
}

const fn bit(step: usize) -> u64 {
    1 << step
}

fn steps_of(slots: &[(usize, Option<usize>)], n: usize) -> u64 {
    slots
        .iter()
        .filter(|(_, owner)| *owner == Some(n))
        .fold(0, |steps, (step, _)| steps | bit(*step))
}
