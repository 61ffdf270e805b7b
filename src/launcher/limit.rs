//! What of a serve a launcher cannot do, as data.

use crate::game::{Depth, Lane, Pace, Side, Spin};
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
        why: NoOwnHalf,
        depth: Depth,
        is_from_table: bool,
    },
    TooFast {
        pace: Pace,
        most_m_s: f64,
        usual_m_s: f64,
    },
    TooSlow {
        depth: Depth,
        least_m_s: f64,
        usual_m_s: f64,
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
    /// A short ball with topspin above [`SHORT_TOPSPIN_REV_S`].
    ShortTopspin,
}

/// Why a launcher cannot bounce a ball on its own half first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoOwnHalf {
    OnTable,
    /// Metres above the table; see [`REALISTIC_OUTLET_M`](super::REALISTIC_OUTLET_M).
    HighOutlet(f64),
    /// Elevations, degrees: the lowest it has and the highest that still works.
    NotDown {
        least_deg: f64,
        needed_deg: f64,
    },
}

/// The most topspin a short serve has; more exists only as a lob (computed flights).
pub const SHORT_TOPSPIN_REV_S: f64 = 30.0;
