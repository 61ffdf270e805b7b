//! What of a serve a launcher cannot do, as data.

use crate::game::{Depth, Lane, Side, Spin};
use crate::launcher::{HeadTurn, Wheels};

/// Something of a serve that this launcher cannot do or nobody has seen, and what is thrown
/// instead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    UnseenLane(Lane),
    UnseenDepth(Depth),
    UnseenSpin(Spin),
    /// The side it is supposed to break to, as the receiver sees it.
    UnseenBreak(Side),
    /// A feed from the hand has no corkscrew; it is fed with side spin.
    FedCorkscrew,
    /// It bounces once, straight onto the receiver's half.
    OwnHalf {
        why: Obstacle,
        depth: Depth,
        fed: Depth,
        is_from_table: bool,
    },
    /// Its pace or its low flight: the ball itself is thrown.
    NotAsServed(Obstacle),
    LighterSpin {
        why: Obstacle,
        rev_s: f64,
        instead_rev_s: f64,
    },
    OtherDepth {
        why: Obstacle,
        depth: Depth,
        instead: Depth,
    },
    /// No wheels turn a ball about its line of flight; it gets side spin.
    Corkscrew,
    SideSpin {
        spin: Spin,
        wheels: Wheels,
        head: HeadTurn,
        instead: Spin,
    },
    /// One wheel ties spin to speed.
    TiedSpin {
        spin: Spin,
        rev_s: f64,
        has: Spin,
        has_rev_s: f64,
    },
    /// The wheels do not turn that way; it is thrown dead.
    WrongWay(Spin),
    TooMuchSpin {
        rev_s: f64,
        most_rev_s: f64,
    },
}

impl Limit {
    /// The outlet height from which it would not be lost, metres, when height decides.
    pub fn would_do_m(&self) -> Option<f64> {
        match *self {
            Self::OwnHalf { why, .. }
            | Self::NotAsServed(why)
            | Self::LighterSpin { why, .. }
            | Self::OtherDepth { why, .. } => match why {
                Obstacle::Height { would_do_m, .. } => Some(would_do_m),
                _ => None,
            },
            _ => None,
        }
    }
}

/// What stands between a launcher and a serve: the one limit of it that would have to be another,
/// what it is and what would do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Obstacle {
    OnTable,
    /// Elevations, degrees.
    NotDown {
        least_deg: f64,
        would_do_deg: f64,
    },
    /// Its slowest ball.
    TooFast {
        least_m_s: f64,
        would_do_m_s: f64,
    },
    /// Its fastest.
    TooSlow {
        most_m_s: f64,
        would_do_m_s: f64,
    },
    /// Metres above the table.
    Height {
        height_m: f64,
        would_do_m: f64,
    },
    /// No one of them alone.
    Several,
}
