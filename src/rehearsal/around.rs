//! Around one serve: its neighbours in depth and lane, each with the receive that is right for it.

use crate::game::{Depth, Lane, Pace};
use crate::launcher::{Stand, Throw, Thrown};
use crate::rehearsal::answer::{answered, side};
use crate::rehearsal::session::{Block, Note, SessionBall, SessionPhase, Variation};
use crate::rehearsal::work::{TableServe, Work, apportion};

/// A neighbour of a serve's ball with the receive that is right for it.
pub(super) fn neighbour(work: &Work<'_>, base: &TableServe, thrown: Thrown) -> Option<SessionBall> {
    // A short ball cannot be fed from behind the line.
    let is_fed_short = thrown.throw == Throw::Feed && thrown.depth == Depth::Short;
    let is_from_table = work.place(base).stand == Stand::OnTable;
    if is_fed_short && !is_from_table && !work.kind().is_person() {
        return None;
    }
    answered(work, thrown, base)
}

/// One motion: short forehand, short backhand, long backhand.
pub(super) fn one_motion(work: &Work<'_>, base: &TableServe) -> Option<Vec<SessionBall>> {
    let target = |(lane, depth): (Lane, Depth)| {
        // The deck's own serve with this motion comes first.
        let own = work.serves.iter().find(|other| {
            other.serve.motion.is_some()
                && other.serve.motion == base.serve.motion
                && side(other.mixed.lane) == side(lane)
                && other.mixed.depth == depth
        });
        own.map(TableServe::among_others).or_else(|| {
            neighbour(work, base, Thrown { lane, depth, pace: Pace::Medium, ..base.mixed })
        })
    };
    let targets = [
        (Lane::Forehand, Depth::Short),
        (Lane::Backhand, Depth::Short),
        (Lane::Backhand, Depth::Long),
    ];
    targets.into_iter().map(target).collect()
}

/// Short, half-long and long of one serve.
pub(super) fn depths(work: &Work<'_>, base: &TableServe) -> Option<Vec<SessionBall>> {
    let plain = base.mixed;
    let ball = |&depth: &Depth| {
        let pace = if depth == plain.depth { plain.pace } else { Pace::Medium };
        neighbour(work, base, Thrown { depth, pace, ..plain })
    };
    Depth::ALL.iter().map(ball).collect()
}

/// The three depths as three short blocks, for one setting at a time.
pub(super) fn depths_in_turn(work: &Work<'_>, base: &TableServe, count: u32) -> Vec<Block> {
    let balls = depths(work, base).filter(|_| count >= 9).unwrap_or_default();
    let block = |(ball, share): (SessionBall, u32)| {
        let balls = vec![ball; share as usize];
        Block {
            around: Some(base.serve.id.clone()),
            notes: vec![Note::OneDepthAfterTheOther],
            ..Block::draft(SessionPhase::Vary, Variation::InOrOut, work.place(base), balls)
        }
    };
    balls.into_iter().zip(apportion(count, &[1.0; 3], 0)).map(block).collect()
}
