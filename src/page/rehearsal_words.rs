//! The short words of a session's sheet: the letter of a receive, a spin, a place as the feeder sees it.

use crate::game::{Hand, Lane, Pace, ServeId, Side, Spin, Weight};
use crate::launcher::Thrown;
use crate::rehearsal::{Ball, Block, Phase, Role, Session};

/// The receives of a session in order of appearance, each with its letter.
pub(super) struct Letters(Vec<(Option<ServeId>, String)>);

impl Letters {
    pub(super) fn of(session: &Session) -> Self {
        let mut all: Vec<(Option<ServeId>, String)> = Vec::new();
        for ball in session.blocks.iter().flat_map(received) {
            let Some(receive) = &ball.receive else { continue };
            let answer = (ball.serve.clone(), receive.text());
            if !all.contains(&answer) {
                all.push(answer);
            }
        }
        Self(all)
    }

    pub(super) fn letter(&self, ball: &Ball) -> char {
        let place = ball.receive.as_ref().and_then(|receive| {
            let text = receive.text();
            self.0.iter().position(|(serve, known)| *serve == ball.serve && *known == text)
        });
        place.and_then(|place| ('A'..='Z').chain('a'..='z').nth(place)).unwrap_or('?')
    }
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

/// `side-backspin 35 L` for a machine, `medium side-backspin L` for a person.
pub(super) fn short_spin(thrown: &Thrown, is_person: bool) -> String {
    let side = match thrown.breaks {
        Some(Side::Left) => " L",
        Some(Side::Right) => " R",
        None => "",
    };
    match thrown.spin {
        Spin::Dead => "dead".to_owned(),
        spin if is_person => format!("{} {spin}{side}", Weight::RevS(thrown.rev_s).name()),
        spin => format!("{spin} {:.0}{side}", thrown.rev_s),
    }
}
