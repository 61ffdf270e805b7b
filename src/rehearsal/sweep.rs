//! An oscillating launcher: one setting, and the lane decides the answer.
//!
//! Serves that differ only in their lane share a sweep; the list goes back and forth, while the
//! real order is the launcher's own.

use crate::game::Lane;
use crate::launcher::Thrown;
use crate::rehearsal::answer::{answered, three_lanes};
use crate::rehearsal::session::{Block, Note, SessionBall, SessionPhase, Variation};
use crate::rehearsal::work::{TableServe, Work};

/// One setting back and forth over several lanes: the serves that differ only in their lane, else
/// one serve's ball to both wings and the middle, or over more than half of the table.
pub(super) fn sweep(
    work: &Work<'_>,
    variation: Variation,
    base: &TableServe,
    count: u32,
) -> Option<Block> {
    let alike = if variation == Variation::ByLane { alike(work) } else { Vec::new() };
    let (around, set_up, lanes) = if let [first, _, ..] = alike[..] {
        let balls: Vec<_> = alike.iter().map(|one| one.received(one.alone.thrown)).collect();
        (None, first.alone.set_up, balls)
    } else {
        let lanes = match variation {
            Variation::ByLane => [Lane::Forehand, Lane::Middle, Lane::Backhand],
            _ => three_lanes(base.alone.thrown.lane),
        };
        let ball = |lane| answered(work, Thrown { lane, ..base.alone.thrown }, base);
        let balls: Option<Vec<SessionBall>> = lanes.into_iter().map(ball).collect();
        (Some(base.serve.id.clone()), base.alone.set_up, balls?)
    };
    let back = lanes.iter().rev().skip(1).take(lanes.len().saturating_sub(2));
    let balls = lanes.iter().chain(back).cycle().take(count as usize).cloned().collect();
    Some(Block {
        around,
        sweep: lanes.iter().map(|ball| ball.thrown.lane).collect(),
        notes: vec![Note::LanesAreTheLaunchers],
        ..Block::draft(SessionPhase::Vary, variation, set_up, balls)
    })
}

/// The most serves whose balls differ only in their lane, by lane.
fn alike<'w>(work: &'w Work<'_>) -> Vec<&'w TableServe> {
    let mut most: Vec<&TableServe> = Vec::new();
    for first in &work.serves {
        let mut group: Vec<&TableServe> = Vec::new();
        for one in &work.serves {
            let ball = one.alone.thrown;
            let is_like = Thrown { lane: ball.lane, ..first.alone.thrown } == ball;
            if is_like && group.iter().all(|other| other.alone.thrown.lane != ball.lane) {
                group.push(one);
            }
        }
        if group.len() > most.len() {
            most = group;
        }
    }
    most.sort_by_key(|one| one.alone.thrown.lane);
    most
}
