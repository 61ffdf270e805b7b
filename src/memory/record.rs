//! What the player has kept of what was planned so far, and what is expected from it.

use serde::{Deserialize, Serialize};

/// Of planned days this share is kept as long as nothing is known, which counts as five days. An
/// assumption: without it the first week plans as if nothing were ever missed.
const USUAL_KEPT: f64 = 0.85;
const USUAL_DAYS: f64 = 5.0;
/// Lists done to their end that are assumed before the first.
const USUAL_LISTS: f64 = 2.0;

/// The player's own record.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Regularity {
    /// Days looked back on, days off left out, and those of them with an answer.
    pub days_asked: u32,
    pub days_practised: u32,
    /// Lists that were begun, and the sum of the shares of them that were answered.
    pub lists_begun: u32,
    pub shares_done: f64,
}

impl Regularity {
    /// The share of planned days that will be kept.
    pub fn days_kept(&self) -> f64 {
        (USUAL_KEPT * USUAL_DAYS + f64::from(self.days_practised))
            / (USUAL_DAYS + f64::from(self.days_asked))
    }

    /// The share of a begun list that will be answered.
    pub fn lists_done(&self) -> f64 {
        (USUAL_LISTS + self.shares_done) / (USUAL_LISTS + f64::from(self.lists_begun))
    }
}
