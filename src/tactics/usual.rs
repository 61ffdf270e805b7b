//! The usual receives per kind of serve: what a coach would offer before any point is known.
//!
//! Common practice, no source; every one carries its reason. The player's repertoire comes first, then the
//! order of the trade. What a coach would object to (`deck::advice`) is never offered.

use serde::Serialize;

use crate::base::order;
use crate::deck::{Player, advice};
use crate::game::{Depth, Lane, Pace, Receive, Serve, Spin, Stroke, Target, WeightName, Wing};

/// Fewest and most receives offered for one serve.
const OFFERED: (usize, usize) = (3, 5);

/// What is assumed to land of ten when the player has not listed the stroke.
pub const UNLISTED_OF_TEN: u8 = 5;

/// One usual receive against a serve.
#[derive(Debug, Clone, PartialEq)]
pub struct Usual {
    /// The receive, its reason in `why`.
    pub receive: Receive,
    /// Of ten, how many land, when the player has listed it.
    pub of_ten: Option<u8>,
}

/// Families of receives: rates are shrunk to the mean of their family.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// Touch, push, sidespin push, chop, bump: the ball is kept low and given back.
    Quiet,
    /// Flick, banana flick, reverse flick: attacked over the table.
    Flick,
    /// Slow loop, fast loop, drive: attacked behind the table.
    Loop,
    /// Block: the opponent's own speed is used.
    Block,
}

impl Family {
    /// Every family.
    pub const ALL: [Self; 4] = [Self::Quiet, Self::Flick, Self::Loop, Self::Block];

    /// The family of a stroke.
    pub const fn of(stroke: Stroke) -> Self {
        match stroke {
            Stroke::Touch | Stroke::Push | Stroke::SidespinPush | Stroke::Chop | Stroke::Bump => {
                Self::Quiet
            }
            Stroke::Flick | Stroke::BananaFlick | Stroke::ReverseFlick => Self::Flick,
            Stroke::SlowLoop | Stroke::FastLoop | Stroke::Drive => Self::Loop,
            Stroke::Block => Self::Block,
        }
    }

    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Quiet => "pushes and touches",
            Self::Flick => "flicks",
            Self::Loop => "loops and drives",
            Self::Block => "blocks",
        }
    }
}

/// A line of the table below: stroke, weight, target, reason.
type Line = (Stroke, Option<WeightName>, Lane, Depth, &'static str);

/// Short with backspin.
const SHORT_BACK: [Line; 5] = [
    (Stroke::Touch, None, Lane::Middle, Depth::Short, "they cannot loop first"),
    (
        Stroke::Push,
        Some(WeightName::Heavy),
        Lane::WideBackhand,
        Depth::Long,
        "deep and heavy, hard to loop fast",
    ),
    (Stroke::BananaFlick, None, Lane::WideBackhand, Depth::Long, "takes the first attack"),
    (Stroke::Flick, None, Lane::WideForehand, Depth::Long, "far from where they wait for a push"),
    (Stroke::SidespinPush, None, Lane::Elbow, Depth::Long, "swerves into the crossover point"),
];
/// Short and dead.
const SHORT_DEAD: [Line; 5] = [
    (Stroke::Flick, None, Lane::Elbow, Depth::Long, "no spin to fear, and the elbow jams them"),
    (
        Stroke::BananaFlick,
        None,
        Lane::WideBackhand,
        Depth::Long,
        "its own spin makes up for none in the ball",
    ),
    (
        Stroke::Push,
        Some(WeightName::Heavy),
        Lane::WideBackhand,
        Depth::Long,
        "your own backspin, low over the net",
    ),
    (Stroke::Touch, None, Lane::Middle, Depth::Short, "soft hands: a dead ball pops up"),
    (Stroke::Flick, None, Lane::WideForehand, Depth::Long, "the other corner"),
];
/// Short with sidespin or topspin.
const SHORT_SIDE_TOP: [Line; 5] = [
    (
        Stroke::Flick,
        None,
        Lane::WideBackhand,
        Depth::Long,
        "the topspin is already there: close the bat",
    ),
    (Stroke::BananaFlick, None, Lane::Elbow, Depth::Long, "its own spin is stronger than theirs"),
    (Stroke::ReverseFlick, None, Lane::WideForehand, Depth::Long, "the corner they do not expect"),
    (Stroke::Block, None, Lane::Middle, Depth::Short, "a quiet hand takes the pace off"),
    (Stroke::Drive, None, Lane::WideBackhand, Depth::Long, "through a ball that sits up"),
];
/// Half-long with backspin.
const HALF_BACK: [Line; 5] = [
    (Stroke::SlowLoop, None, Lane::Elbow, Depth::Long, "much spin, time to recover"),
    (
        Stroke::Push,
        Some(WeightName::Heavy),
        Lane::WideBackhand,
        Depth::Long,
        "safe when the edge is in the way",
    ),
    (Stroke::BananaFlick, None, Lane::WideBackhand, Depth::Long, "in front of the second bounce"),
    (Stroke::FastLoop, None, Lane::WideForehand, Depth::Long, "if it is clearly off the end"),
    (Stroke::SidespinPush, None, Lane::Elbow, Depth::Long, "swerves into the crossover point"),
];
/// Half-long without backspin.
const HALF_TOP: [Line; 5] = [
    (Stroke::FastLoop, None, Lane::Elbow, Depth::Long, "it comes off the end by itself"),
    (Stroke::Flick, None, Lane::WideBackhand, Depth::Long, "if it stays over the table"),
    (Stroke::SlowLoop, None, Lane::WideBackhand, Depth::Long, "safer when the depth is unclear"),
    (Stroke::Block, None, Lane::WideForehand, Depth::Long, "little swing, their own spin"),
    (Stroke::Drive, None, Lane::WideForehand, Depth::Long, "flat, early"),
];
/// Long with backspin.
const LONG_BACK: [Line; 5] = [
    (Stroke::SlowLoop, None, Lane::WideBackhand, Depth::Long, "much spin over the block"),
    (Stroke::FastLoop, None, Lane::Elbow, Depth::Long, "a long ball is yours to attack"),
    (
        Stroke::Push,
        Some(WeightName::Heavy),
        Lane::WideBackhand,
        Depth::Long,
        "when late: deep, never short",
    ),
    (Stroke::SlowLoop, None, Lane::WideForehand, Depth::Long, "the other corner"),
    (Stroke::Chop, None, Lane::Elbow, Depth::Long, "from a distance"),
];
/// Long, not fast, without backspin.
const LONG_TOP: [Line; 5] = [
    (Stroke::FastLoop, None, Lane::WideForehand, Depth::Long, "a long ball is yours to attack"),
    (Stroke::Drive, None, Lane::Elbow, Depth::Long, "early, into the crossover point"),
    (Stroke::Block, None, Lane::WideBackhand, Depth::Long, "when late: short swing, deep"),
    (Stroke::SlowLoop, None, Lane::WideBackhand, Depth::Long, "spin instead of speed"),
    (Stroke::Block, None, Lane::Middle, Depth::Short, "takes the pace off"),
];
/// Fast and long.
const FAST_LONG: [Line; 5] = [
    (
        Stroke::Block,
        None,
        Lane::WideForehand,
        Depth::Long,
        "no time to swing: their own pace, wide",
    ),
    (Stroke::Drive, None, Lane::Elbow, Depth::Long, "short swing, early"),
    (Stroke::FastLoop, None, Lane::WideForehand, Depth::Long, "if you see it early"),
    (Stroke::SlowLoop, None, Lane::WideBackhand, Depth::Long, "one step back, then spin"),
    (Stroke::Block, None, Lane::WideBackhand, Depth::Long, "back where it came from, deep"),
];
/// Spin or depth not known: what fails least whatever it turns out to be.
const UNKNOWN: [Line; 5] = [
    (Stroke::BananaFlick, None, Lane::Elbow, Depth::Long, "its own spin hides a wrong guess"),
    (
        Stroke::Push,
        None,
        Lane::Middle,
        Depth::Long,
        "safe against backspin; watch what your ball does",
    ),
    (Stroke::SlowLoop, None, Lane::Elbow, Depth::Long, "if it is long: spin, not speed"),
    (Stroke::Flick, None, Lane::Elbow, Depth::Long, "if it sits up"),
    (Stroke::Block, None, Lane::Middle, Depth::Long, "if it comes fast"),
];

fn table(serve: &Serve) -> &'static [Line; 5] {
    let (Some(depth), Some(spin)) = (serve.depth, serve.spin) else {
        let is_fast_long = serve.depth == Some(Depth::Long) && serve.pace == Some(Pace::Fast);
        return if is_fast_long { &FAST_LONG } else { &UNKNOWN };
    };
    match depth {
        Depth::Short if spin.has_backspin() => &SHORT_BACK,
        Depth::Short if spin == Spin::Dead => &SHORT_DEAD,
        Depth::Short => &SHORT_SIDE_TOP,
        Depth::HalfLong if spin.has_backspin() => &HALF_BACK,
        Depth::HalfLong => &HALF_TOP,
        Depth::Long if serve.pace == Some(Pace::Fast) => &FAST_LONG,
        Depth::Long if spin.has_backspin() => &LONG_BACK,
        Depth::Long => &LONG_TOP,
    }
}

/// The wing for a stroke at this serve: by the lane; a banana flick is always a backhand.
fn wing(serve: &Serve, stroke: Stroke) -> Wing {
    let is_loop = matches!(stroke, Stroke::SlowLoop | Stroke::FastLoop);
    match serve.lane {
        _ if matches!(stroke, Stroke::BananaFlick | Stroke::ReverseFlick) => Wing::Backhand,
        Some(Lane::Forehand | Lane::WideForehand) => Wing::Forehand,
        Some(Lane::Middle | Lane::Elbow) if is_loop => Wing::Forehand,
        _ => Wing::Backhand,
    }
}

/// The three to five usual receives against a serve, the player's repertoire first.
pub fn usual(serve: &Serve, player: &Player) -> Vec<Usual> {
    let mut offered: Vec<Usual> = table(serve)
        .iter()
        .map(|(stroke, weight, lane, depth, why)| {
            let receive = Receive {
                wing: Some(wing(serve, *stroke)),
                weight: *weight,
                to: Target::new(*lane, *depth),
                why: Some((*why).to_owned()),
                ..Receive::with_stroke(*stroke)
            };
            Usual { of_ten: player.of_ten(&receive), receive }
        })
        .filter(|usual| advice::objection(serve, &usual.receive).is_none())
        .collect();
    // A stable sort keeps the order of the trade among equals; what is not listed comes after.
    order::by_key(&mut offered, |usual| {
        std::cmp::Reverse(usual.of_ten.map_or(0, |of_ten| of_ten + 1))
    });
    let owned = offered.iter().filter(|usual| usual.of_ten.is_some()).count();
    offered.truncate(owned.clamp(OFFERED.0, OFFERED.1).max(4));
    offered
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deck::Owned;
    use crate::game::Hand;

    fn serve(depth: Depth, spin: Spin, pace: Option<Pace>) -> Serve {
        let mut serve = Serve::unknown("a".parse().unwrap());
        (serve.depth, serve.spin, serve.pace) = (Some(depth), Some(spin), pace);
        serve
    }

    #[test]
    fn every_kind_of_serve_has_at_least_three_receives_no_coach_objects_to() {
        let player = Player::new("Invented", Hand::Right);
        for &depth in Depth::ALL {
            for &spin in Spin::ALL {
                for pace in [None, Some(Pace::Fast)] {
                    let serve = serve(depth, spin, pace);
                    let offered = usual(&serve, &player);
                    assert!((3..=5).contains(&offered.len()), "{depth} {spin} {pace:?}");
                    for usual in offered {
                        assert!(advice::objection(&serve, &usual.receive).is_none());
                        assert!(usual.receive.why.is_some());
                    }
                }
            }
        }
        assert!(usual(&Serve::unknown("b".parse().unwrap()), &player).len() >= 3);
    }

    #[test]
    fn what_the_player_owns_comes_first() {
        let mut player = Player::new("Invented", Hand::Right);
        for (wing, stroke, of_ten) in
            [(Wing::Backhand, Stroke::BananaFlick, 6), (Wing::Backhand, Stroke::Push, 9)]
        {
            player.repertoire.push(Owned { wing, stroke, of_ten });
        }
        let offered = usual(&serve(Depth::Short, Spin::Backspin, None), &player);
        assert_eq!(offered[0].receive.stroke, Stroke::Push);
        assert_eq!(offered[1].receive.stroke, Stroke::BananaFlick);
        assert_eq!(offered[2].of_ten, None);
    }
}
