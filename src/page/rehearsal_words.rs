//! The short words of a session's sheet: the letter of a receive, a spin, a place as the feeder sees it.
//!
//! Left and right on a sheet are always those of whoever throws the ball, facing the receiver.

use std::collections::BTreeMap;

use crate::base::text;
use crate::game::{Hand, Lane, Pace, ServeId, Side, Spin, Weight};
use crate::launcher::Thrown;
use crate::rehearsal::{Ball, Block, Phase, Rehearsed, Role, Session};

/// The letter of every received ball. A letter stands for one serve and its receive; a variation that is
/// answered alike has the same letter.
pub(super) struct Letters(BTreeMap<u32, char>);

impl Letters {
    pub(super) fn of(session: &Session) -> Self {
        let mut known: Vec<(Option<ServeId>, String)> = Vec::new();
        let mut letters = BTreeMap::new();
        for block in &session.blocks {
            for ball in received(block) {
                let (Some(receive), Some(number)) = (&ball.receive, ball.number) else { continue };
                let text = receive.text();
                let serve = ball.serve.clone().or_else(|| {
                    let mut others = received(block).filter(|other| other.serve.is_some());
                    others
                        .find(|other| other.receive.as_ref().is_some_and(|it| it.text() == text))
                        .and_then(|other| other.serve.clone())
                        .or_else(|| known.iter().find(|(_, it)| *it == text)?.0.clone())
                });
                let answer = (serve, text);
                let place = known.iter().position(|it| *it == answer).unwrap_or_else(|| {
                    known.push(answer);
                    known.len() - 1
                });
                letters.insert(number, ('A'..='Z').chain('a'..='z').nth(place).unwrap_or('?'));
            }
        }
        Self(letters)
    }

    pub(super) fn letter(&self, ball: &Ball) -> char {
        ball.number.and_then(|number| self.0.get(&number)).copied().unwrap_or('?')
    }
}

/// What a serve's side spin does, left and right those of whoever throws it.
pub(super) fn aside(known: &Rehearsed, player: Hand) -> Option<String> {
    let bends = known.bends?;
    let wing = match (bends, player) {
        (Side::Right, Hand::Right) | (Side::Left, Hand::Left) => "forehand",
        _ => "backhand",
    };
    let (to, back) = (bends.other(), bends);
    Some(if known.spin == Some(Spin::Corkscrew) {
        format!("jumps {to} at the bounce (the receiver's {wing}), hardly sideways off the bat")
    } else {
        format!("bends {to} (the receiver's {wing}), leaves a quiet bat to the {back}")
    })
}

pub(super) fn received(block: &Block) -> impl Iterator<Item = &Ball> {
    block.balls.iter().filter(|ball| ball.role != Role::ThrowAway)
}

pub(super) fn is_one_setting(block: &Block) -> bool {
    block.balls.windows(2).all(|pair| pair[0].thrown == pair[1].thrown)
}

/// True for a block around one serve that throws others too.
pub(super) fn is_varied(block: &Block) -> bool {
    block.phase == Phase::Vary && !block.is_called
}

/// A text that moves no cursor, its spaces kept.
pub(super) fn visible(words: &str) -> String {
    words.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}

pub(super) const fn pace_word(thrown: &Thrown) -> &'static str {
    match thrown.pace {
        Pace::Fast => "fast ",
        Pace::Slow => "slow ",
        Pace::Medium => "",
    }
}

/// Depth and side as the feeder sees them; the receiver's right is the feeder's left.
pub(super) fn feeder_zone(thrown: &Thrown, player: Hand) -> String {
    let lane = match player {
        Hand::Right => thrown.lane,
        Hand::Left => thrown.lane.mirrored(),
    };
    let side = match lane {
        Lane::WideForehand => "wide left",
        Lane::Forehand => "left",
        Lane::Middle => "middle",
        Lane::Backhand => "right",
        Lane::WideBackhand => "wide right",
        Lane::Elbow => "elbow",
    };
    format!("{}{} {side}", pace_word(thrown), thrown.depth)
}

/// `side-backspin 35 left` for a machine, `medium side-backspin left` for a person: the side it bends to.
pub(super) fn short_spin(thrown: &Thrown, is_person: bool) -> String {
    let side = thrown.bends_for_thrower().map(|side| format!(" {side}")).unwrap_or_default();
    format!("{}{side}", plain_spin(thrown, is_person))
}

/// `medium side-backspin, bends left`.
pub(super) fn long_spin(thrown: &Thrown, is_person: bool) -> String {
    let side = thrown.bends_for_thrower().map(|side| format!(", bends {side}"));
    format!("{}{}", plain_spin(thrown, is_person), side.unwrap_or_default())
}

fn plain_spin(thrown: &Thrown, is_person: bool) -> String {
    match thrown.spin {
        Spin::Dead => "dead".to_owned(),
        spin if is_person => format!("{} {spin}", Weight::RevS(thrown.rev_s).name()),
        spin => format!("{spin} {:.0}", thrown.rev_s),
    }
}

/// `5 variation balls and 1 ball to the other wing, not logged`: why the balls of serves do not add up to all.
pub(super) fn unlogged<'a>(blocks: impl Iterator<Item = &'a Block>) -> Option<String> {
    let (mut variations, mut other_wing) = (0, 0);
    for ball in blocks.flat_map(received) {
        match (ball.role, &ball.serve) {
            (Role::OtherWing, _) => other_wing += 1,
            (Role::Receive, None) => variations += 1,
            _ => {}
        }
    }
    let mut parts = Vec::new();
    if variations > 0 {
        parts.push(text::count(variations, "variation ball"));
    }
    if other_wing > 0 {
        parts.push(format!("{} to the other wing", text::count(other_wing, "ball")));
    }
    (!parts.is_empty()).then(|| format!("{}, not logged", text::and_list(&parts)))
}
