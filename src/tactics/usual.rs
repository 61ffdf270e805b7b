//! The usual receives per kind of serve: what a coach would offer before any point is known.
//!
//! Common practice, no source; every one carries its reason. The player's repertoire comes first,
//! then the order of the trade. What a coach would object to (`deck::advice`) is never offered.

use std::cmp::Reverse;

use crate::deck::{Player, advice};
use crate::game::{Depth, Lane, Pace, Receive, Serve, Spin, Stroke, Wing};

/// Fewest and most receives offered for one serve.
const OFFERED: (usize, usize) = (3, 5);

/// What is assumed to land of ten when the player has not listed the stroke.
pub const UNLISTED_OF_TEN: u8 = 5;

/// Families of receives: rates are shrunk to the mean of their family.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReceiveFamily {
    /// Touch, push, sidespin push, chop, bump: the ball is kept low and given back.
    Quiet,
    /// Flick, banana flick, reverse flick: attacked over the table.
    Flick,
    /// Slow loop, fast loop, drive: attacked behind the table.
    Loop,
    /// Block: the opponent's own speed is used.
    Block,
}

impl ReceiveFamily {
    pub const ALL: [Self; 4] = [Self::Quiet, Self::Flick, Self::Loop, Self::Block];

    pub const fn from_stroke(stroke: Stroke) -> Self {
        match stroke {
            Stroke::Touch | Stroke::Push | Stroke::SidespinPush | Stroke::Chop | Stroke::Bump => {
                Self::Quiet
            }
            Stroke::Flick | Stroke::BananaFlick | Stroke::ReverseFlick => Self::Flick,
            Stroke::SlowLoop | Stroke::FastLoop | Stroke::Drive => Self::Loop,
            Stroke::Block => Self::Block,
        }
    }
}

/// Five receives against one kind of serve, in the order of the trade: the receive, then its
/// reason.
type Table = [(&'static str, &'static str); 5];

/// Short with backspin.
const SHORT_BACK: Table = [
    ("touch to middle short", "they cannot loop first"),
    ("push heavy to wide_backhand long", "deep and heavy, hard to loop fast"),
    ("banana_flick to wide_backhand long", "takes the first attack"),
    ("flick to wide_forehand long", "far from where they wait for a push"),
    ("sidespin_push to elbow long", "swerves into the crossover point"),
];
/// Short and dead.
const SHORT_DEAD: Table = [
    ("flick to elbow long", "no spin to fear, and the elbow jams them"),
    ("banana_flick to wide_backhand long", "its own spin makes up for none in the ball"),
    ("push heavy to wide_backhand long", "your own backspin, low over the net"),
    ("touch to middle short", "soft hands: a dead ball pops up"),
    ("flick to wide_forehand long", "the other corner"),
];
/// Short with sidespin or topspin.
const SHORT_SIDE_TOP: Table = [
    ("flick to wide_backhand long", "the topspin is already there: close the bat"),
    ("banana_flick to elbow long", "its own spin is stronger than theirs"),
    ("reverse_flick to wide_forehand long", "the corner they do not expect"),
    ("block to middle short", "a quiet hand takes the pace off"),
    ("drive to wide_backhand long", "through a ball that sits up"),
];
/// Half-long with backspin.
const HALF_BACK: Table = [
    ("slow_loop to elbow long", "much spin, time to recover"),
    ("push heavy to wide_backhand long", "safe when the edge is in the way"),
    ("banana_flick to wide_backhand long", "in front of the second bounce"),
    ("fast_loop to wide_forehand long", "if it is clearly off the end"),
    ("sidespin_push to elbow long", "swerves into the crossover point"),
];
/// Half-long without backspin.
const HALF_TOP: Table = [
    ("fast_loop to elbow long", "it comes off the end by itself"),
    ("flick to wide_backhand long", "if it stays over the table"),
    ("slow_loop to wide_backhand long", "safer when the depth is unclear"),
    ("block to wide_forehand long", "little swing, their own spin"),
    ("drive to wide_forehand long", "flat, early"),
];
/// Long with backspin.
const LONG_BACK: Table = [
    ("slow_loop to wide_backhand long", "much spin over the block"),
    ("fast_loop to elbow long", "a long ball is yours to attack"),
    ("push heavy to wide_backhand long", "when late: deep, never short"),
    ("slow_loop to wide_forehand long", "the other corner"),
    ("chop to elbow long", "from a distance"),
];
/// Long, not fast, without backspin.
const LONG_TOP: Table = [
    ("fast_loop to wide_forehand long", "a long ball is yours to attack"),
    ("drive to elbow long", "early, into the crossover point"),
    ("block to wide_backhand long", "when late: short swing, deep"),
    ("slow_loop to wide_backhand long", "spin instead of speed"),
    ("block to middle short", "takes the pace off"),
];
/// Fast and long.
const FAST_LONG: Table = [
    ("block to wide_forehand long", "no time to swing: their own pace, wide"),
    ("drive to elbow long", "short swing, early"),
    ("fast_loop to wide_forehand long", "if you see it early"),
    ("slow_loop to wide_backhand long", "one step back, then spin"),
    ("block to wide_backhand long", "back where it came from, deep"),
];
/// Spin or depth not known: what fails least whatever it turns out to be.
const UNKNOWN: Table = [
    ("banana_flick to elbow long", "its own spin hides a wrong guess"),
    ("push to middle long", "safe against backspin; watch what your ball does"),
    ("slow_loop to elbow long", "if it is long: spin, not speed"),
    ("flick to elbow long", "if it sits up"),
    ("block to middle long", "if it comes fast"),
];

fn table(serve: &Serve) -> &'static Table {
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

/// The three to five usual receives against a serve, each with its reason, the player's repertoire
/// first.
pub fn usual(serve: &Serve, player: &Player) -> Vec<Receive> {
    let mut offered: Vec<Receive> = table(serve)
        .iter()
        .filter_map(|(text, why)| Some((Receive::from_text(text).ok()?, why)))
        .map(|(receive, why)| Receive {
            wing: Some(wing(serve, receive.stroke)),
            why: Some((*why).to_owned()),
            ..receive
        })
        .filter(|receive| advice::objection(serve, receive).is_none())
        .collect();
    // A stable sort keeps the order of the trade among equals; what is not listed comes after.
    offered.sort_by_key(|receive| Reverse(player.of_ten(receive)));
    let listed = offered.iter().filter(|receive| player.of_ten(receive).is_some()).count();
    offered.truncate(listed.clamp(OFFERED.0, OFFERED.1).max(4));
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
                    for receive in offered {
                        assert!(advice::objection(&serve, &receive).is_none());
                        assert!(receive.why.is_some());
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
        assert_eq!(offered[0].stroke, Stroke::Push);
        assert_eq!(offered[1].stroke, Stroke::BananaFlick);
        assert_eq!(player.of_ten(&offered[2]), None);
    }

    #[test]
    fn every_line_of_the_tables_is_a_receive_as_files_write_it() {
        let tables = [
            SHORT_BACK, SHORT_DEAD, SHORT_SIDE_TOP, HALF_BACK, HALF_TOP, LONG_BACK, LONG_TOP,
            FAST_LONG, UNKNOWN,
        ];
        for (text, _) in tables.as_flattened() {
            assert_eq!(Receive::from_text(text).unwrap().text(), *text);
        }
    }
}
