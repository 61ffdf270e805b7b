//! The short words of a session's sheet: the letter of a receive, a spin, a place as the feeder
//! sees it.
//!
//! Left and right on a sheet are always those of whoever throws the ball, facing the receiver.

use std::collections::BTreeMap;

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

/// A name that no line is broken in, until [`give_spaces`] gives its spaces back.
pub(super) fn unbroken(name: &str) -> String {
    text::one_line(name).replace(' ', "\u{a0}")
}

/// A text with the plain spaces of its names.
pub(super) fn give_spaces(text: &str) -> String {
    text.replace('\u{a0}', " ")
}

/// Depth and lane with the pace; left and right of the feeder where one feeds.
fn zone(session: &Session, thrown: &Thrown, between: &str) -> String {
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

/// Depth, lane and pace as short as they are said: `fast wide BH`, `short FH`.
pub(super) fn short_zone(session: &Session, thrown: &Thrown) -> String {
    let zone = zone(session, thrown, " ");
    let zone = zone.replace("forehand", "FH").replace("backhand", "BH");
    zone.replace("fast long", "fast")
}

/// What a serve is called on the sheet, as everywhere.
pub(super) fn name(session: &Session, serve: &ServeId) -> String {
    let known = session.serves.iter().find(|known| known.serve == *serve);
    text::one_line(&known.map_or_else(|| serve.to_string(), |known| known.called.clone()))
}

/// A ball as a person feeds or serves it: `short left, medium side-back, bends left`.
pub(crate) fn person_ball(session: &Session, thrown: &Thrown) -> String {
    let between = if session.kind() == LauncherKind::Feeder { " " } else { " to the " };
    let zone = zone(session, thrown, between);
    let side = thrown.bends_for_thrower().map(|side| format!(", bends {side}"));
    format!("{zone}, {}{}", plain_spin(thrown), side.unwrap_or_default())
}

fn plain_spin(thrown: &Thrown) -> String {
    match thrown.spin {
        Spin::Dead => Spin::Dead.shown().to_owned(),
        spin => format!("{} {spin}", Weight::RevS(thrown.rev_s).name()),
    }
}

/// How many balls are not written down, in words.
pub(super) fn unlogged<'a>(blocks: impl Iterator<Item = &'a Block>) -> Option<String> {
    let balls: Vec<&SessionBall> = blocks.flat_map(Block::played).collect();
    let is_new = |ball: &&&SessionBall| ball.role == Role::Receive && ball.serve.is_none();
    let new = balls.iter().filter(is_new).count();
    let other = balls.iter().filter(|ball| ball.role == Role::OtherWing).count();
    let new = (new > 0).then(|| text::count(new, "variation"));
    let other = (other > 0).then(|| format!("{} to the other wing", text::count(other, "ball")));
    let said: Vec<String> = new.into_iter().chain(other).collect();
    (!said.is_empty()).then(|| text::and_list(&said))
}
