//! Match-like blocks: a game is played out, the opponent serves as they do at that score, own
//! serves are played as shadows between, and now and then a ball to the other wing keeps the player
//! honest.
//!
//! Who serves when: ITTF Laws 2.13, through `game`. That points fall evenly is a simplification
//! that only moves the score along.

use crate::game::{End, Game, ScoreHabit, Serve};
use crate::launcher::Thrown;
use crate::rehearsal::answer::{answered, side};
use crate::rehearsal::calls::{SharedBall, shared_balls};
use crate::rehearsal::session::{
    BeforeBall, Block, Note, Role, SessionBall, SessionPhase, Variation,
};
use crate::rehearsal::work::{Maker, TableServe, Work, blocks_of};

/// How much more often a serve comes at a score it is known for (common practice).
const HABIT: f64 = 3.0;
/// Chance of a ball to the other wing.
const OTHER_WING: f64 = 0.08;

/// Match-like blocks of `count` balls in all.
pub(super) fn blocks(maker: &mut Maker<'_>, count: u32) -> Vec<Block> {
    let (phase, variation) = (SessionPhase::MatchLike, Variation::Pairs);
    if maker.work.kind().mixes_freely() {
        let all = maker.work.all();
        let balls = game(maker, &all, None, count);
        return vec![Block::draft(phase, variation, maker.work.home, balls)];
    }
    let shared = shared_balls(maker.work);
    let block = |(ball, share): (&SharedBall<'_>, u32)| {
        let balls = game(maker, &ball.serves, Some(ball.thrown), share);
        Block {
            is_called: ball.serves.len() > 1,
            notes: vec![ball.note().unwrap_or(Note::OneServeOnly)],
            ..Block::draft(phase, variation, ball.set_up, balls)
        }
    };
    blocks_of(count, &shared, SharedBall::weight).map(block).collect()
}

/// The opponent's serves of games played out, on one kept ball where there is one.
fn game(
    maker: &mut Maker<'_>,
    among: &[&TableServe],
    kept: Option<Thrown>,
    count: u32,
) -> Vec<SessionBall> {
    let mut balls = Vec::new();
    let mut before = Vec::new();
    let mut first_server = End::Them;
    let mut score = Game::start(first_server);
    let mut own_serves = 0;
    while balls.len() < count as usize {
        // Deuce at most to 12-10: the next game begins.
        if score.winner().is_some() || score.them + score.me > 21 {
            first_server = first_server.other();
            score = Game::start(first_server);
        }
        if score.server() == End::Me {
            own_serves += 1;
        } else {
            let likely = |one: &TableServe| one.share.max(0.01) * habit(&one.serve, &score);
            let one = maker.pick_by(among, &before, likely);
            before.push(one);
            let mut ball = one.received(kept.unwrap_or(one.mixed));
            if kept.is_none() && maker.dice.chance(OTHER_WING) {
                ball = other_wing(maker.work, one).unwrap_or(ball);
            }
            ball.score = Some((score.them, score.me));
            if own_serves > 0 {
                ball.before.push(BeforeBall::OwnServes(std::mem::take(&mut own_serves)));
            }
            balls.push(ball);
        }
        score = score.after(if maker.dice.chance(0.5) { End::Me } else { End::Them });
    }
    balls
}

/// How much more often this serve comes at this score.
fn habit(serve: &Serve, score: &Game) -> f64 {
    let (them, me) = (score.them, score.me);
    let is_now = |habit: &ScoreHabit| match habit {
        ScoreHabit::Early => them + me < 6,
        ScoreHabit::Ahead => them > me,
        ScoreHabit::Behind => them < me,
        ScoreHabit::Close => them >= 8 && me >= 8,
        ScoreHabit::Deuce => them >= 10 && me >= 10,
        ScoreHabit::GamePoint => them >= 10 && them > me,
    };
    if serve.scores.iter().any(is_now) { HABIT } else { 1.0 }
}

/// The same ball to the other wing, with whatever is right for it.
pub(super) fn other_wing(work: &Work<'_>, one: &TableServe) -> Option<SessionBall> {
    let thrown = Thrown { lane: one.mixed.lane.mirrored(), ..one.mixed };
    if side(thrown.lane) == 0 {
        return None;
    }
    let ball = answered(work, thrown, one)?;
    Some(SessionBall { role: Role::OtherWing, serve: None, ..ball })
}
