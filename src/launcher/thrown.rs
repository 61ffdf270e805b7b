//! A ball as a launcher is to throw it, in the words of the trade.

use serde::{Deserialize, Serialize};

use crate::base::words;
use crate::flight::Throw;
use crate::game::{Depth, Lane, Pace, Side, Spin};

words! {
    /// A small change, so that no setting comes too often.
    pub enum Shade : "small change" {
        /// The landing moves a hand's width towards the middle.
        Inwards = "inwards" "a hand's width towards the middle",
        /// The landing moves a hand's width to the receiver's right, the launcher's left.
        Right = "right" "a hand's width to the launcher's left",
        /// The landing moves a hand's width to the receiver's left, the launcher's right.
        Left = "left" "a hand's width to the launcher's right",
        /// A little longer.
        Longer = "longer" "a hand's width longer",
        /// A little shorter.
        Shorter = "shorter" "a hand's width shorter",
        /// A little less spin.
        Lighter = "lighter" "a little less spin",
    }
}

/// A ball as a launcher is to throw it, in trade words and rev/s; the lane is the receiver's own.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Thrown {
    pub throw: Throw,
    pub lane: Lane,
    pub depth: Depth,
    pub spin: Spin,
    /// How much, rev/s, never negative; about 0 for a dead ball.
    pub rev_s: f64,
    /// The side its path bends to, as the receiver sees it.
    pub breaks: Option<Side>,
    pub pace: Pace,
    /// A small change against the plain ball.
    pub shade: Option<Shade>,
}

impl Thrown {
    /// The side its path bends to for whoever throws it, facing the receiver: launcher, feeder or
    /// server.
    pub fn bends_for_thrower(&self) -> Option<Side> {
        self.breaks.map(Side::other)
    }
}
