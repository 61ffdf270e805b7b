//! The settings of a session's balls, computed for the launcher that throws them.
//!
//! Apart from the session itself, because aiming costs milliseconds for each kind of ball and a
//! session can do without: where no launch is found its knobs stay in words, and the block says
//! why.

use crate::flight::Constants;
use crate::game::{Hand, Lane, lane_y_m};
use crate::launcher::{LauncherKind, SetUp, Settings, Table, Thrown, aim_all};
use crate::rehearsal::session::{Block, Note, Session};

/// The seed of the simulated scatter; it chooses among ways to throw a ball, never the ball.
const SEED: u64 = 1;

/// Computes what is entered for every block and ball of a machine; a person's session stays as it
/// is.
pub fn enter(session: &mut Session, constants: &Constants) {
    let (kind, player) = (session.kind(), session.player);
    if kind.is_person() {
        return;
    }
    // A session repeats few kinds of balls many times.
    let mut balls: Vec<(Thrown, SetUp)> = Vec::new();
    for block in &mut session.blocks {
        let set_up = block.set_up;
        for (thrown, _) in to_aim(block, kind, player) {
            if !balls.contains(&(thrown, set_up)) {
                balls.push((thrown, set_up));
            }
        }
    }
    let table =
        Table { constants: *constants, receiver: player, server: session.server, seed: SEED };
    let aimed = aim_all(&session.launcher, &balls, &table);
    for block in &mut session.blocks {
        let (set_up, mut refused) = (block.set_up, None);
        for (thrown, settings) in to_aim(block, kind, player) {
            let place = balls.iter().position(|ball| *ball == (thrown, set_up));
            match place.map(|place| &aimed[place]) {
                Some(Ok(ball)) => *settings = Some(ball.settings.clone()),
                Some(Err(no_ball)) => refused = Some(Note::SetByEye(no_ball.clone())),
                None => {}
            }
        }
        block.notes.extend(refused);
    }
}

/// What is aimed for a block and where its settings go: the ball it is set for as a whole, then the
/// balls that have settings of their own, all but those a launcher with one setting at a time is
/// set for already.
fn to_aim(
    block: &mut Block,
    kind: LauncherKind,
    player: Hand,
) -> Vec<(Thrown, &mut Option<Settings>)> {
    let Some(first) = block.balls.first().map(|ball| ball.thrown) else { return Vec::new() };
    if let Some(lane) = middle_lane(&block.sweep, player) {
        return vec![(Thrown { lane, shade: None, ..first }, &mut block.settings)];
    }
    let has_whole = block.is_one_setting() || kind == LauncherKind::Fixed;
    let whole = has_whole.then_some((first, &mut block.settings));
    let own = block.balls.iter_mut().filter(|ball| !has_whole || ball.thrown != first);
    whole.into_iter().chain(own.map(|ball| (ball.thrown, &mut ball.settings))).collect()
}

/// The lane nearest to the middle of a sweep.
fn middle_lane(sweep: &[Lane], player: Hand) -> Option<Lane> {
    let y_m = |lane: Lane| lane_y_m(lane, player);
    let middle_m = sweep.iter().map(|&lane| y_m(lane)).sum::<f64>() / sweep.len() as f64;
    let off = |lane: Lane| (y_m(lane) - middle_m).abs();
    sweep.iter().copied().min_by(|&a, &b| off(a).total_cmp(&off(b)))
}
