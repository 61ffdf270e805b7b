//! The settings of a session's balls, computed for the launcher that throws them.
//!
//! Apart from the session itself, because aiming costs milliseconds for each kind of ball and a
//! session can do without: where no launch is found its knobs stay in words, and the block says
//! why.

use crate::flight::Constants;
use crate::game::{Hand, Lane, lane_y_m};
use crate::launcher::{LauncherKind, SetUp, Table, Thrown, aim_all};
use crate::rehearsal::session::{Block, Note, Session};

/// The seed of the simulated scatter; it chooses among ways to throw a ball, never the ball.
const SEED: u64 = 1;

/// Computes what is entered for every block and ball of a machine; a person's session stays as it
/// is.
pub fn enter(session: &mut Session, constants: &Constants) {
    let kind = session.kind();
    if kind.is_person() {
        return;
    }
    // A session repeats few kinds of balls many times.
    let mut balls: Vec<(Thrown, SetUp)> = Vec::new();
    for block in &session.blocks {
        for part in aimed_parts(block, kind, session.player) {
            let ball = (part.thrown, block.set_up);
            if !balls.contains(&ball) {
                balls.push(ball);
            }
        }
    }
    let table = Table {
        constants: *constants,
        receiver: session.player,
        server: session.server,
        seed: SEED,
    };
    let aimed = aim_all(&session.launcher, &balls, &table);
    for block in &mut session.blocks {
        let mut refused = None;
        for part in aimed_parts(block, kind, session.player) {
            let is_it = |ball: &(Thrown, SetUp)| *ball == (part.thrown, block.set_up);
            match balls.iter().position(is_it).map(|place| &aimed[place]) {
                Some(Ok(ball)) => {
                    let settings = Some(ball.settings.clone());
                    match part.ball {
                        Some(place) => block.balls[place].settings = settings,
                        None => block.settings = settings,
                    }
                }
                Some(Err(no_ball)) => refused = Some(no_ball),
                None => {}
            }
        }
        if let Some(no_ball) = refused {
            block.notes.push(Note::SetByEye(no_ball.clone()));
        }
    }
}

/// A ball to be aimed.
struct AimedPart {
    thrown: Thrown,
    /// The place of the only ball it is for; none for the whole block.
    ball: Option<usize>,
}

/// What is aimed for a block: the ball it is set for as a whole, then the balls that have settings
/// of their own, all but those a launcher with one setting at a time is set for already.
fn aimed_parts(block: &Block, kind: LauncherKind, player: Hand) -> Vec<AimedPart> {
    let Some(first) = block.balls.first().map(|ball| ball.thrown) else { return Vec::new() };
    if let Some(lane) = middle_lane(&block.sweep, player) {
        return vec![AimedPart { thrown: Thrown { lane, shade: None, ..first }, ball: None }];
    }
    let whole = AimedPart { thrown: first, ball: None };
    if block.is_one_setting() {
        return vec![whole];
    }
    let is_set = |thrown: Thrown| kind == LauncherKind::Fixed && thrown == first;
    let own = block.balls.iter().enumerate().filter(|(_, ball)| !is_set(ball.thrown));
    let own = own.map(|(place, ball)| AimedPart { thrown: ball.thrown, ball: Some(place) });
    Some(whole).filter(|_| kind == LauncherKind::Fixed).into_iter().chain(own).collect()
}

/// The lane nearest to the middle of a sweep.
fn middle_lane(sweep: &[Lane], player: Hand) -> Option<Lane> {
    let y_m = |lane: Lane| lane_y_m(lane, player);
    let middle_m = sweep.iter().map(|&lane| y_m(lane)).sum::<f64>() / sweep.len() as f64;
    let off = |lane: Lane| (y_m(lane) - middle_m).abs();
    sweep.iter().copied().min_by(|&a, &b| off(a).total_cmp(&off(b)))
}
