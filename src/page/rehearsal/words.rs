//! The short words of a session's sheet: the letter of a receive, a spin, a place as the feeder
//! sees it.
//!
//! Left and right on a sheet are always those of whoever throws the ball, facing the receiver.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::base::text;
use crate::game::{Hand, Lane, Pace, ServeId, Spin, Weight};
use crate::launcher::{LauncherKind, Thrown};
use crate::page::numbers::mark;
use crate::rehearsal::{Block, Role, Session, SessionBall};

/// The letter of every received ball. A letter stands for one serve and its receive; a variation
/// that is answered alike has the same letter.
pub(super) struct Letters(BTreeMap<u32, char>);

impl Letters {
    pub(super) fn for_session(session: &Session) -> Self {
        let mut known: Vec<(Option<ServeId>, String)> = Vec::new();
        let mut letters = BTreeMap::new();
        for block in &session.blocks {
            for ball in block.played() {
                let (Some(receive), Some(number)) = (&ball.receive, ball.number) else { continue };
                let text = receive.text();
                let is_it = |other: &SessionBall| {
                    other.receive.as_ref().is_some_and(|receive| receive.text() == text)
                };
                let serve = ball.serve.clone().or_else(|| {
                    let mut others = block.played().filter(|other| is_it(other));
                    let own = others.find_map(|other| other.serve.clone());
                    own.or_else(|| known.iter().find(|(_, it)| *it == text)?.0.clone())
                });
                let answer = (serve, text);
                let place = known.iter().position(|it| *it == answer).unwrap_or_else(|| {
                    known.push(answer);
                    known.len() - 1
                });
                letters.insert(number, mark(place));
            }
        }
        Self(letters)
    }

    pub(super) fn letter(&self, ball: &SessionBall) -> char {
        ball.number.and_then(|number| self.0.get(&number)).copied().unwrap_or('?')
    }
}

/// Depth and lane with the pace; left and right of the feeder where one feeds.
pub(super) fn zone(session: &Session, thrown: &Thrown, between: &str) -> String {
    let pace = match thrown.pace {
        Pace::Fast => "fast ",
        Pace::Slow => "slow ",
        Pace::Medium => "",
    };
    let lane = match session.kind() {
        LauncherKind::Feeder => feeder_side(thrown.lane, session.player),
        _ => thrown.lane.shown(),
    };
    format!("{pace}{}{between}{lane}", thrown.depth)
}

/// The side as the feeder sees it; the receiver's right is the feeder's left.
fn feeder_side(lane: Lane, player: Hand) -> &'static str {
    match if player == Hand::Left { lane.mirrored() } else { lane } {
        Lane::WideForehand => "wide left",
        Lane::Forehand => "left",
        Lane::Middle => "middle",
        Lane::Backhand => "right",
        Lane::WideBackhand => "wide right",
        Lane::Elbow => "elbow",
    }
}

/// Columns for the name of a serve in a list.
pub(super) const NAME: usize = 17;

/// What a serve is called in a list: by its name where there is room, else by its ball where no
/// other has such a one: `half-long wide FH`.
pub(super) fn name_in_list(session: &Session, serve: &ServeId) -> String {
    let balls = || session.blocks.iter().flat_map(Block::played);
    let short = |ball: &SessionBall| {
        let zone = zone(session, &ball.thrown, " ");
        zone.replace("forehand", "FH").replace("backhand", "BH")
    };
    let is_own = |ball: &&SessionBall| ball.serve.as_ref() == Some(serve);
    let own = balls().find(is_own).map(short).filter(|_| text::width(serve.as_str()) > NAME);
    let others = || balls().filter(|ball| ball.serve.is_some() && !is_own(ball)).map(short);
    own.filter(|own| others().all(|other| other != *own)).unwrap_or_else(|| serve.to_string())
}

/// A ball as a person feeds or serves it: `short left, medium side-back, bends left`.
pub(crate) fn person_ball(session: &Session, thrown: &Thrown) -> String {
    let between = if session.kind() == LauncherKind::Feeder { " " } else { " to the " };
    let zone = zone(session, thrown, between);
    let side = thrown.bends_for_thrower().map(|side| format!(", bends {side}"));
    format!("{zone}, {}{}", plain_spin(thrown, true), side.unwrap_or_default())
}

/// `side-back 35 left` for a machine, `medium side-back left` for a person: the side it
/// bends to.
pub(super) fn short_spin(thrown: &Thrown, is_person: bool) -> String {
    let side = thrown.bends_for_thrower().map(|side| format!(" {side}")).unwrap_or_default();
    format!("{}{side}", plain_spin(thrown, is_person))
}

fn plain_spin(thrown: &Thrown, is_person: bool) -> String {
    match thrown.spin {
        Spin::Dead => Spin::Dead.shown().to_owned(),
        spin if is_person => format!("{} {spin}", Weight::RevS(thrown.rev_s).name()),
        spin => format!("{spin} {:.0}", thrown.rev_s),
    }
}

/// How many balls are not logged, and why the balls of serves do not add up to all.
pub(super) fn unlogged<'a>(blocks: impl Iterator<Item = &'a Block>) -> Value {
    let balls: Vec<&SessionBall> = blocks.flat_map(Block::played).collect();
    let is_new = |ball: &&&SessionBall| ball.role == Role::Receive && ball.serve.is_none();
    let variations = balls.iter().filter(is_new).count();
    let other_wing = balls.iter().filter(|ball| ball.role == Role::OtherWing).count();
    json!({ "any": variations + other_wing, "variations": variations, "other_wing": other_wing })
}
