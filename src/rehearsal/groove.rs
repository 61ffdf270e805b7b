//! Groove blocks: one serve at a time, one receive.
//!
//! They are grouped so that the launcher moves as rarely as possible and ends where the mixed
//! blocks are thrown from.

use crate::game::Pace;
use crate::launcher::SetUp;
use crate::rehearsal::session::{Block, SessionPhase, Variation};
use crate::rehearsal::work::{Maker, TableServe, Work, apportion};

/// Blocks of one serve each, so many balls in all.
pub(super) fn blocks(maker: &mut Maker<'_>, balls: u32) -> Vec<Block> {
    let shares = shares(maker.work, balls);
    let mut order: Vec<(&TableServe, u32)> =
        maker.work.serves.iter().zip(shares).filter(|(_, share)| *share > 0).collect();
    // The weakest first, but with its set-up; the common one last.
    order.sort_by(|(a, _), (b, _)| b.weakness.total_cmp(&a.weakness));
    let set_ups: Vec<SetUp> = order.iter().map(|(one, _)| one.alone.set_up).collect();
    order.sort_by_key(|(one, _)| {
        let own = one.alone.set_up;
        let first = set_ups.iter().position(|set_up| *set_up == own);
        // From one place the slower ones first, so that the fast one is met warm; what is not made
        // comes first whatever it is.
        let is_fast = one.serve.pace == Some(Pace::Fast) && one.weakness < 1.0;
        (own == maker.work.home, first, is_fast)
    });
    let block = |(one, count): (&TableServe, u32)| {
        if one.is_banana() {
            maker.bananas += count;
        }
        one_serve(SessionPhase::Groove, one, count)
    };
    order.into_iter().map(block).collect()
}

/// A block of nothing but this serve's own ball.
pub(super) fn one_serve(phase: SessionPhase, one: &TableServe, count: u32) -> Block {
    let balls = vec![one.received(one.alone.thrown); count as usize];
    Block {
        around: Some(one.serve.id.clone()),
        ..Block::draft(phase, Variation::OneServe, one.alone.set_up, balls)
    }
}

/// The balls of each serve: at most half of the banana flicks allowed go into groove blocks.
fn shares(work: &Work<'_>, balls: u32) -> Vec<u32> {
    let (serves, cap) = (&work.serves, work.request.volumes.banana_flicks / 2);
    let shared = |balls: u32, least: u32, has: &dyn Fn(&TableServe) -> bool| {
        let weights = serves.iter().map(|one| if has(one) { one.weight } else { 0.0 });
        apportion(balls, &weights.collect::<Vec<_>>(), least)
    };
    let fair = balls / u32::try_from(serves.len()).unwrap_or(u32::MAX).max(1);
    let shares = shared(balls, fair.min(4), &|_| true);
    let bananas = serves.iter().zip(&shares).filter(|(one, _)| one.is_banana());
    let bananas: u32 = bananas.map(|(_, share)| share).sum();
    if bananas <= cap || serves.iter().all(TableServe::is_banana) {
        return shares;
    }
    let capped = shared(cap, 0, &TableServe::is_banana);
    let others = shared(balls - cap, 0, &|one| !one.is_banana());
    capped.iter().zip(others).map(|(one, other)| one + other).collect()
}
