//! The patterns on the board of the priced plan: everything about them that no price changes, and
//! the levels of weight that are planned side by side.
//!
//! Patterns wanted at the same events share a ladder of levels, so that few levels stand for
//! hundreds of weights.

use std::collections::BTreeMap;

use super::board::{Board, LANES, Lane, Results, Seat};
use super::door::{Moves, narrow, recall_at};
use super::grid::{Between, Step, difficulty_place};

/// An event belongs to a pattern's own when it holds at least this share of its weight.
const OWN_EVENT: f64 = 0.1;

/// One pattern with everything that does not depend on prices.
pub(super) struct Placed {
    /// For each step: what an answer then does; `None` where it cannot be given.
    pub(super) steps: Vec<Option<Step>>,
    pub(super) is_new: bool,
    pub(super) right_difficulty: Between,
    pub(super) repaired_difficulty: Between,
    /// Value collected at events before each step, without an answer.
    pub(super) before: Vec<f64>,
    /// Value collected at all events without any answer.
    pub(super) never: f64,
    /// The lane of weight below its own, and how far towards the next.
    pub(super) level: usize,
    pub(super) share: f32,
}

/// Places patterns with their weights over all events; beside them the weight of each event in each
/// lane.
pub(super) fn place_all(board: &Board, seats: &[Seat], totals: &[f64]) -> (Vec<Placed>, Vec<Lane>) {
    let own: Vec<Vec<bool>> = seats
        .iter()
        .zip(totals)
        .map(|(seat, total)| seat.weights.iter().map(|w| *w > OWN_EVENT * total).collect())
        .collect();
    let mut counted: BTreeMap<&[bool], usize> = BTreeMap::new();
    for events in &own {
        *counted.entry(events).or_default() += 1;
    }
    let mut kinds: Vec<&[bool]> = counted.keys().copied().collect();
    kinds.sort_by_key(|kind| std::cmp::Reverse(counted[kind]));
    // As many ladders as lanes allow: one, two or four.
    let count = match kinds.len() {
        0 | 1 => 1,
        2 => 2,
        _ => 4,
    };
    kinds.truncate(count);
    let width = LANES / count;
    let alike = |a: &[bool], b: &[bool]| a.iter().zip(b).filter(|(a, b)| a == b).count();
    // The first of the most alike; `max_by_key` would take the last.
    let kind_of = |events: &Vec<bool>| {
        (0..kinds.len()).rev().max_by_key(|&k| alike(kinds[k], events)).unwrap_or(0)
    };
    let kind_of: Vec<usize> = own.iter().map(kind_of).collect();
    let mut levels = vec![[0.0; LANES]; board.events.len()];
    let mut lanes = [0.0; LANES];
    for kind in 0..count {
        let members: Vec<usize> = (0..seats.len()).filter(|&n| kind_of[n] == kind).collect();
        let mut sorted: Vec<f64> = members.iter().map(|&n| totals[n]).collect();
        sorted.sort_by(f64::total_cmp);
        let whole: f64 = sorted.iter().sum();
        let last = sorted.len().saturating_sub(1);
        for l in 0..width {
            let level = sorted.get(l * last / (width - 1)).copied().unwrap_or(0.0);
            lanes[kind * width + l] = level;
            for (e, lane) in levels.iter_mut().enumerate() {
                let here: f64 = members.iter().map(|&n| seats[n].weights[e]).sum();
                lane[kind * width + l] = narrow(level * here / whole.max(1e-300));
            }
        }
    }
    let place = |n: usize| {
        let first = kind_of[n] * width;
        let ladder = &lanes[first..first + width];
        let (weight, mut below) = (totals[n], 0);
        while below + 2 < width && weight > ladder[below + 1] {
            below += 1;
        }
        let rise = ladder[below + 1] - ladder[below];
        let share = if rise > 0.0 { (weight - ladder[below]) / rise } else { 0.0 };
        Placed::new(board, &seats[n], first + below, narrow(share.clamp(0.0, 1.0)))
    };
    ((0..seats.len()).map(place).collect(), levels)
}

impl Placed {
    /// One pattern's own transitions from where it really is.
    fn new(board: &Board, seat: &Seat, level: usize, share: f32) -> Self {
        let memory =
            seat.memory.map(|held| (held, Moves::from_state(held.stability, held.difficulty)));
        let step = |t: usize| {
            let (is_due, step) = match &memory {
                None => {
                    let Results { chance, right, repaired } = board.first;
                    (true, Step::to_days(chance, right.stability, repaired.stability))
                }
                Some((held, moves)) => {
                    let gap = board.day(t) - held.last;
                    (gap >= 1.0, Step::from_moves(moves, gap))
                }
            };
            (board.capacity[t] > 0.0 && is_due).then_some(step)
        };
        let at_events = |until: f64| -> f64 {
            let Some(held) = seat.memory else { return 0.0 };
            board
                .events
                .iter()
                .zip(&seat.weights)
                .map(|(event, weight)| (f64::from(*event), weight))
                .filter(|(event, _)| *event <= until)
                .map(|(event, weight)| weight * recall_at(held.stability, event - held.last))
                .sum()
        };
        // Where difficulty leads depends on no day.
        let Results { right, repaired, .. } = board.results(seat.memory, 0.0);
        let steps = 0..board.capacity.len();
        Self {
            steps: steps.clone().map(step).collect(),
            is_new: seat.memory.is_none(),
            right_difficulty: difficulty_place(right.difficulty),
            repaired_difficulty: difficulty_place(repaired.difficulty),
            before: steps.map(|t| at_events(board.day(t))).collect(),
            never: at_events(f64::INFINITY),
            level,
            share,
        }
    }
}
