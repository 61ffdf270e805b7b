//! Groove blocks: one serve at a time, one receive.
//!
//! They are grouped so that the launcher moves as rarely as possible and ends where the mixed blocks are thrown from.

use crate::base::order;
use crate::game::Stroke;
use crate::launcher::SetUp;
use crate::rehearsal::settle::Draft;
use crate::rehearsal::shares::apportion;
use crate::rehearsal::work::{Pattern, Work, received};
use crate::rehearsal::{Phase, Variation};

/// Blocks of one serve each, so many balls in all.
pub(super) fn drafts(work: &mut Work<'_>, balls: u32) -> Vec<Draft> {
    let mut weights: Vec<f64> = work.patterns.iter().map(|pattern| pattern.weight).collect();
    let fair = balls / u32::try_from(work.patterns.len()).unwrap_or(u32::MAX).max(1);
    let mut shares = apportion(balls, &weights, fair.min(4));
    // At most half of the banana flicks allowed go into groove blocks.
    let cap = work.request.volumes.banana_flicks / 2;
    let is_banana = |pattern: &Pattern| pattern.receive.stroke == Stroke::BananaFlick;
    let bananas: u32 =
        work.patterns.iter().zip(&shares).filter(|(p, _)| is_banana(p)).map(|(_, n)| n).sum();
    if bananas > cap && !work.patterns.iter().all(is_banana) {
        let banana_weights: Vec<f64> = work
            .patterns
            .iter()
            .zip(&weights)
            .map(|(pattern, weight)| if is_banana(pattern) { *weight } else { 0.0 })
            .collect();
        for (weight, pattern) in weights.iter_mut().zip(&work.patterns) {
            if is_banana(pattern) {
                *weight = 0.0;
            }
        }
        let capped = apportion(cap, &banana_weights, 0);
        let others = apportion(balls - cap, &weights, 0);
        shares = capped.iter().zip(others).map(|(one, other)| one + other).collect();
    }
    let mut order: Vec<usize> = (0..work.patterns.len()).filter(|&i| shares[i] > 0).collect();
    // Set-ups in order of first use, the common one last; within one, like settings together.
    let set_ups: Vec<SetUp> = order.iter().map(|&i| work.patterns[i].alone.set_up).collect();
    order::by_key(&mut order, |&i| {
        let pattern = &work.patterns[i];
        let own = pattern.alone.set_up;
        let first = set_ups.iter().position(|set_up| *set_up == own).unwrap_or_default();
        let ball = &pattern.alone.thrown;
        (own == work.home, first, ball.spin, ball.depth, i)
    });
    order
        .into_iter()
        .map(|place| {
            let pattern = &work.patterns[place];
            let count = shares[place];
            if is_banana(pattern) {
                work.bananas += count;
            }
            let ball = received(pattern, pattern.alone.thrown);
            Draft {
                around: Some(pattern.serve.id.clone()),
                set_up: pattern.alone.set_up,
                ..Draft::of(
                    Phase::Groove,
                    Variation::OneServe,
                    work.home,
                    vec![ball; count as usize],
                )
            }
        })
        .collect()
}
