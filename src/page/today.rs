//! The day: the list, the days ahead, the forecast, as text. As JSON the agenda itself is printed.

use minijinja::context;
use minijinja::value::Serde as Filled;
use serde::{Serialize, Serializer};

use crate::agenda::{Agenda, Goal, ListNote, NextThing, OpponentSpeed};
use crate::base::text;
use crate::memory::NINE_IN_TEN;
use crate::page::drill::day_before;
use crate::page::next::{answer_called, command, next_words, unready_words};
use crate::page::ready::{TEMPLATE, ready, times};
use crate::page::text_page::filled_text;
use crate::tactics::verdict::Lesson;

/// Lines of what is not ready, of changes due and of the table together.
const OPEN_LINES: usize = 3;
/// Answers of a day that are named.
const NAMED: usize = 4;

/// The day, `width` columns wide; `due` are the changes the points call for, `minutes` those of a
/// day. With the reasons where they are asked for.
pub fn today_text(
    agenda: &Agenda,
    due: &[String],
    next: &NextThing,
    minutes: f64,
    is_why: bool,
    width: usize,
) -> String {
    let event = match &agenda.outlook {
        Goal::Event(ahead) => Some(ahead),
        Goal::Target(_) => None,
    };
    let widest = agenda.list.iter().map(|due| text::width(&due.called)).max();
    let serve_width = widest.unwrap_or(0).min(20);
    let extra = usize::from(!due.is_empty()) + usize::from(!agenda.unready.is_empty());
    let mut named: Vec<String> = Vec::new();
    for due in &agenda.list {
        let called = answer_called(&due.called, &due.part);
        named.extend((!named.contains(&called)).then_some(called));
    }
    let more = named.len().saturating_sub(NAMED);
    named.truncate(NAMED);
    named.extend((more > 0).then(|| format!("{more} more")));
    let speed = |speed: &OpponentSpeed| {
        let whose = if agenda.speeds.len() > 1 {
            format!(" against {}", text::one_line(&speed.opponent))
        } else {
            String::new()
        };
        let before = speed.before.map(|before| {
            format!(", {} {}", day_before(before.day, agenda.today), times(before.permille))
        });
        format!(
            "Speed{whose} {} times match time{}.",
            times(speed.last.permille),
            before.unwrap_or_default()
        )
    };
    let document = context! {
        lines => ready(agenda, OPEN_LINES - extra),
        speeds => agenda.speeds.iter().take(2).map(speed).collect::<Vec<_>>(),
        unready => Filled(agenda.unready.first().map(unready_words)),
        named => text::and_list(&named),
        notes => agenda.notes.iter().map(note_words).collect::<Vec<_>>(),
        next => next_words(next),
        command => command(&next.todo()),
        is_match_day => agenda.notes.contains(&ListNote::EventToday),
        is_why,
        agenda => Filled(agenda),
        event => Filled(event),
        give_or_take => event.map(|event| NINE_IN_TEN * event.spread),
        due => Filled(due),
        minutes => format!("{:.0}", minutes.ceil().max(1.0)),
        serve_width,
        // What is left beside the serve and its standing.
        room => width.saturating_sub(serve_width + 13).max(10),
    };
    filled_text(&format!("{TEMPLATE}{}", include_str!("templates/today.txt")), &document, width)
}

/// What the player should know about the list.
pub fn note_words(note: &ListNote) -> String {
    match note {
        ListNote::DayOff => "Today is a day off.".to_owned(),
        ListNote::EventToday => "The event is today: read the sheet once, then play.".to_owned(),
        ListNote::NoEvent { example } => {
            format!("Your next event: secondball today --event \"Autumn open={example}\"")
        }
    }
}

/// In a document a note stands in words.
impl Serialize for ListNote {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&note_words(self))
    }
}

/// A change that is due by the points, against the opponent of the deck with this file stem, who is
/// named where there are several.
pub fn change_due(opponent: Option<&str>, stem: &str, lesson: &Lesson) -> String {
    let what = match lesson.due_switch() {
        Some(name) => format!("make the switch \"{}\"", text::one_line(name)),
        None => "prepare another answer".to_owned(),
    };
    let whose = opponent.map(|name| format!(", {}", text::one_line(name))).unwrap_or_default();
    format!("By the points{whose}: {what} (secondball plan advise {stem}).")
}
