//! What a path amounts to on a real table: the kind of throw, depth, and whether it is legal.
//!
//! The path knows only an infinite plane; here its bounces are held against the table's edges.

use serde::{Deserialize, Serialize};

use super::constants::{END_LINE_X_M, SIDE_LINE_Y_M};
use super::path::{Bounce, Path};
use crate::base::words;
use crate::game::{Depth, NET_X_M};

words! {
    /// How a ball reaches the receiver's half.
    pub enum Throw : "way to throw" {
        /// On the thrower's own half first, as a serve does.
        Serve = "serve" "bounces on its own half first",
        Feed = "feed" "straight onto the receiver's half",
    }
}

impl Throw {
    /// How many bounces come before the one on the receiver's half.
    pub fn own_bounces(self) -> usize {
        usize::from(self == Self::Serve)
    }
}

/// Why a throw is not legal, the first thing that went wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// A service whose first bounce is not on the launcher's half.
    MissesOwnHalf,
    /// It does not clear the net on the leg that has to.
    Net,
    /// It does not come down on the receiver's half.
    MissesReceiversHalf,
}

impl Path {
    /// How a path has to be judged: as a service when its first bounce lies before the net.
    pub fn throw(&self) -> Throw {
        match self.bounces.first() {
            Some(first) if first.x_m() < NET_X_M => Throw::Serve,
            _ => Throw::Feed,
        }
    }

    /// The bounce on the server's own half; none for a feed.
    pub fn own_bounce(&self, throw: Throw) -> Option<&Bounce> {
        self.bounces.get(throw.own_bounces().checked_sub(1)?)
    }

    /// The bounce the receiver plays.
    pub fn receiver_bounce(&self, throw: Throw) -> Option<&Bounce> {
        self.bounces.get(throw.own_bounces())
    }

    /// The bounce after that one, which makes the depth.
    pub fn next_bounce(&self, throw: Throw) -> Option<&Bounce> {
        self.bounces.get(throw.own_bounces() + 1)
    }

    /// None when the path was not followed to the next bounce.
    pub fn depth(&self, throw: Throw) -> Option<Depth> {
        self.next_bounce(throw).map(|bounce| Depth::of_next_bounce(bounce.x_m()))
    }

    /// The first reason why this is not a legal throw of its kind; none when it is one.
    ///
    /// A service touches first the server's half, then, over the net, the receiver's (ITTF Laws
    /// 2.6); a feed only the receiver's. A ball on a line counts as on the table.
    pub fn fault(&self, throw: Throw) -> Option<Fault> {
        let within = |bounce: Option<&Bounce>, from: f64, to: f64| {
            bounce.is_some_and(|b| (from..=to).contains(&b.x_m()) && b.y_m().abs() <= SIDE_LINE_Y_M)
        };
        if throw == Throw::Serve && !within(self.own_bounce(throw), 0.0, NET_X_M) {
            return Some(Fault::MissesOwnHalf);
        }
        let over = self.net.is_some_and(|crossing| crossing.leg == throw.own_bounces() + 1)
            && self.net_clearance_m().is_some_and(|air| air >= 0.0);
        if !over {
            return Some(Fault::Net);
        }
        if !within(self.receiver_bounce(throw), NET_X_M, END_LINE_X_M) {
            return Some(Fault::MissesReceiversHalf);
        }
        None
    }
}
