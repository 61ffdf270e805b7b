//! The levels of weight that are planned side by side: patterns wanted at the same events share a
//! ladder, so that few levels stand for hundreds of weights.

use std::collections::BTreeMap;

use super::board::{Board, LANES, Lane, Seat};
use super::door::narrow;

/// The lanes: patterns wanted at the same events share a ladder of weights.
pub(super) struct Ladders {
    /// Weight of each event in each lane.
    pub(super) levels: Vec<Lane>,
    /// Total weight of each lane.
    pub(super) totals: Vec<f64>,
    /// For each pattern the first lane of its ladder.
    pub(super) rung: Vec<usize>,
    /// Lanes in one ladder.
    pub(super) width: usize,
}

/// An event belongs to a pattern's own when it holds at least this share of its weight.
const OWN_EVENT: f64 = 0.1;

impl Ladders {
    pub(super) fn new(board: &Board, seats: &[Seat], totals: &[f64]) -> Self {
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
        let count = match kinds.len() {
            0 | 1 => 1,
            2 => 2,
            _ => 4,
        };
        kinds.truncate(count);
        let width = LANES / count;
        let alike = |a: &[bool], b: &[bool]| a.iter().zip(b).filter(|(a, b)| a == b).count();
        // The first of the most alike; `max_by_key` would take the last.
        let kind_of: Vec<usize> = own
            .iter()
            .map(|events| {
                (0..kinds.len()).rev().max_by_key(|&k| alike(kinds[k], events)).unwrap_or(0)
            })
            .collect();
        let mut levels = vec![[0.0; LANES]; board.events.len()];
        let mut lanes = vec![0.0; LANES];
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
        let rung = kind_of.into_iter().map(|kind| kind * width).collect();
        Self { levels, totals: lanes, rung, width }
    }
}
