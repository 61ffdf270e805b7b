//! Which receive is right for a ball that is not quite a serve of the deck.
//!
//! Variations throw neighbours of a serve: another depth, another lane, no spin. The right receive is that
//! of the deck's own serve there. Else, on a ball to the same place, the receive of the serve it was made
//! from, elsewhere the safe receive first; each only where a coach would not object.

use crate::deck::advice;
use crate::game::{Lane, Receive, Serve, ServeId, Spin};
use crate::launcher::{Kind, Thrown};
use crate::rehearsal::work::{Pattern, Work};

/// A ball as a serve, for a coach to judge.
pub(super) fn as_serve(thrown: &Thrown, like: &Serve) -> Serve {
    Serve {
        lane: Some(thrown.lane),
        depth: Some(thrown.depth),
        spin: Some(thrown.spin),
        pace: Some(thrown.pace),
        ..Serve::unknown(like.id.clone())
    }
}

/// True when a coach has nothing against this receive on this ball.
pub(super) fn suits(thrown: &Thrown, like: &Serve, receive: &Receive) -> bool {
    advice::objection(&as_serve(thrown, like), receive).is_none()
}

/// Forehand side, middle or backhand side.
pub(super) const fn side(lane: Lane) -> i8 {
    match lane {
        Lane::WideForehand | Lane::Forehand => 1,
        Lane::Middle | Lane::Elbow => 0,
        Lane::Backhand | Lane::WideBackhand => -1,
    }
}

/// Up, down or neither.
const fn turn(spin: Spin) -> i8 {
    if spin.has_backspin() {
        -1
    } else if spin.has_topspin() {
        1
    } else {
        0
    }
}

/// The serve that a ball is, when the deck has it, and the receive that is right for it.
pub(super) fn answer(
    work: &Work<'_>,
    thrown: &Thrown,
    made_from: &Pattern,
) -> Option<(Option<ServeId>, Receive)> {
    let is_same = |pattern: &&Pattern| {
        let ball = &pattern.mixed;
        ball.depth == thrown.depth
            && side(ball.lane) == side(thrown.lane)
            && turn(ball.spin) == turn(thrown.spin)
            && ball.pace == thrown.pace
    };
    if is_same(&made_from) {
        return Some((Some(made_from.serve.id.clone()), made_from.receive.clone()));
    }
    if let Some(pattern) = work.patterns.iter().find(is_same) {
        // A person who serves keeps the motion of the serve it is made from: that is another serve.
        let is_that_serve =
            work.kind() != Kind::Partner || pattern.serve.motion == made_from.serve.motion;
        return Some((is_that_serve.then(|| pattern.serve.id.clone()), pattern.receive.clone()));
    }
    let stays = thrown.depth == made_from.mixed.depth
        && side(thrown.lane) == side(made_from.mixed.lane)
        && thrown.pace == made_from.mixed.pace;
    let (own, safe) = (Some(&made_from.receive), work.safe.as_ref());
    let (first, second) = if stays { (own, safe) } else { (safe, own) };
    first
        .into_iter()
        .chain(second)
        .find(|receive| suits(thrown, &made_from.serve, receive))
        .map(|receive| (None, receive.clone()))
}
