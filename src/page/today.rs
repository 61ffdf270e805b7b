//! The day: the list, the days ahead, the forecast, as text. As JSON the agenda itself is printed.

use minijinja::context;
use minijinja::value::Serde as Filled;
use serde::{Serialize, Serializer};

use crate::agenda::{Agenda, Goal, ListNote};
use crate::base::text;
use crate::page::drill::day_before;
use crate::page::next::{command, slip_words, unready_words};
use crate::page::text_page::filled_text;
use crate::tactics::verdict::Lesson;

/// Answers not ready at the table that are named.
const UNREADY: usize = 3;

/// The day, `width` columns wide; `due` are the changes the points call for.
pub fn today_text(agenda: &Agenda, due: &[String], width: usize) -> String {
    let event = match &agenda.outlook {
        Goal::Event(ahead) => Some(ahead),
        Goal::Target(_) => None,
    };
    let widest = agenda.list.iter().map(|due| text::width(&due.serve)).max();
    let serve_width = widest.unwrap_or(0).min(20);
    let slip = |slip| (slip_words(slip), command(&slip.todo()));
    let unready = agenda.unready.iter().take(UNREADY).map(unready_words);
    let speeds = agenda.speeds.iter().map(|speed| {
        let before = speed.before.map(|before| (day_before(before.day, agenda.today), before));
        let (on, before) = before.map_or((None, None), |(on, at)| (Some(on), Some(at.permille)));
        (&speed.opponent, speed.last.permille, on, before)
    });
    let document = context! {
        speeds => Filled(speeds.collect::<Vec<_>>()),
        unready => unready.collect::<Vec<_>>(),
        agenda => Filled(agenda),
        event => Filled(event),
        due => Filled(due),
        minutes => format!("{:.0}", agenda.minutes.ceil().max(1.0)),
        serve_width,
        // What is left beside the serve and its standing.
        room => width.saturating_sub(serve_width + 13).max(10),
        slips => Filled(agenda.slips.iter().map(slip).collect::<Vec<_>>()),
    };
    filled_text(include_str!("templates/today.txt"), &document, width)
}

/// What the player should know about the list.
pub fn note_words(note: &ListNote) -> String {
    match note {
        ListNote::DayOff => "today is a day off".to_owned(),
        ListNote::EventToday => "the event is today: read the sheet once, then play".to_owned(),
        ListNote::NoEvent { example } => format!(
            "no event ahead: recall is kept above the target; add one with \
             `secondball today --event \"Autumn open={example}\"`"
        ),
    }
}

/// In a document a note stands in words.
impl Serialize for ListNote {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&note_words(self))
    }
}

/// A change that is due by the points, against the opponent of the deck with this file stem.
pub fn change_due(opponent: &str, stem: &str, lesson: &Lesson) -> String {
    let what = match lesson.due_switch() {
        Some(name) => format!("make the switch \"{}\"", text::one_line(name)),
        None => "prepare another answer".to_owned(),
    };
    let (opponent, serve) = (text::one_line(opponent), &lesson.serve);
    format!("{opponent}, {serve}: {what}; see `secondball plan advise {stem}`")
}
