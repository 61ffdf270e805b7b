//! What is known of one pattern: weighted points, clean balls in order, and what each match says.
//!
//! Filled by [`crate::tactics::history`] from the facts; read by the verdict and the advice. Clean
//! means that the receive came neither loose nor missed.

use std::collections::BTreeMap;

use crate::tactics::adaptation::Exposure;
use crate::tactics::rates::{DEBRIEF, Tally};

/// What a debrief tells of a pattern.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct DebriefPoints {
    /// Points it stands for, unweighted; 0 when the match was recorded as well.
    pub played: f64,
    /// Of those, won.
    pub won: f64,
    /// It was said to be read.
    pub read: bool,
}

/// What one match says of a pattern, unweighted.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct InMatch {
    /// Points recorded.
    pub points: u32,
    /// Of those, won.
    pub won: u32,
    /// Receives that came loose.
    pub loose: u32,
    /// Receives that missed the table.
    pub missed: u32,
    /// Points won with a receive that was neither.
    pub clean_won: u32,
    /// Clean points for which the opponent was seen waiting.
    pub waited: u32,
    /// What the debrief tells.
    pub debrief: Option<DebriefPoints>,
}

impl InMatch {
    /// Points with a receive that came neither loose nor missed.
    pub const fn clean(&self) -> u32 {
        self.points - self.loose - self.missed
    }
}

/// One clean ball of a pattern, for the adaptation filter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CleanBall {
    /// Matches back, 0 is the newest.
    pub age: u32,
    /// Its place among all points, so that balls of several serves can be put in order.
    pub order: usize,
    /// What happened.
    pub exposure: Exposure,
}

/// What is known of one pattern.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Record {
    /// Weighted points, won and played.
    pub tally: Tally,
    /// The same without receives that came loose or missed.
    pub clean: Tally,
    /// The same as `tally`, only points they were waiting for.
    pub waited_for: Tally,
    /// The same, only points they were not waiting for.
    pub not_waited_for: Tally,
    /// Points recorded, unweighted.
    pub points: u32,
    /// Of those, lost ones.
    pub lost: u32,
    /// Clean balls in the order they were played.
    pub balls: Vec<CleanBall>,
    /// Points told in debriefs, unweighted.
    pub debriefed: f64,
    /// How much more than its stroke the knowledge of receives gives it against this serve, where
    /// the deck has both.
    pub beyond_stroke: Option<f64>,
    /// Match by match, by matches back.
    pub in_matches: BTreeMap<u32, InMatch>,
}

impl Record {
    /// Points behind it as a person counts them: recorded ones, and half of those told.
    pub fn behind(&self) -> f64 {
        f64::from(self.points) + DEBRIEF * self.debriefed
    }

    /// The same without receives that came loose or missed.
    pub fn clean_behind(&self) -> f64 {
        self.balls.len() as f64 + DEBRIEF * self.debriefed
    }

    /// Matches back to the newest one with a recorded point.
    pub fn newest(&self) -> Option<u32> {
        self.in_matches.iter().find(|(_, seen)| seen.points > 0).map(|(age, _)| *age)
    }
}
