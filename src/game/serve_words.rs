//! The closed vocabularies of a serve: motion, place, pace, toss, how sure, at which scores.

use serde::{Deserialize, Serialize};

use crate::base::words;

words! {
    /// The motions the trade has a name for.
    pub enum MotionName : "motion" {
        /// A plain forehand serve.
        Forehand = "forehand" "forehand",
        /// The bat hangs and swings in, towards the body.
        Pendulum = "pendulum" "pendulum",
        /// The bat hangs and swings out, away from the body.
        ReversePendulum = "reverse_pendulum" "reverse pendulum",
        /// The bat goes round the outside of the ball.
        Hook = "hook" "hook",
        /// The bat points up and swings out.
        Tomahawk = "tomahawk" "tomahawk",
        /// The bat points up and swings in.
        ReverseTomahawk = "reverse_tomahawk" "reverse tomahawk",
        /// A backhand serve.
        Backhand = "backhand" "backhand",
        /// The bat scoops forward under or behind the ball.
        Shovel = "shovel" "shovel" | "scoop",
        /// A short, flat hit through the ball.
        Punch = "punch" "punch",
    }

    /// Where the server contacts the ball.
    pub enum From : "place to serve from" {
        /// The server's backhand corner.
        BackhandCorner = "backhand_corner" "backhand corner" | "backhand",
        /// The middle of the end line.
        Middle = "middle" "middle" | "centre" | "center",
        /// The server's forehand corner.
        ForehandCorner = "forehand_corner" "forehand corner" | "forehand",
    }

    /// How fast the serve travels.
    pub enum Pace : "pace" {
        /// There is time to step in.
        Slow = "slow" "slow" | "soft",
        /// Neither slow nor fast.
        Medium = "medium" "medium" | "normal",
        /// Bounces close to the server's own line; a long one lands in the last 30 cm.
        Fast = "fast" "fast" | "hard" | "quick",
    }

    /// How high the ball is thrown up.
    pub enum Toss : "toss" {
        /// Hardly above the head.
        Low = "low" "low",
        /// Well above the head.
        High = "high" "high",
    }

    /// How sure the scout is that this serve exists as described.
    pub enum Sure : "certainty" {
        /// From half a memory, or told by somebody.
        Guessed = "guessed" "guessed" | "guess",
        /// Seen.
        Seen = "seen" "seen",
    }

    /// When in a game a serve comes more often than elsewhere.
    pub enum ScoreHabit : "score" {
        /// The first points of a game.
        Early = "early" "early in a game",
        /// When the server leads.
        Ahead = "ahead" "when ahead",
        /// When the server trails.
        Behind = "behind" "when behind",
        /// From eight all on.
        Close = "close" "from 8-8",
        /// At ten all and after.
        Deuce = "deuce" "at 10-10",
        /// On the server's own game or match point.
        GamePoint = "game_point" "at game point",
    }
}

/// The motion of a serve: one the trade names, or the player's own words for it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Motion {
    Forehand,
    Pendulum,
    ReversePendulum,
    Hook,
    Tomahawk,
    ReverseTomahawk,
    Backhand,
    Shovel,
    Punch,
    /// A motion described in the player's own words.
    Own(String),
}

impl Motion {
    /// The trade's name for it, when it has one.
    pub fn name(&self) -> Option<MotionName> {
        MotionName::ALL.iter().copied().find(|&name| Self::from_name(name) == *self)
    }

    /// The motion with this name.
    pub const fn from_name(name: MotionName) -> Self {
        match name {
            MotionName::Forehand => Self::Forehand,
            MotionName::Pendulum => Self::Pendulum,
            MotionName::ReversePendulum => Self::ReversePendulum,
            MotionName::Hook => Self::Hook,
            MotionName::Tomahawk => Self::Tomahawk,
            MotionName::ReverseTomahawk => Self::ReverseTomahawk,
            MotionName::Backhand => Self::Backhand,
            MotionName::Shovel => Self::Shovel,
            MotionName::Punch => Self::Punch,
        }
    }
}

impl std::fmt::Display for Motion {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Own(words) => out.pad(words),
            named => out.pad(named.name().map_or("", MotionName::shown)),
        }
    }
}

impl std::str::FromStr for Motion {
    type Err = crate::base::UnknownWord;

    /// Reads a name of the trade, or `own: words` for anything else.
    fn from_str(given: &str) -> Result<Self, Self::Err> {
        match given.trim().strip_prefix("own:") {
            Some(words) => Ok(Self::Own(words.trim().to_owned())),
            None => given.parse().map(Self::from_name),
        }
    }
}
