//! The settings of a session's balls, computed for the launcher that throws them.
//!
//! Apart from the session itself, because aiming costs milliseconds for each kind of ball and a session can
//! do without: where no launch is found its knobs stay in words, and the block says why.

use crate::flight::Constants;
use crate::game::{Lane, lane_y_m};
use crate::launcher::{Kind, Launcher, NoBall, SetUp, Settings, Table, Thrown, aim_all};
use crate::rehearsal::{Block, Session};

/// The seed of the simulated scatter; it chooses among ways to throw a ball, never the ball.
const SEED: u64 = 1;

/// Computes what is entered for every block and ball of a machine; a person's session stays as it is.
pub fn enter(session: &mut Session, launcher: &Launcher, constants: &Constants) {
    if session.kind.is_person() {
        return;
    }
    let table = Table {
        constants: *constants,
        receiver: session.player,
        server: session.server,
        seed: SEED,
    };
    let kind = session.kind;
    // A session repeats few kinds of balls many times.
    let mut balls: Vec<(Thrown, SetUp)> = Vec::new();
    for block in &session.blocks {
        let own = own_balls(block, kind).map(|place| block.balls[place].thrown);
        for thrown in base(block, &table, kind).into_iter().chain(own) {
            let ball = (thrown, block.set_up);
            if !balls.contains(&ball) {
                balls.push(ball);
            }
        }
    }
    let aimed = aim_all(launcher, &balls, &table);
    let entered = |thrown: Thrown, set_up: SetUp| -> Option<Result<&Settings, &NoBall>> {
        let place = balls.iter().position(|ball| *ball == (thrown, set_up))?;
        Some(aimed.get(place)?.as_ref().map(|ball| &ball.settings))
    };
    for block in &mut session.blocks {
        let mut refused = None;
        match base(block, &table, kind).and_then(|base| entered(base, block.set_up)) {
            Some(Ok(settings)) => block.settings = Some(settings.clone()),
            Some(Err(no_ball)) => refused = Some(no_ball),
            None => {}
        }
        for place in own_balls(block, kind).collect::<Vec<_>>() {
            let ball = &mut block.balls[place];
            match entered(ball.thrown, block.set_up) {
                Some(Ok(settings)) => ball.settings = Some(settings.clone()),
                Some(Err(no_ball)) => refused = Some(no_ball),
                None => {}
            }
        }
        if let Some(NoBall { why, .. }) = refused {
            block.notes.push(format!("No computed setting for every ball, set it by eye: {why}."));
        }
    }
}

/// Whether all balls of a block are thrown alike.
fn is_one(block: &Block) -> bool {
    block.balls.windows(2).all(|pair| pair[0].thrown == pair[1].thrown)
}

/// The balls of a block that have settings of their own, by their places: where they differ and none is set between
/// them, all but those a launcher with one setting at a time is set for already.
fn own_balls(block: &Block, kind: Kind) -> impl Iterator<Item = usize> {
    let has_own = !is_one(block) && block.sweep.is_empty();
    let first = block.balls.first().map(|ball| ball.thrown);
    let is_set = move |thrown| kind == Kind::Fixed && Some(thrown) == first;
    let balls = block.balls.iter().enumerate().filter(move |_| has_own);
    balls.filter(move |(_, ball)| !is_set(ball.thrown)).map(|(place, _)| place)
}

/// The ball a whole block is set for, when there is one: the only one, the first of a launcher with one
/// setting at a time, or the middle one of a sweep.
fn base(block: &Block, table: &Table, kind: Kind) -> Option<Thrown> {
    let first = block.balls.first()?.thrown;
    if block.sweep.is_empty() {
        return (is_one(block) || kind == Kind::Fixed).then_some(first);
    }
    let y_m = |lane: Lane| lane_y_m(lane, table.receiver);
    let middle_m =
        block.sweep.iter().map(|&lane| y_m(lane)).sum::<f64>() / block.sweep.len() as f64;
    let off = |lane: Lane| (y_m(lane) - middle_m).abs();
    let lane = block.sweep.iter().copied().min_by(|&a, &b| off(a).total_cmp(&off(b)))?;
    Some(Thrown { lane, shade: None, ..first })
}
