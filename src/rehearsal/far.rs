//! Distance and tempo as a bridge: far back and slow first, then from where a server stands.

use crate::game::{Depth, Pace};
use crate::launcher::{SetUp, Stand, Throw, Thrown};
use crate::rehearsal::answer::{answered, suits};
use crate::rehearsal::session::{Block, SessionBall, SessionPhase, Variation};
use crate::rehearsal::shares::apportion;
use crate::rehearsal::work::{Maker, TableServe, Work};

/// The fewest balls that are worth two blocks.
const LEAST: u32 = 8;

/// Far back and slow, then from the usual place.
pub(super) fn far_then_close(maker: &mut Maker<'_>, base: &TableServe, count: u32) -> Vec<Block> {
    let all = if maker.work.kind().mixes_freely() { maker.work.all() } else { vec![base] };
    let long: Vec<SessionBall> = all.iter().filter_map(|one| fed_long(maker.work, one)).collect();
    if count < LEAST || long.is_empty() {
        return Vec::new();
    }
    let close = maker.work.place(base);
    let stand = Stand::FarBack;
    let far = match maker.work.machine() {
        Some(machine) => SetUp::of_machine(machine, stand, close.from, maker.work.server),
        None => SetUp { stand, behind_line_m: stand.behind_line_m(), ..close },
    };
    let shares = apportion(count, &[1.0, 1.0], 0);
    let far_balls = maker.deal(&long, shares[0]);
    let close_balls = maker.pick_many(&all, shares[1]);
    let close_balls = close_balls.into_iter().map(TableServe::among_others).collect();
    // Where all serves take turns the block is about none of them.
    let around = Some(&base.serve.id).filter(|_| all.len() == 1);
    [(far, far_balls), (close, close_balls)]
        .into_iter()
        .map(|(set_up, balls)| Block {
            around: around.cloned(),
            ..Block::draft(SessionPhase::Vary, Variation::FarThenClose, set_up, balls)
        })
        .collect()
}

/// The long ball that stands for a serve from far back: a service cannot be copied from there. The
/// same swing far and close, unless this is another serve of the deck.
fn fed_long(work: &Work<'_>, one: &TableServe) -> Option<SessionBall> {
    let thrown = Thrown { throw: Throw::Feed, depth: Depth::Long, pace: Pace::Slow, ..one.mixed };
    let ball = match answered(work, thrown, one) {
        Some(ball) if ball.serve.is_some() => ball,
        _ if suits(&thrown, &one.serve, &one.receive) => {
            SessionBall { serve: None, ..one.received(thrown) }
        }
        other => other?,
    };
    let receive = ball.receive.as_ref()?;
    suits(&thrown, &one.serve, receive).then_some(ball)
}
