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

/// Kinds of serve, each with five receives and their reasons.
const TABLE: &str = include_str!("usual.txt");

/// The heading of the serve's kind in the table.
fn kind(serve: &Serve) -> &'static str {
    let (Some(depth), Some(spin)) = (serve.depth, serve.spin) else {
        let is_fast_long = serve.depth == Some(Depth::Long) && serve.pace == Some(Pace::Fast);
        return if is_fast_long { "long, fast" } else { "not known" };
    };
    match depth {
        Depth::Short if spin.has_backspin() => "short, backspin",
        Depth::Short if spin == Spin::Dead => "short, dead",
        Depth::Short => "short, sidespin or topspin",
        Depth::HalfLong if spin.has_backspin() => "half-long, backspin",
        Depth::HalfLong => "half-long, no backspin",
        Depth::Long if serve.pace == Some(Pace::Fast) => "long, fast",
        Depth::Long if spin.has_backspin() => "long, backspin",
        Depth::Long => "long, no backspin",
    }
}

/// The receives under a heading, each with its reason.
fn under(kind: &str) -> impl Iterator<Item = (Receive, &'static str)> {
    let lines = TABLE.lines().skip_while(move |line| *line != kind).skip(1);
    let lines = lines.take_while(|line| line.starts_with("  "));
    lines.filter_map(|line| {
        let (receive, why) = line.trim_start().split_once(": ")?;
        Some((Receive::from_text(receive).ok()?, why))
    })
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
    let mut offered: Vec<Receive> = under(kind(serve))
        .map(|(receive, why)| Receive {
            wing: Some(wing(serve, receive.stroke)),
            why: Some(why.to_owned()),
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
    fn every_line_of_the_table_is_a_receive_as_files_write_it() {
        let headings =
            TABLE.lines().filter(|line| !line.is_empty() && !line.starts_with([' ', '#']));
        for kind in headings.inspect(|kind| assert_eq!(under(kind).count(), 5, "{kind}")) {
            for (receive, why) in under(kind) {
                assert!(TABLE.contains(&format!("  {}: {why}", receive.text())), "{kind}");
            }
        }
    }
}
