//! A receive: what the player does with one serve, where the ball goes, and why.

use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;

use crate::base::{text, words};
use crate::game::{Pace, Target, WeightName};

words! {
    /// The side of the bat, and of the body.
    pub enum Wing : "wing" {
        /// Forehand; stepping around the backhand is a forehand too.
        Forehand = "forehand" "forehand" | "step_around" | "step_round" | "stepping_around"
            | "step_around_forehand" | "step_round_forehand" | "pivot",
        /// Backhand.
        Backhand = "backhand" "backhand",
    }

    /// The stroke.
    pub enum Stroke : "stroke" {
        /// A short push on the rise with a soft hand: it bounces twice over there.
        Touch = "touch" "drop" | "drop" | "drop_shot" | "stop",
        /// Backspin against backspin, the bat open.
        Push = "push" "push" | "dig",
        /// A push that brushes round the side of the ball.
        SidespinPush = "sidespin_push" "sidespin push" | "side_push" | "swipe",
        /// A short, flat attack over the table.
        Flick = "flick" "flick" | "flip",
        /// A backhand flick over the table with topspin and sidespin.
        BananaFlick = "banana_flick" "banana flick" | "banana" | "banana_flip",
        /// A backhand flick that brushes the other side of the ball.
        ReverseFlick = "reverse_flick" "reverse flick" | "strawberry" | "strawberry_flick"
            | "strawberry_flip" | "reverse_flip" | "reverse_banana",
        /// Brushed upwards: much spin, little pace.
        SlowLoop = "slow_loop" "slow loop" | "opening_loop" | "spinny_loop" | "slow_topspin"
            | "opener" | "roll",
        /// Through the ball and brushed: pace and spin.
        FastLoop = "fast_loop" "fast loop" | "loop_drive" | "power_loop" | "fast_topspin"
            | "counter_loop" | "counter_topspin",
        /// Through the ball, hardly brushed, with a short swing.
        Drive = "drive" "drive" | "counter" | "counter_drive" | "counter_hit" | "punch" | "hit"
            | "flat_hit" | "smash",
        /// The bat held in the way of the ball.
        Block = "block" "block" | "punch_block" | "active_block" | "passive_block",
        /// Long backspin from behind the table.
        Chop = "chop" "chop",
        /// An upward, soft hit, usual with long pimples.
        Bump = "bump" "bump",
    }

    /// When the ball is taken after its bounce.
    pub enum Timing : "timing" {
        /// Right after the bounce.
        Early = "early" "on the rise" | "on_the_rise" | "rising",
        /// At the highest point of its bounce.
        Top = "top_of_the_bounce" "at the top" | "at_the_top" | "top" | "peak",
        /// While it falls, behind the end line where it is half-long.
        Late = "late" "late" | "falling" | "off_the_end" | "on_the_fall",
    }

    /// How the stroke meets the serve's side spin.
    pub enum Against : "way to meet the spin" {
        /// Brushed the way the ball spins already.
        With = "with_the_spin" "with the spin" | "with",
        /// Brushed against the way it spins.
        Against = "against_the_spin" "against the spin" | "against",
    }
}

/// Words with FH and BH, as every player writes them.
pub fn short_wings(words: &str) -> String {
    words.replace("forehand", "FH").replace("backhand", "BH")
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
    /// How fast it is played.
    pub pace: Option<Pace>,
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
            pace: None,
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

    /// The same with FH or BH.
    pub fn stroke_short(&self) -> String {
        short_wings(&self.stroke_shown())
    }

    /// The whole receive with FH and BH.
    pub fn short(&self) -> String {
        short_wings(&self.shown())
    }

    /// The whole receive in words: `fast light forehand push, on the rise, long to the middle`.
    pub fn shown(&self) -> String {
        let pace = self.pace.map(|pace| match pace {
            Pace::Medium => "medium pace ".to_owned(),
            pace => format!("{pace} "),
        });
        let weight = self.weight.map(|weight| format!("{weight} ")).unwrap_or_default();
        let mut parts =
            vec![format!("{}{weight}{}", pace.unwrap_or_default(), self.stroke_shown())];
        parts.extend(self.timing.map(|timing| timing.to_string()));
        parts.extend(self.spin.map(|spin| spin.to_string()));
        if !self.to.is_open() {
            parts.push(self.to.shown());
        }
        text::one_line(&parts.join(", "))
    }
}
