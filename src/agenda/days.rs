//! The days ahead and what they hold.

use serde::Serialize;

use crate::base::Day;
use crate::memory::Item;

/// Seconds one answer takes with its toss and its feedback (common practice; the drill measures
/// it).
pub const SECONDS_AN_ANSWER: f64 = 9.0;
/// Days ahead that are shown.
pub(super) const DAYS_AHEAD: u32 = 14;

/// A day ahead and how much it will ask for, if every list before it is answered right.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayLoad {
    pub day: Day,
    pub answers: usize,
    pub is_off: bool,
}

/// Answers that fit into some minutes.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 120 minutes")]
pub(super) fn answers_in(minutes: f64) -> usize {
    (minutes.clamp(0.0, 600.0) * 60.0 / SECONDS_AN_ANSWER) as usize
}

/// Minutes that the answers given today have taken.
pub(super) fn minutes_spent(items: &[Item], today: Day) -> f64 {
    let given = items.iter().filter(|item| item.is_answered_on(today.number())).count();
    given as f64 * SECONDS_AN_ANSWER / 60.0
}
