//! What a session is asked for: the deck, the launcher, how long, and the volumes of the trade.

use std::collections::BTreeMap;

use crate::base::{Bound, OutOfBounds};
use crate::deck::{Deck, Switch};
use crate::flight::Constants;
use crate::game::{Hand, PatternKey};
use crate::launcher::{Launcher, LauncherKind, Table};
use crate::rehearsal::session::{SessionPhase, Variation, WhyRefused};

/// Volumes of a session: how many, how long to rest. All are common practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Volumes {
    /// Most balls of a groove block.
    pub groove_block: u32,
    /// Most balls of a block that varies.
    pub vary_block: u32,
    /// Most pairs of serves of a match-like block.
    pub match_pairs: u32,
    /// Rest after a groove block, seconds.
    pub groove_rest_s: u32,
    /// Balls when nothing is asked for.
    pub balls: u32,
    /// Most banana flicks in a session.
    pub banana_flicks: u32,
}

impl Volumes {
    /// Most balls of one unchanged setting, those thrown away included.
    pub const UNCHANGED: u32 = 20;
    /// Balls let go after each change of setting.
    pub const THROW_AWAY: u32 = 3;
    /// Rest after any block but a groove block, seconds.
    pub const REST_S: u32 = 60;
    /// Minutes of warm-up before a session.
    pub const WARM_UP_MIN: u32 = 10;
    /// Most balls of a block in which there is no time to get ready between two.
    pub const HURRIED_BLOCK: u32 = 8;
    /// Seconds to move and aim a launcher.
    pub const MOVE_S: f64 = 90.0;
    /// Seconds to set a launcher to another ball and trim it.
    pub const TRIM_S: f64 = 30.0;
    /// Balls of a drill alone.
    pub const DRILL: u32 = 40;
    /// Seconds to fill a hopper.
    pub const REFILL_S: f64 = 60.0;

    /// For an adult: 150 to 250 receives or 40 to 60 minutes in all.
    pub const fn adult() -> Self {
        Self {
            groove_block: 20,
            vary_block: 30,
            match_pairs: 16,
            groove_rest_s: 45,
            balls: 150,
            banana_flicks: 50,
        }
    }

    /// Under twelve years: 80 to 120 receives in blocks of 10 to 12.
    pub const fn under_twelve() -> Self {
        Self {
            groove_block: 12,
            vary_block: 12,
            match_pairs: 6,
            groove_rest_s: 60,
            balls: 80,
            banana_flicks: 20,
        }
    }

    /// The evening before: 40 to 60 receives.
    pub const fn eve() -> Self {
        Self { groove_block: 12, balls: 50, banana_flicks: 15, ..Self::adult() }
    }

    /// Receives a minute to aim for, and the most that leave time for what is asked: a partner
    /// serves 8 to 12, in groove 12 to 20 come, with a full reset as in a match 6 to 8.
    pub const fn pace(kind: LauncherKind, phase: SessionPhase) -> (f64, f64) {
        match (phase, kind) {
            (SessionPhase::MatchLike, _) => (7.0, 8.0),
            (_, LauncherKind::Partner) => (10.0, 12.0),
            (SessionPhase::Groove, _) => (16.0, 20.0),
            (SessionPhase::Vary, _) => (12.0, 14.0),
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
    pub const BALLS: Bound =
        Bound { what: "balls", unit: "balls", least: 4.0, most: 600.0, source: "common practice" };
    pub const MINUTES: Bound =
        Bound { what: "minutes", unit: "min", least: 2.0, most: 180.0, source: "common practice" };
}

/// What a session is made of.
#[derive(Debug, Clone)]
pub struct SessionRequest<'a> {
    /// The opponent, in the lanes of this player.
    pub deck: &'a Deck,
    /// The player's hand.
    pub player: Hand,
    /// The switches to be called, one after the other.
    pub switches: Vec<&'a Switch>,
    /// Only this drill.
    pub drill: Option<Variation>,
    /// How weak each pattern is, in memory or at the table: 0 firm to 1, unknown ones 0.5.
    pub weakness: &'a BTreeMap<PatternKey, f64>,
    pub launcher: &'a Launcher,
    /// Ball, air and table: what a launcher can throw depends on them.
    pub constants: Constants,
    /// The phases; all three when empty.
    pub phases: &'a [SessionPhase],
    pub length: Length,
    pub volumes: Volumes,
    pub seed: u64,
}

impl SessionRequest<'_> {
    /// Who receives, who serves, on what. The seed chooses among ways to throw a ball, never the
    /// ball.
    pub(super) fn table(&self) -> Table {
        let server = self.deck.hand.unwrap_or(Hand::Right);
        Table { constants: self.constants, receiver: self.player, server, seed: 1 }
    }
}

/// Why there is no session.
#[derive(Debug, Clone, PartialEq)]
pub enum RehearsalError {
    /// The deck has no serves.
    NoServes {
        opponent: String,
    },
    /// No serve can be rehearsed, the first of them for this reason.
    NothingLeft {
        opponent: String,
        why: WhyRefused,
    },
    OutOfBounds(OutOfBounds),
    /// Less time than the shortest session takes: so many balls with their changes.
    NoTime {
        minutes: f64,
        least: u32,
    },
    /// A switch round needs more balls than are asked for.
    TooShortForSwitch {
        balls: u32,
        least: u32,
    },
    /// The switch of this name changes no serve of this session.
    SwitchOutOfReach(String),
    /// Another launcher does this drill.
    NotWithLauncher(Variation),
    /// No serve of the deck suits this drill.
    NoBallsFor(Variation),
}

impl From<OutOfBounds> for RehearsalError {
    fn from(error: OutOfBounds) -> Self {
        Self::OutOfBounds(error)
    }
}
