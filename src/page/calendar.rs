//! The days ahead as an iCalendar file (RFC 5545).
//!
//! All-day entries, whose end is the day after (it is exclusive, section 3.6.1): one for each day
//! that asks for answers, one for the event. Their identifiers depend only on the day and the
//! event, so importing a newer file moves entries instead of doubling them. The tests have the
//! crate `icalendar` read what is written here.

use crate::agenda::{Agenda, Goal};
use crate::base::{Day, Moment, text};

/// Octets a line may have without its break (section 3.1).
const LONGEST_LINE: usize = 75;

/// The calendar of this agenda; `now` is the time stamp every entry must carry.
pub fn calendar(agenda: &Agenda, now: Moment) -> String {
    let mut file = File::default();
    file.line("BEGIN", "VCALENDAR");
    file.line("VERSION", "2.0");
    file.line("PRODID", "-//secondball//receive preparation//EN");
    file.line("CALSCALE", "GREGORIAN");
    let today = crate::agenda::DayLoad {
        day: agenda.today,
        answers: agenda.list.len(),
        is_off: agenda.is_off,
    };
    for day in std::iter::once(&today).chain(&agenda.days).filter(|day| day.answers > 0) {
        file.entry(&CalendarEntry {
            name: "drill",
            day: day.day,
            summary: &format!("Receives: {}", text::count(day.answers, "answer")),
            description: "secondball drill",
            now,
        });
    }
    if let Goal::Event(ahead) = &agenda.outlook {
        file.entry(&CalendarEntry {
            name: &text::file_stem(&ahead.name),
            day: ahead.day,
            summary: &text::one_line(&ahead.name),
            description: "Print the sheet the evening before: secondball sheet",
            now,
        });
    }
    file.line("END", "VCALENDAR");
    file.text
}

/// Something on one day.
struct CalendarEntry<'t> {
    /// What it is, for its identifier.
    name: &'t str,
    day: Day,
    summary: &'t str,
    description: &'t str,
    now: Moment,
}

#[derive(Default)]
struct File {
    text: String,
}

impl File {
    fn entry(&mut self, entry: &CalendarEntry<'_>) {
        let date = |day: Day| day.date().format("%Y%m%d").to_string();
        self.line("BEGIN", "VEVENT");
        self.line("UID", &format!("{}-{}@secondball", entry.day, entry.name));
        let stamp = entry.now.clock().to_utc();
        self.line("DTSTAMP", &stamp.format("%Y%m%dT%H%M%SZ").to_string());
        self.line("DTSTART;VALUE=DATE", &date(entry.day));
        self.line("DTEND;VALUE=DATE", &date(entry.day.plus(1)));
        self.line("SUMMARY", &escaped(entry.summary));
        self.line("DESCRIPTION", &escaped(entry.description));
        self.line("END", "VEVENT");
    }

    /// A line, folded where it is too long: the rest goes on behind a space (section 3.1).
    fn line(&mut self, name: &str, value: &str) {
        let mut octets = 0;
        for letter in name.chars().chain([':']).chain(value.chars()) {
            if octets + letter.len_utf8() > LONGEST_LINE {
                self.text.push_str("\r\n ");
                octets = 1;
            }
            self.text.push(letter);
            octets += letter.len_utf8();
        }
        self.text.push_str("\r\n");
    }
}

/// A text as a value (section 3.3.11); the texts given here have no line breaks.
fn escaped(text: &str) -> String {
    text.replace('\\', "\\\\").replace(';', "\\;").replace(',', "\\,")
}

#[cfg(test)]
mod tests {
    use icalendar::{Calendar, CalendarComponent, Component, DatePerhapsTime};

    use super::*;

    #[test]
    fn another_program_reads_back_the_day_and_every_letter_of_a_long_name() {
        let name = "Invented open, the 40th; Übungshalle 老虎 with \\ and a name longer than one line of a file "
            .repeat(3);
        let (day, now): (Day, Moment) =
            ("2026-12-05".parse().unwrap(), "2026-11-28T20:15:00+01:00".parse().unwrap());
        let mut file = File::default();
        file.line("BEGIN", "VCALENDAR");
        file.entry(&CalendarEntry {
            name: "open",
            day,
            summary: &name,
            description: "no; yes",
            now,
        });
        file.line("END", "VCALENDAR");
        let longest = file.text.split("\r\n").map(str::len).max();
        assert!(longest.is_some_and(|octets| (70..=75).contains(&octets)), "{}", file.text);
        let read: Calendar = file.text.parse().unwrap();
        let [CalendarComponent::Event(event)] = read.components.as_slice() else {
            panic!("one event: {read:?}");
        };
        assert_eq!(event.get_summary(), Some(name.as_str()));
        assert_eq!(event.get_description(), Some("no; yes"));
        assert_eq!(event.get_uid(), Some("2026-12-05-open@secondball"));
        assert_eq!(event.get_start(), Some(DatePerhapsTime::Date(day.date())));
        assert_eq!(event.get_end(), Some(DatePerhapsTime::Date(day.plus(1).date())));
        let stamp = event.get_timestamp().unwrap();
        assert_eq!(stamp.to_rfc3339(), "2026-11-28T19:15:00+00:00");
    }
}
