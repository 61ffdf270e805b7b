//! What a session is asked for: the deck, the launcher, how long, and the volumes of the trade.

use std::collections::BTreeMap;

use crate::base::{Bound, OutOfBounds};
use crate::deck::{Deck, Switch};
use crate::game::{Hand, PatternKey};
use crate::launcher::{Kind, Launcher, Span};
use crate::rehearsal::Phase;

/// Volumes of a session: how many, how fast, how long to rest. All are common practice.
#[derive(Debug, Clone, PartialEq)]
pub struct Volumes {
    /// Most balls of one unchanged setting, those thrown away included.
    pub unchanged: u32,
    /// Balls let go after each change of setting.
    pub throw_away: u32,
    /// Most balls of a groove block.
    pub groove_block: u32,
    /// Most balls of a block that varies.
    pub vary_block: u32,
    /// Most pairs of serves of a match-like block.
    pub match_pairs: u32,
    /// Rest after a block, seconds: least after a groove block, most after the others.
    pub rest_s: (u32, u32),
    /// Receives a minute with a full reset, from a machine or a feeder.
    pub receives_a_minute: Span,
    /// Serves of a partner a minute.
    pub serves_a_minute: Span,
    /// Balls when nothing is asked for.
    pub balls: u32,
    /// Minutes of warm-up before it.
    pub warm_up_min: u32,
    /// Most banana flicks in a session.
    pub banana_flicks: u32,
    /// Seconds to move and aim a launcher.
    pub move_s: u32,
    /// Seconds to fill a hopper.
    pub refill_s: u32,
}

impl Volumes {
    /// For an adult: 150 to 250 receives or 40 to 60 minutes in all.
    pub const fn adult() -> Self {
        Self {
            unchanged: 20,
            throw_away: 3,
            groove_block: 20,
            vary_block: 30,
            match_pairs: 16,
            rest_s: (45, 60),
            receives_a_minute: Span::new(12.0, 20.0),
            serves_a_minute: Span::new(8.0, 12.0),
            balls: 150,
            warm_up_min: 10,
            banana_flicks: 50,
            move_s: 90,
            refill_s: 60,
        }
    }

    /// Under twelve years: 80 to 120 receives in blocks of 10 to 12.
    pub const fn under_twelve() -> Self {
        Self {
            groove_block: 12,
            vary_block: 12,
            match_pairs: 6,
            rest_s: (60, 60),
            balls: 80,
            banana_flicks: 20,
            ..Self::adult()
        }
    }

    /// The evening before: 40 to 60 receives.
    pub const fn eve() -> Self {
        Self { groove_block: 12, balls: 50, banana_flicks: 15, ..Self::adult() }
    }

    /// Receives a minute to aim for with this kind of launcher in this phase; slower in groove.
    pub fn pace(&self, kind: Kind, phase: Phase) -> f64 {
        let span = match kind {
            Kind::Partner => self.serves_a_minute,
            _ => self.receives_a_minute,
        };
        match phase {
            Phase::Groove | Phase::MatchLike => span.least.midpoint(span.most).floor(),
            Phase::Vary => span.least.midpoint(span.most).ceil(),
        }
    }
}

/// How long a session is to be; the shorter of the two when both are given.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Length {
    /// Balls to receive.
    pub balls: Option<u32>,
    /// Minutes, warm-up not counted.
    pub minutes: Option<f64>,
}

impl Length {
    /// Balls that can be asked for.
    pub const BALLS: Bound =
        Bound { what: "balls", unit: "balls", least: 4.0, most: 600.0, source: "common practice" };
    /// Minutes that can be asked for.
    pub const MINUTES: Bound =
        Bound { what: "minutes", unit: "min", least: 2.0, most: 180.0, source: "common practice" };
}

/// What a session is made of.
#[derive(Debug, Clone)]
pub struct Request<'a> {
    /// The opponent, in the lanes of this player.
    pub deck: &'a Deck,
    /// The player's hand.
    pub player: Hand,
    /// The switch to be called.
    pub switch: Option<&'a Switch>,
    /// How weak each pattern is in memory, 0 firm to 1 not known; unknown ones count as 0.5.
    pub weakness: &'a BTreeMap<PatternKey, f64>,
    /// The launcher.
    pub launcher: &'a Launcher,
    /// The phases; all three when empty.
    pub phases: &'a [Phase],
    /// How long.
    pub length: Length,
    /// Volumes.
    pub volumes: Volumes,
    /// The seed.
    pub seed: u64,
}

/// Why there is no session.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RehearsalError {
    /// The deck has no serves.
    #[error("`{opponent}` has no serves to rehearse")]
    NoServes {
        /// The opponent.
        opponent: String,
    },
    /// No serve can be rehearsed.
    #[error("no serve of `{opponent}` can be rehearsed: {why}")]
    NothingLeft {
        /// The opponent.
        opponent: String,
        /// Why the first of them cannot.
        why: String,
        /// The way out.
        hint: String,
    },
    /// A number outside its bounds.
    #[error(transparent)]
    OutOfBounds(#[from] OutOfBounds),
    /// Less time than the shortest session takes.
    #[error("{minutes} min are too few: {least} balls with their changes take longer")]
    NoTime {
        /// The minutes asked for.
        minutes: f64,
        /// The fewest balls.
        least: u32,
    },
    /// A switch round needs more balls.
    #[error("a switch round needs {least} balls or more, {balls} are asked for")]
    TooShortForSwitch {
        /// The balls asked for.
        balls: u32,
        /// The fewest.
        least: u32,
    },
    /// The switch changes no serve of this session.
    #[error("the switch `{name}` changes no serve that this launcher can rehearse")]
    SwitchOutOfReach {
        /// The switch.
        name: String,
    },
}

impl RehearsalError {
    /// The way out.
    pub fn hint(&self) -> String {
        match self {
            Self::NoServes { .. } => "add one: secondball scout".to_owned(),
            Self::NothingLeft { hint, .. } => hint.clone(),
            Self::OutOfBounds(_) => {
                "a club session is 150 to 250 balls, or 40 to 60 min".to_owned()
            }
            Self::NoTime { .. } => "ask for more minutes, or name balls instead".to_owned(),
            Self::TooShortForSwitch { least, .. } => format!("--balls {least}, or no --switch"),
            Self::SwitchOutOfReach { .. } => {
                "choose another switch, or a person who serves".to_owned()
            }
        }
    }
}
