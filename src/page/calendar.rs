//! The days ahead as an iCalendar file (RFC 5545).
//!
//! All-day entries, whose end is the day after (it is exclusive, section 3.6.1): one for each day
//! that asks for answers, one for the event. Their identifiers depend only on the day and the
//! event, so importing a newer file moves entries instead of doubling them. The tests have the
//! crate `icalendar` read what is written here.

use serde_json::{Value, json};

use crate::agenda::{Agenda, Goal};
use crate::base::{Day, Moment, text};
use crate::page::text_page::filled_lines;

/// Octets a line may have without its break (section 3.1).
const LONGEST_LINE: usize = 75;

/// The calendar of this agenda; `now` is the time stamp every entry must carry.
pub fn calendar(agenda: &Agenda, now: Moment) -> String {
    let ahead = agenda.days.iter().map(|load| (load.day, load.answers));
    let days = std::iter::once((agenda.today, agenda.list.len())).chain(ahead);
    let drill = |(day, answers)| {
        let summary = format!("Receives: {}", text::count(answers, "answer"));
        entry("drill", day, &summary, "secondball drill")
    };
    let mut entries: Vec<Value> = days.filter(|(_, answers)| *answers > 0).map(drill).collect();
    if let Goal::Event(ahead) = &agenda.outlook {
        let (name, summary) = (text::file_stem(&ahead.name), text::one_line(&ahead.name));
        let sheet = "Print the sheet the evening before: secondball sheet";
        entries.push(entry(&name, ahead.day, &summary, sheet));
    }
    file(&entries, now)
}

/// Something on one day; its name is for its identifier.
fn entry(name: &str, day: Day, summary: &str, description: &str) -> Value {
    let date = |day: Day| day.date().format("%Y%m%d").to_string();
    json!({
        "uid": format!("{day}-{name}@secondball"),
        "start": date(day),
        "end": date(day.plus(1)),
        "summary": escaped(summary),
        "description": escaped(description),
    })
}

fn file(entries: &[Value], now: Moment) -> String {
    let stamp = now.clock().to_utc().format("%Y%m%dT%H%M%SZ").to_string();
    let document = json!({ "entries": entries, "stamp": stamp });
    filled_lines(include_str!("templates/calendar.ics"), &document).lines().map(folded).collect()
}

/// A line, folded where it is too long: the rest goes on behind a space (section 3.1).
fn folded(line: &str) -> String {
    let (mut folded, mut octets) = (String::new(), 0);
    for letter in line.chars() {
        if octets + letter.len_utf8() > LONGEST_LINE {
            folded.push_str("\r\n ");
            octets = 1;
        }
        folded.push(letter);
        octets += letter.len_utf8();
    }
    folded + "\r\n"
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
        let file = file(&[entry("open", day, &name, "no; yes")], now);
        let longest = file.split("\r\n").map(str::len).max();
        assert!(longest.is_some_and(|octets| (70..=75).contains(&octets)), "{file}");
        let read: Calendar = file.parse().unwrap();
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
