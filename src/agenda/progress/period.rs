//! Days and weeks, the points of a picture.

use serde::Serialize;

use crate::base::Day;

/// Days of history up to which a picture has a point a day; beyond it has a point a week.
const DAILY_DAYS: i64 = 21;
/// Periods that are drawn at most.
pub(super) const PERIODS: usize = 26;
/// Fewest answers or balls about which anything is said.
pub(super) const FEWEST: usize = crate::drill::LEAST_BALLS;

/// How far one point of a picture reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PeriodLength {
    Day,
    /// From Monday.
    Week,
}

impl PeriodLength {
    /// For a history that begins on `first`.
    pub(super) fn for_history(first: Option<Day>, today: Day) -> Self {
        match first {
            Some(first) if today.days_since(first) >= DAILY_DAYS => Self::Week,
            _ => Self::Day,
        }
    }

    /// The first day of the period a day belongs to.
    pub(super) fn begin(self, day: Day) -> Day {
        match self {
            Self::Day => day,
            Self::Week => day.minus(day.weekday().num_days_from_monday()),
        }
    }

    pub const fn word(self) -> &'static str {
        match self {
            Self::Day => "day",
            Self::Week => "week",
        }
    }
}

/// The last [`PERIODS`] of some periods, oldest first.
pub(super) fn last_periods<T>(periods: impl ExactSizeIterator<Item = T>) -> Vec<T> {
    let skipped = periods.len().saturating_sub(PERIODS);
    periods.skip(skipped).collect()
}
