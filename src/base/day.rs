//! Days as the player lives them: a day ends at the hour at which a day begins, not at midnight.
//!
//! Memory counts whole days between answers, so an evening and the next morning must be one day
//! apart wherever the player is. An event stores its day; nothing here is computed twice.

use chrono::{DateTime, Datelike, Days, FixedOffset, NaiveDate, NaiveTime, TimeDelta, Weekday};
use serde::{Deserialize, Deserializer, Serialize};

/// A calendar day of the player's own clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct Day(NaiveDate);

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        String::deserialize(from)?.parse().map_err(serde::de::Error::custom)
    }
}

impl Day {
    /// The day with this calendar date.
    pub const fn from_date(date: NaiveDate) -> Self {
        Self(date)
    }

    /// The calendar date.
    pub const fn date(self) -> NaiveDate {
        self.0
    }

    /// Its year.
    pub fn year(self) -> i32 {
        self.0.year()
    }

    /// The day `days` later; the last day the calendar can hold when there is none.
    #[must_use]
    pub fn plus(self, days: u32) -> Self {
        Self(self.0.checked_add_days(Days::new(days.into())).unwrap_or(NaiveDate::MAX))
    }

    /// The day `days` earlier; the first day the calendar can hold when there is none.
    #[must_use]
    pub fn minus(self, days: u32) -> Self {
        Self(self.0.checked_sub_days(Days::new(days.into())).unwrap_or(NaiveDate::MIN))
    }

    /// A number that grows by one a day, for the memory model, which knows no calendar.
    pub fn number(self) -> i32 {
        self.0.num_days_from_ce()
    }

    /// Whole days from `earlier` to this one; negative when it is later.
    pub fn days_since(self, earlier: Self) -> i64 {
        (self.0 - earlier.0).num_days()
    }

    /// The day of the week.
    pub fn weekday(self) -> Weekday {
        self.0.weekday()
    }

    /// `Sat 29 Nov`: a day as a person says it, without the year.
    pub fn spoken(self) -> String {
        self.0.format("%a %-d %b").to_string()
    }
}

impl std::fmt::Display for Day {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.pad(&self.0.format("%Y-%m-%d").to_string())
    }
}

impl std::str::FromStr for Day {
    type Err = String;

    /// Reads `2026-11-29`.
    fn from_str(given: &str) -> Result<Self, Self::Err> {
        // A journal has a million of them, and chrono's reader of formats takes five times as long.
        let mut numbers = given.trim().splitn(3, '-').map(|number| number.parse::<u16>().ok());
        let mut number = || numbers.next().flatten();
        let date = (|| {
            let (year, month, day) = (number()?, number()?, number()?);
            NaiveDate::from_ymd_opt(year.into(), month.into(), day.into())
        })();
        date.map(Self).ok_or_else(|| format!("`{given}` is not a day; write it as 2026-11-29"))
    }
}

/// An instant on the player's own clock, to the millisecond, with the offset that clock had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(DateTime<FixedOffset>);

impl Moment {
    /// The instant that `clock` shows.
    pub const fn from_clock(clock: DateTime<FixedOffset>) -> Self {
        Self(clock)
    }

    /// Milliseconds since 1970-01-01T00:00:00 UTC.
    pub fn epoch_ms(self) -> i64 {
        self.0.timestamp_millis()
    }

    /// The date and time with its offset.
    pub const fn clock(self) -> DateTime<FixedOffset> {
        self.0
    }

    /// The player's day at this instant when days end at `day_begins` (0 to 23).
    pub fn day(self, day_begins: u8) -> Day {
        Day((self.0 - TimeDelta::hours(day_begins.into())).date_naive())
    }

    /// The instant `milliseconds` later.
    #[must_use]
    pub fn plus_ms(self, milliseconds: i64) -> Self {
        Self(self.0 + TimeDelta::milliseconds(milliseconds))
    }

    /// Noon of a day in UTC, for tests and simulated players.
    pub fn noon(day: Day) -> Self {
        let noon = day.date().and_time(NaiveTime::MIN) + TimeDelta::hours(12);
        Self(noon.and_utc().fixed_offset())
    }
}

impl std::fmt::Display for Moment {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.pad(&self.0.format("%Y-%m-%dT%H:%M:%S%:z").to_string())
    }
}

impl std::str::FromStr for Moment {
    type Err = String;

    /// Reads RFC 3339 (`2026-11-29T18:30:00+01:00`), or a plain day, which means its noon in UTC.
    fn from_str(given: &str) -> Result<Self, Self::Err> {
        if let Ok(day) = given.parse::<Day>() {
            return Ok(Self::noon(day));
        }
        DateTime::parse_from_rfc3339(given.trim()).map(Self).map_err(|_| {
            format!("`{given}` is not a time; write it as 2026-11-29T18:30:00+01:00 or 2026-11-29")
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_evening_and_the_next_morning_are_one_day_apart() {
        let late: Moment = "2026-11-29T01:30:00+01:00".parse().unwrap();
        let morning: Moment = "2026-11-29T08:00:00+01:00".parse().unwrap();
        assert_eq!(late.day(4).to_string(), "2026-11-28");
        assert_eq!(morning.day(4).days_since(late.day(4)), 1);
    }

    #[test]
    fn a_day_reads_back_as_it_is_written() {
        let day: Day = "2026-02-28".parse().unwrap();
        assert_eq!(day.plus(1).to_string(), "2026-03-01");
        assert_eq!(day.plus(1).minus(1), day);
        assert!("2026-02-30".parse::<Day>().is_err());
    }
}
