//! Which receive is right for a ball that is not quite a serve of the deck.
//!
//! Variations throw neighbours of a serve: another depth, another lane, no spin. Only a ball thrown
//! as the deck's own serve is thrown bears its name; anything else is a variation. The right
//! receive is that of the deck's own serve there. Else, on a ball to the same place, the receive of
//! the serve it was made from, elsewhere the safe receive first, then what a coach proposes; each
//! only where the wing gets to the ball and a coach would not object. Long backspin is attacked.

use crate::deck::Deck;
use crate::game::{Depth, Lane, Receive, Serve, Stroke};
use crate::launcher::{LauncherKind, Thrown};
use crate::receive::Meeting;
use crate::rehearsal::session::SessionBall;
use crate::rehearsal::work::{TableServe, Work, as_serve};

/// True when the wing gets to this ball and a coach has nothing against it.
pub(super) fn suits(deck: &Deck, thrown: &Thrown, like: &Serve, receive: &Receive) -> bool {
    let ball = as_serve(thrown, like);
    let meeting = Meeting::new(&ball, deck);
    meeting.reaches(receive) && meeting.passes(receive)
}

/// Proposals of a coach that are looked at.
const PROPOSALS: usize = 4;

/// Two amounts of spin within this share of each other are one ball.
const SAME_SPIN: f64 = 0.1;

/// True when this is the ball by which the launcher stands for this serve, from wherever it is
/// thrown.
fn is_thrown_as(known: &TableServe, thrown: &Thrown) -> bool {
    let own = known.mixed;
    Thrown { throw: own.throw, rev_s: own.rev_s, shade: own.shade, ..*thrown } == own
        && (own.rev_s - thrown.rev_s).abs() <= SAME_SPIN * own.rev_s
}

/// Forehand side, middle or backhand side.
pub(super) const fn side(lane: Lane) -> i8 {
    match lane {
        Lane::WideForehand | Lane::Forehand => 1,
        Lane::Middle | Lane::Elbow => 0,
        Lane::Backhand | Lane::WideBackhand => -1,
    }
}

/// Three neighbouring lanes: more than half of the table, on the side of this one.
pub(super) const fn three_lanes(lane: Lane) -> [Lane; 3] {
    if side(lane) >= 0 {
        [Lane::WideForehand, Lane::Forehand, Lane::Middle]
    } else {
        [Lane::Middle, Lane::Backhand, Lane::WideBackhand]
    }
}

/// This ball as the serve that it is, when the deck has it, with the receive that is right for it;
/// none where nothing suits.
pub(super) fn answered(
    work: &Work<'_>,
    thrown: Thrown,
    made_from: &TableServe,
) -> Option<SessionBall> {
    let mut known = std::iter::once(made_from).chain(&work.serves);
    // A person who serves keeps the motion of the serve it is made from: that is another serve.
    let is_motion = |known: &TableServe| {
        work.kind() != LauncherKind::Partner || known.serve.motion == made_from.serve.motion
    };
    if let Some(own) = known.clone().find(|one| is_motion(one) && is_thrown_as(one, &thrown)) {
        return Some(own.received(thrown));
    }
    let is_same = |known: &&TableServe| {
        let ball = &known.mixed;
        ball.depth == thrown.depth
            && side(ball.lane) == side(thrown.lane)
            && ball.spin.has_backspin() == thrown.spin.has_backspin()
            && ball.spin.has_topspin() == thrown.spin.has_topspin()
            && ball.pace == thrown.pace
    };
    let known = known.find(is_same).map(|known| &known.receive);
    let stays = thrown.depth == made_from.mixed.depth
        && side(thrown.lane) == side(made_from.mixed.lane)
        && thrown.pace == made_from.mixed.pace;
    let (own, safe) = (Some(&made_from.receive), work.safe(&thrown));
    let (first, second) = if stays { (own, safe) } else { (safe, own) };
    varied(work, thrown, made_from, [known, first, second])
}

/// This ball as a variation, with the first of these receives that is right for it, else with what
/// a coach proposes.
pub(super) fn varied<'r>(
    work: &Work<'_>,
    thrown: Thrown,
    made_from: &TableServe,
    receives: impl IntoIterator<Item = Option<&'r Receive>>,
) -> Option<SessionBall> {
    let ball = as_serve(&thrown, &made_from.serve);
    let meeting = Meeting::new(&ball, work.request.deck);
    let is_attacked = thrown.depth == Depth::Long && thrown.spin.has_backspin();
    let is_right = |receive: &Receive| {
        let is_pushed = matches!(receive.stroke, Stroke::Push | Stroke::SidespinPush);
        !(is_attacked && is_pushed) && meeting.reaches(receive) && meeting.passes(receive)
    };
    let right = receives.into_iter().flatten().find(|receive| is_right(receive)).cloned();
    let proposed = || {
        let proposals = meeting.proposals(PROPOSALS).into_iter().map(|one| one.receive);
        proposals.into_iter().find(is_right)
    };
    let receive = right.or_else(proposed)?.bare();
    Some(SessionBall { serve: None, receive: Some(receive), ..made_from.received(thrown) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::{Pace, Spin};
    use crate::launcher::Throw;

    fn ball(lane: Lane, depth: Depth) -> Thrown {
        Thrown {
            throw: Throw::Serve,
            lane,
            depth,
            spin: Spin::Backspin,
            rev_s: 35.0,
            breaks: None,
            pace: Pace::Medium,
            shade: None,
        }
    }

    fn deck() -> Deck {
        Deck::new("Invented", "abc234".to_owned())
    }

    #[test]
    fn a_backhand_push_is_not_called_on_a_ball_in_the_wide_forehand() {
        let like = Serve::unknown("a".parse().unwrap());
        let fits = |lane, depth, receive: &str| {
            suits(&deck(), &ball(lane, depth), &like, &receive.parse().unwrap())
        };
        assert!(!fits(Lane::WideForehand, Depth::Short, "backhand push to middle long"));
        assert!(!fits(Lane::Backhand, Depth::Short, "forehand push to middle short"));
        assert!(!fits(Lane::WideForehand, Depth::Short, "backhand banana_flick"));
        assert!(fits(Lane::Forehand, Depth::Short, "backhand banana_flick"));
        assert!(fits(Lane::Backhand, Depth::Long, "forehand fast_loop"));
        for wing in ["forehand", "backhand"] {
            assert!(fits(Lane::Middle, Depth::Short, &format!("{wing} push to middle short")));
        }
    }

    #[test]
    fn a_backspin_ball_is_not_driven() {
        let like = Serve::unknown("a".parse().unwrap());
        let drive = "forehand drive to middle long".parse().unwrap();
        let loaded = ball(Lane::Forehand, Depth::Long);
        assert!(!suits(&deck(), &loaded, &like, &drive));
        assert!(suits(&deck(), &Thrown { spin: Spin::Topspin, ..loaded }, &like, &drive));
    }

    #[test]
    fn a_long_ball_is_not_pushed_back_short() {
        let like = Serve::unknown("a".parse().unwrap());
        let push = "forehand push to middle short".parse().unwrap();
        assert!(!suits(&deck(), &ball(Lane::Forehand, Depth::Long), &like, &push));
        assert!(suits(&deck(), &ball(Lane::Forehand, Depth::Short), &like, &push));
    }
}
