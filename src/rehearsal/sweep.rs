//! An oscillating launcher: one setting, and the lane decides the answer.
//!
//! Serves that differ only in their lane share a sweep; the list goes back and forth, while the
//! real order is the launcher's own.

use crate::game::{Lane, ServeId};
use crate::launcher::{SetUp, Thrown};
use crate::rehearsal::answer::{answered, three_lanes};
use crate::rehearsal::session::{Block, Note, SessionBall, SessionPhase, Variation};
use crate::rehearsal::work::{TableServe, Work};

/// One setting, several lanes: the serves that differ only in their lane, else one serve's ball to
/// both wings and the middle.
pub(super) fn sweep(work: &Work<'_>, base: &TableServe, count: u32) -> Option<Block> {
    let is_like = |a: &Thrown, b: &Thrown| Thrown { lane: a.lane, ..*b } == *a;
    let mut best: Vec<SessionBall> = Vec::new();
    for first in &work.serves {
        let mut group: Vec<SessionBall> = Vec::new();
        for one in &work.serves {
            let ball = one.alone.thrown;
            let is_new = group.iter().all(|other| other.thrown.lane != ball.lane);
            if is_new && is_like(&first.alone.thrown, &ball) {
                group.push(one.received(ball));
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
    best.sort_by_key(|ball| ball.thrown.lane);
    let first = work.serves.iter().find(|one| best[0].serve.as_ref() == Some(&one.serve.id))?;
    Some(swept(Variation::Sweep, None, first.alone.set_up, &best, count))
}

/// One serve's setting over more than half of the table.
pub(super) fn most_of_the_table(work: &Work<'_>, base: &TableServe, count: u32) -> Option<Block> {
    let lanes = three_lanes(base.alone.thrown.lane);
    one_serve(work, Variation::MostOfTheTable, base, lanes, count)
}

/// One serve's ball to three lanes, each with whatever is right there.
fn one_serve(
    work: &Work<'_>,
    variation: Variation,
    base: &TableServe,
    lanes: [Lane; 3],
    count: u32,
) -> Option<Block> {
    let ball = |lane| answered(work, Thrown { lane, ..base.alone.thrown }, base);
    let balls: Option<Vec<SessionBall>> = lanes.into_iter().map(ball).collect();
    Some(swept(variation, Some(base.serve.id.clone()), base.alone.set_up, &balls?, count))
}

/// Balls back and forth over their lanes.
fn swept(
    variation: Variation,
    around: Option<ServeId>,
    set_up: SetUp,
    lanes: &[SessionBall],
    count: u32,
) -> Block {
    let back = lanes.iter().rev().skip(1).take(lanes.len().saturating_sub(2));
    let balls = lanes.iter().chain(back).cycle().take(count as usize).cloned().collect();
    Block {
        around,
        sweep: lanes.iter().map(|ball| ball.thrown.lane).collect(),
        notes: vec![Note::LanesAreTheLaunchers],
        ..Block::draft(SessionPhase::Vary, variation, set_up, balls)
    }
}
