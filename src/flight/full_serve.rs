//! A serve with nothing left open: what is flown, drawn and thrown where nobody has seen a part of
//! it.
//!
//! Unseen spin is none, weight medium, lane middle, depth half-long, place the backhand corner;
//! side spin breaks as this motion usually does, and where the motion says nothing as a pendulum
//! serve of that hand.

use serde::Serialize;

use crate::game::{Depth, From, Hand, Lane, Motion, Pace, Serve, Side, Spin, Weight, usual_break};

/// A part of a serve that nobody has seen and that had to be supposed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Supposed {
    Spin,
    Weight,
    Breaks,
    Lane,
    Depth,
}

/// A serve whose every part is said or supposed.
#[derive(Debug, Clone, PartialEq)]
pub struct FullServe {
    pub from: From,
    pub lane: Lane,
    pub depth: Depth,
    pub spin: Spin,
    pub weight: Weight,
    /// The side its path bends to, as the receiver sees it; none without side spin.
    pub breaks: Option<Side>,
    /// None when it does not matter.
    pub pace: Option<Pace>,
    pub supposed: Vec<Supposed>,
}

impl FullServe {
    /// Fills in what was not seen of a serve by an opponent of this hand.
    pub fn fill_in(serve: &Serve, server: Hand) -> Self {
        let spin = serve.spin.unwrap_or(Spin::Dead);
        let breaks = serve.breaks_for(Some(server));
        let missing = [
            (Supposed::Spin, serve.spin.is_none()),
            (Supposed::Weight, spin != Spin::Dead && serve.weight.is_none()),
            (Supposed::Breaks, spin.is_sideways() && breaks.is_none()),
            (Supposed::Lane, serve.lane.is_none()),
            (Supposed::Depth, serve.depth.is_none()),
        ];
        let usual = || usual_break(&Motion::Pendulum, server);
        Self {
            from: serve.from.unwrap_or(From::BackhandCorner),
            lane: serve.lane.unwrap_or(Lane::Middle),
            depth: serve.depth.unwrap_or(Depth::HalfLong),
            spin,
            weight: serve.weight.unwrap_or(Weight::Medium),
            breaks: breaks.or_else(usual).filter(|_| spin.is_sideways()),
            pace: serve.pace,
            supposed: missing.into_iter().filter_map(|(what, is)| is.then_some(what)).collect(),
        }
    }
}
