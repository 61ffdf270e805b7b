//! An oscillating launcher: one setting, and the lane decides the answer.
//!
//! Serves that differ only in their lane share a sweep; the list goes back and forth, while the real order
//! is the launcher's own.

use crate::base::order;
use crate::game::Lane;
use crate::launcher::{SetUp, Thrown};
use crate::rehearsal::answer::{answer, side};
use crate::rehearsal::settle::Draft;
use crate::rehearsal::work::{Work, received};
use crate::rehearsal::{Ball, Phase, Variation};

/// One setting, several lanes: the serves that differ only in their lane, else one serve's ball to both
/// wings and the middle.
pub(super) fn sweep(work: &Work<'_>, base: usize, count: u32) -> Vec<Draft> {
    let like = |a: &Thrown, b: &Thrown| Thrown { lane: a.lane, ..*b } == *a;
    let ball = |place: usize| work.patterns[place].alone.thrown;
    let mut best: Vec<usize> = Vec::new();
    for first in work.all() {
        let mut group: Vec<usize> = Vec::new();
        for place in work.all() {
            let is_new = group.iter().all(|&other| ball(other).lane != ball(place).lane);
            if is_new && like(&ball(first), &ball(place)) {
                group.push(place);
            }
        }
        if group.len() > best.len() {
            best = group;
        }
    }
    if best.len() < 2 {
        let lanes = [Lane::Forehand, Lane::Middle, Lane::Backhand];
        return one_serve(work, Variation::Sweep, base, lanes, count);
    }
    order::by_key(&mut best, |&place| ball(place).lane);
    let balls: Vec<Ball> =
        best.iter().map(|&place| received(&work.patterns[place], ball(place))).collect();
    vec![swept(Variation::Sweep, work.patterns[best[0]].alone.set_up, &balls, count)]
}

/// One serve's setting over more than half of the table.
pub(super) fn most_of_the_table(work: &Work<'_>, base: usize, count: u32) -> Vec<Draft> {
    let lanes = if side(work.patterns[base].alone.thrown.lane) >= 0 {
        [Lane::WideForehand, Lane::Forehand, Lane::Middle]
    } else {
        [Lane::Middle, Lane::Backhand, Lane::WideBackhand]
    };
    one_serve(work, Variation::MostOfTheTable, base, lanes, count)
}

/// One serve's ball to three lanes, each with whatever is right there.
fn one_serve(
    work: &Work<'_>,
    variation: Variation,
    base: usize,
    lanes: [Lane; 3],
    count: u32,
) -> Vec<Draft> {
    let pattern = &work.patterns[base];
    let balls: Vec<Ball> = lanes
        .iter()
        .filter_map(|&lane| {
            let thrown = Thrown { lane, ..pattern.alone.thrown };
            let (serve, receive) = answer(work, &thrown, pattern)?;
            Some(Ball { serve, receive: Some(receive), ..received(pattern, thrown) })
        })
        .collect();
    if balls.len() < 3 {
        return Vec::new();
    }
    let around = Some(pattern.serve.id.clone());
    vec![Draft { around, ..swept(variation, pattern.alone.set_up, &balls, count) }]
}

/// Balls back and forth over their lanes.
fn swept(variation: Variation, set_up: SetUp, lanes: &[Ball], count: u32) -> Draft {
    let there_and_back: Vec<&Ball> = lanes
        .iter()
        .chain(lanes.iter().rev().skip(1).take(lanes.len().saturating_sub(2)))
        .collect();
    let balls =
        there_and_back.into_iter().cycle().take(count as usize).cloned().collect::<Vec<_>>();
    Draft {
        sweep: lanes.iter().map(|ball| ball.thrown.lane).collect(),
        notes: vec!["Which lane comes when is the launcher's own; answer by the lane.".to_owned()],
        ..Draft::of(Phase::Vary, variation, set_up, balls)
    }
}
