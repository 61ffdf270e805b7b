//! Where a ball goes: the lane across the table and the depth along it.
//!
//! Lanes are those of the player who *receives* that ball, so left-handed players need no second
//! vocabulary: a ball into the wide forehand is one reached at full stretch on the bat side.

use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;

use crate::base::words;

words! {
    /// The lane of the player who receives the ball.
    pub enum Lane : "lane" {
        /// Outside the forehand corner of the body's reach.
        WideForehand = "wide_forehand" "wide forehand",
        /// The forehand side.
        Forehand = "forehand" "forehand",
        /// The middle of the table.
        Middle = "middle" "middle",
        /// The backhand side.
        Backhand = "backhand" "backhand",
        /// Outside, on the backhand side.
        WideBackhand = "wide_backhand" "wide backhand",
        /// The crossover point between the wings; it moves with the player.
        Elbow = "elbow" "elbow",
    }

    /// How far the ball goes.
    pub enum Depth : "depth" {
        /// Would bounce twice or more on the receiver's half.
        Short = "short" "short",
        /// Second bounce within a hand's length of the end line, either side.
        HalfLong = "half_long" "half-long",
        /// Leaves the table after one bounce.
        Long = "long" "long",
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
    fn a_spot_keeps_its_place_when_hands_differ() {
        assert_eq!(Lane::WideForehand.mirrored(), Lane::WideBackhand);
        assert_eq!(Lane::Elbow.mirrored(), Lane::Elbow);
        for &lane in Lane::ALL {
            assert_eq!(lane.mirrored().mirrored(), lane);
        }
    }
}
