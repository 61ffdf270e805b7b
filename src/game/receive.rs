//! A receive: what the player does with one serve, where the ball goes, and why.

use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;

use crate::base::{text, words};
use crate::game::{Target, WeightName};

words! {
    /// The side of the bat, and of the body.
    pub enum Wing : "wing" {
        /// Forehand.
        Forehand = "forehand" "forehand",
        /// Backhand.
        Backhand = "backhand" "backhand",
    }

    /// The stroke.
    pub enum Stroke : "stroke" {
        /// A short, quiet ball dropped over the net.
        Touch = "touch" "touch",
        /// A push.
        Push = "push" "push",
        /// A push with sidespin.
        SidespinPush = "sidespin_push" "sidespin push",
        /// A flick.
        Flick = "flick" "flick",
        /// A backhand flick with topspin and sidespin over the table.
        BananaFlick = "banana_flick" "banana flick",
        /// The flick that turns the other way.
        ReverseFlick = "reverse_flick" "reverse flick",
        /// A slow loop with much spin.
        SlowLoop = "slow_loop" "slow loop",
        /// A fast loop.
        FastLoop = "fast_loop" "fast loop",
        /// A drive.
        Drive = "drive" "drive",
        /// A block.
        Block = "block" "block",
        /// A chop from a distance.
        Chop = "chop" "chop",
        /// A bump: an upward, quiet hit, usual with long pimples.
        Bump = "bump" "bump",
    }

    /// When the ball is taken after its bounce.
    pub enum Timing : "timing" {
        /// While it rises.
        Early = "early" "early",
        /// At its highest point.
        Top = "top_of_the_bounce" "top of the bounce",
        /// While it falls.
        Late = "late" "late",
    }

    /// How the stroke meets the serve's side spin.
    pub enum Against : "way to meet the spin" {
        /// With the spin: the ball's own turn is continued.
        With = "with_the_spin" "with the spin",
        /// Against the spin.
        Against = "against_the_spin" "against the spin",
    }
}

/// One receive, with what the player wrote about it.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Receive {
    /// The wing.
    pub wing: Option<Wing>,
    /// The stroke.
    pub stroke: Stroke,
    /// When the ball is taken.
    pub timing: Option<Timing>,
    /// How much spin of the player's own.
    pub weight: Option<WeightName>,
    /// With or against the serve's spin.
    pub spin: Option<Against>,
    /// Where it goes: lane and depth of the opponent, who receives this ball.
    #[serde(default, skip_serializing_if = "Target::is_open")]
    pub to: Target,
    /// Why this one; never part of what is memorised.
    pub why: Option<String>,
    /// The opponent's likely third ball.
    pub expect: Option<String>,
    /// The player's own fourth ball.
    pub then: Option<String>,
}

impl Receive {
    /// A receive of which only the stroke is fixed.
    pub const fn with_stroke(stroke: Stroke) -> Self {
        Self {
            wing: None,
            stroke,
            timing: None,
            weight: None,
            spin: None,
            to: Target { lane: None, depth: None },
            why: None,
            expect: None,
            then: None,
        }
    }

    /// The same receive without what the player wrote about it.
    #[must_use]
    pub fn bare(&self) -> Self {
        Self { why: None, expect: None, then: None, ..self.clone() }
    }

    /// The stroke with its wing: `forehand push`.
    pub fn stroke_shown(&self) -> String {
        match self.wing {
            Some(wing) => format!("{wing} {}", self.stroke),
            None => self.stroke.to_string(),
        }
    }

    /// The whole receive in words: `heavy forehand push, early, short to the middle`.
    pub fn shown(&self) -> String {
        let weight = self.weight.map(|weight| format!("{weight} ")).unwrap_or_default();
        let mut parts = vec![format!("{weight}{}", self.stroke_shown())];
        parts.extend(self.timing.map(|timing| match timing {
            Timing::Top => format!("at the {timing}"),
            other => other.to_string(),
        }));
        parts.extend(self.spin.map(|spin| spin.to_string()));
        if !self.to.is_open() {
            parts.push(self.to.shown());
        }
        text::one_line(&parts.join(", "))
    }
}
