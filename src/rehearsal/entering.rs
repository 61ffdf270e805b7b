//! The settings of a session's balls, computed for the launcher that throws them.
//!
//! Apart from the session itself, because aiming costs milliseconds for each kind of ball and a session can
//! do without: where no launch is found its knobs stay in words, and the block says why.

use crate::flight::Constants;
use crate::game::{Lane, lane_y_m};
use crate::launcher::{
    AimedBall, Kind, Launcher, NoBall, SetUp, Settings, Table, Thrown, aim_thrown,
};
use crate::rehearsal::{Block, Session};

/// The seed of the simulated scatter; it chooses among ways to throw a ball, never the ball.
const SEED: u64 = 1;

/// Settings known so far: a session repeats few kinds of balls many times.
struct Known<'a> {
    launcher: &'a Launcher,
    table: Table,
    balls: Vec<((Thrown, SetUp), Result<AimedBall, NoBall>)>,
}

impl Known<'_> {
    fn of(&mut self, thrown: &Thrown, set_up: &SetUp) -> Result<Settings, NoBall> {
        let asked = (*thrown, *set_up);
        let known = self.balls.iter().find(|(known, _)| *known == asked).map(|(_, ball)| ball);
        let ball = if let Some(ball) = known {
            ball.clone()
        } else {
            let ball = aim_thrown(self.launcher, thrown, set_up, &self.table);
            self.balls.push((asked, ball.clone()));
            ball
        };
        ball.map(|ball| ball.settings)
    }
}

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
    let mut known = Known { launcher, table, balls: Vec::new() };
    for block in &mut session.blocks {
        let is_one = block.balls.windows(2).all(|pair| pair[0].thrown == pair[1].thrown);
        let mut refused = None;
        if let Some(base) = base(block, &table, session.kind, is_one) {
            match known.of(&base, &block.set_up) {
                Ok(settings) => block.settings = Some(settings),
                Err(no_ball) => refused = Some(no_ball),
            }
        }
        if !is_one && block.sweep.is_empty() {
            let first = block.balls.first().map(|ball| ball.thrown);
            for ball in &mut block.balls {
                if session.kind == Kind::Fixed && Some(ball.thrown) == first {
                    continue;
                }
                match known.of(&ball.thrown, &block.set_up) {
                    Ok(settings) => ball.settings = Some(settings),
                    Err(no_ball) => refused = Some(no_ball),
                }
            }
        }
        if let Some(NoBall { why, .. }) = refused {
            block.notes.push(format!("No computed setting for every ball, set it by eye: {why}."));
        }
    }
}

/// The ball a whole block is set for, when there is one: the only one, the first of a launcher with one
/// setting at a time, or the middle one of a sweep.
fn base(block: &Block, table: &Table, kind: Kind, is_one: bool) -> Option<Thrown> {
    let first = block.balls.first()?.thrown;
    if block.sweep.is_empty() {
        return (is_one || kind == Kind::Fixed).then_some(first);
    }
    let y_m = |lane: Lane| lane_y_m(lane, table.receiver);
    let middle_m =
        block.sweep.iter().map(|&lane| y_m(lane)).sum::<f64>() / block.sweep.len() as f64;
    let off = |lane: Lane| (y_m(lane) - middle_m).abs();
    let lane = block.sweep.iter().copied().min_by(|&a, &b| off(a).total_cmp(&off(b)))?;
    Some(Thrown { lane, shade: None, ..first })
}
