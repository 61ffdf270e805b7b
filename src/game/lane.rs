//! Where a ball goes: the lane across the table and the depth along it.
//!
//! Lanes are those of the player who *receives* that ball, so left-handed players need no second
//! vocabulary: a ball into the wide forehand is one reached at full stretch on the bat side.

use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;

use crate::base::words;
use crate::game::Hand;

words! {
    /// The lane of the player who receives the ball.
    pub enum Lane : "lane" {
        /// Out over the side line or at the forehand corner.
        WideForehand = "wide_forehand" "wide forehand",
        /// The forehand side.
        Forehand = "forehand" "forehand",
        /// The middle of the table.
        Middle = "middle" "middle" | "centre" | "center",
        /// The backhand side.
        Backhand = "backhand" "backhand",
        /// Out over the side line or at the backhand corner.
        WideBackhand = "wide_backhand" "wide backhand",
        /// The body, between forehand and backhand; it moves with the player.
        Elbow = "elbow" "elbow" | "body" | "crossover" | "hip" | "pocket",
    }

    /// How far the ball goes.
    pub enum Depth : "depth" {
        /// Would bounce twice or more on the receiver's half.
        Short = "short" "short",
        /// Its second bounce comes within a hand's length of the end line, either side.
        HalfLong = "half_long" "half-long" | "tweener",
        /// Leaves the table after one bounce.
        Long = "long" "long" | "deep",
    }

    /// Where a ball is sent, from where it is met.
    pub enum Direction : "direction" {
        /// Straight, along the side line you stand at.
        DownTheLine = "down_the_line" "down the line" | "line" | "straight" | "parallel",
        /// To the other side.
        Across = "across" "across" | "cross" | "crosscourt" | "diagonal",
    }
}

impl Direction {
    /// The lane of an opponent of that hand, for a ball met in this lane of the player's; none from
    /// the middle, where both sides lie as far.
    pub fn lane(self, from: Lane, player: Hand, opponent: Hand) -> Option<Lane> {
        let is_across = self == Self::Across;
        match from {
            Lane::Middle | Lane::Elbow => None,
            // The side line at one right-hander's forehand leads to the other's backhand.
            _ if (player == opponent) == is_across => Some(from),
            _ => Some(from.mirrored()),
        }
    }

    /// The direction in which a ball met in one lane goes to another of the opponent's; none to or
    /// from the middle.
    pub fn between(from: Lane, to: Lane, player: Hand, opponent: Hand) -> Option<Self> {
        let is_forehand = |lane: Lane| match lane {
            Lane::WideForehand | Lane::Forehand => Some(true),
            Lane::Backhand | Lane::WideBackhand => Some(false),
            Lane::Middle | Lane::Elbow => None,
        };
        let leads = |way: &&Self| way.lane(from, player, opponent).map(is_forehand);
        let to = is_forehand(to)?;
        Self::ALL.iter().find(|way| leads(way) == Some(Some(to))).copied()
    }
}

impl Lane {
    /// The same spot on the table as a receiver with the other hand names it.
    #[must_use]
    pub const fn mirrored(self) -> Self {
        match self {
            Self::WideForehand => Self::WideBackhand,
            Self::Forehand => Self::Backhand,
            Self::Backhand => Self::Forehand,
            Self::WideBackhand => Self::WideForehand,
            Self::Middle | Self::Elbow => self,
        }
    }
}

/// Where a ball is meant to land: lane and depth of the player who receives it.
#[skip_serializing_none]
#[derive(
    Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(deny_unknown_fields)]
pub struct Target {
    /// The lane, when it matters.
    pub lane: Option<Lane>,
    /// The depth, when it matters.
    pub depth: Option<Depth>,
}

impl Target {
    /// A target with both parts.
    pub const fn new(lane: Lane, depth: Depth) -> Self {
        Self { lane: Some(lane), depth: Some(depth) }
    }

    /// Whether somebody who waits for one of the two still has to move for the other: another
    /// depth, or two lanes apart. What is left open is nowhere else; the elbow counts as the
    /// middle.
    pub fn is_far_from(self, other: Self) -> bool {
        let across = |lane: Lane| match lane {
            Lane::WideForehand => 0_u8,
            Lane::Forehand => 1,
            Lane::Middle | Lane::Elbow => 2,
            Lane::Backhand => 3,
            Lane::WideBackhand => 4,
        };
        let lanes = self.lane.zip(other.lane);
        self.depth.zip(other.depth).is_some_and(|(depth, other)| depth != other)
            || lanes.is_some_and(|(lane, other)| across(lane).abs_diff(across(other)) >= 2)
    }

    /// True when neither part is set.
    pub const fn is_open(&self) -> bool {
        self.lane.is_none() && self.depth.is_none()
    }

    /// `short to the middle`, `long`, `to the elbow`; empty when open.
    pub fn shown(self) -> String {
        let lane = self.lane.map(|lane| format!("to the {lane}"));
        let depth = self.depth.map(|depth| depth.shown().to_owned());
        [depth, lane].into_iter().flatten().collect::<Vec<_>>().join(" ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_is_the_same_side_of_the_table_and_across_the_other() {
        use crate::game::lane_y_m;
        // Measured from the centre line along the server's left (`table.rs`), on a real table.
        let hands = [Hand::Left, Hand::Right];
        for (player, opponent) in hands.into_iter().flat_map(|it| hands.map(|other| (it, other))) {
            for from in [Lane::WideForehand, Lane::Forehand, Lane::Backhand, Lane::WideBackhand] {
                let to = |way: Direction| way.lane(from, player, opponent).unwrap();
                // Seen from the other end, left and right change places.
                let here = lane_y_m(from, player);
                let there = |way| -lane_y_m(to(way), opponent);
                assert!((there(Direction::DownTheLine) - here).abs() < 1e-12);
                assert!((there(Direction::Across) + here).abs() < 1e-12);
            }
            assert_eq!(Direction::Across.lane(Lane::Elbow, player, opponent), None);
            for &from in Lane::ALL {
                assert_eq!(Direction::between(from, Lane::Elbow, player, opponent), None);
                for &way in Direction::ALL {
                    let Some(to) = way.lane(from, player, opponent) else { continue };
                    let narrower = if to == Lane::WideForehand { Lane::Forehand } else { to };
                    assert_eq!(Direction::between(from, narrower, player, opponent), Some(way));
                }
            }
        }
    }

    #[test]
    fn a_spot_keeps_its_place_when_hands_differ() {
        assert_eq!(Lane::WideForehand.mirrored(), Lane::WideBackhand);
        assert_eq!(Lane::Elbow.mirrored(), Lane::Elbow);
        for &lane in Lane::ALL {
            assert_eq!(lane.mirrored().mirrored(), lane);
        }
    }
}
