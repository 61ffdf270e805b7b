//! The days ahead as an iCalendar file (RFC 5545), written by the crate `icalendar`.
//!
//! All-day entries, whose end is the day after (it is exclusive, section 3.6.1): one for each day that
//! asks for answers, one for the event. Their identifiers depend
//! only on the day and the event, so importing a newer file moves entries instead of doubling them.

use icalendar::{Calendar, Component, Event, EventLike, Property};

use crate::agenda::{Agenda, Outlook};
use crate::base::{Moment, text};

/// The calendar of this agenda; `now` is the time stamp every entry must carry.
pub fn calendar(agenda: &Agenda, now: Moment) -> String {
    let stamp = now.clock().to_utc();
    let mut calendar = Calendar::empty();
    calendar
        .append_property(Property::new("VERSION", "2.0"))
        .append_property(Property::new("PRODID", "-//secondball//receive preparation//EN"))
        .append_property(Property::new("CALSCALE", "GREGORIAN"));
    let today = crate::agenda::DayAhead {
        day: agenda.today,
        answers: agenda.list.len(),
        is_off: agenda.is_off,
    };
    for day in std::iter::once(&today).chain(&agenda.days).filter(|day| day.answers > 0) {
        calendar.push(
            Event::new()
                .uid(&format!("{}-drill@secondball", day.day))
                .timestamp(stamp)
                .starts(day.day.date())
                .ends(day.day.plus(1).date())
                .summary(&format!("Receives: {}", text::count(day.answers, "answer")))
                .description("secondball drill")
                .done(),
        );
    }
    if let Outlook::Event(ahead) = &agenda.outlook {
        calendar.push(
            Event::new()
                .uid(&format!("{}-{}@secondball", ahead.day, text::file_stem(&ahead.name)))
                .timestamp(stamp)
                .starts(ahead.day.date())
                .ends(ahead.day.plus(1).date())
                .summary(&text::one_line(&ahead.name))
                .description("Print the sheet the evening before: secondball sheet")
                .done(),
        );
    }
    calendar.to_string()
}
