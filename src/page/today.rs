//! The day: the list, the days ahead, the forecast; as text and as JSON.

use serde::Serialize;

use crate::agenda::{Agenda, Eve, Goal, ListNote, PatternPart};
use crate::base::text;
use crate::page::bar::bar;
use crate::page::next::{command, slip_words};

/// Patterns listed before the rest is only counted.
const LISTED: usize = 12;

/// The day, `width` columns wide; `due` are the changes the points call for.
pub fn today_text(agenda: &Agenda, due: &[String], width: usize) -> String {
    let mut lines = vec![outlook_line(agenda)];
    for change in due {
        lines.push(text::wrap(&format!("Change due by the points: {change}"), width, "  "));
    }
    let has_patterns = agenda.standing.iter().sum::<usize>() > 0;
    if !has_patterns {
        lines.push(String::new());
        lines.push("No forecast: nobody who may be met there has a receive planned.".to_owned());
    } else if let Goal::Event(ahead) = &agenda.outlook {
        lines.push(String::new());
        lines.push("Expected to be answered right at the event".to_owned());
        for (words, share) in [
            ("if you stop here", ahead.without),
            ("without today's list", ahead.without_today),
            ("with every list until then", ahead.with_all),
        ] {
            lines.push(format!("  {words:<27} {:>4.0} %  {}", share * 100.0, bar(share, None)));
        }
        lines.push(format!("  give or take {:.0} % on the day", ahead.spread * 100.0));
    }
    let [untried, shaky, firm] = agenda.standing;
    lines.push(String::new());
    lines.push(format!("Answers: {firm} firm, {shaky} shaky, {untried} untried"));
    lines.push(String::new());
    list(&mut lines, agenda, width);
    if let Some(eve) = &agenda.eve {
        lines.push(String::new());
        evening(&mut lines, eve, width);
    }
    let asks_for_something = !agenda.list.is_empty() || agenda.days.iter().any(|d| d.answers > 0);
    if asks_for_something && !agenda.days.is_empty() {
        lines.push(String::new());
        lines.push("Days ahead, in answers".to_owned());
        for week in agenda.days.chunks(7) {
            let days: Vec<_> = week.iter().map(|day| format!("{:>11}", day.day.spoken())).collect();
            let counts: Vec<_> = week
                .iter()
                .map(|day| if day.is_off { "off".to_owned() } else { day.answers.to_string() })
                .map(|count| format!("{count:>10}"))
                .collect();
            lines.push(days.concat());
            lines.push(counts.concat());
        }
    }
    for note in &agenda.notes {
        lines.push(String::new());
        lines.push(text::wrap(&format!("Note: {}.", note_words(note)), width, "      "));
    }
    let mut page = lines.join("\n");
    page.push('\n');
    page
}

fn outlook_line(agenda: &Agenda) -> String {
    match &agenda.outlook {
        Goal::Event(ahead) => format!(
            "{}   {} in {}, {}",
            agenda.today.spoken(),
            text::one_line(&ahead.name),
            text::count(usize::try_from(ahead.days).unwrap_or(0), "day"),
            ahead.day.spoken()
        ),
        Goal::Target(target) => {
            format!(
                "{}   no event ahead; recall kept at {:.0} %",
                agenda.today.spoken(),
                target * 100.0
            )
        }
    }
}

/// What the player should know about the list.
pub fn note_words(note: &ListNote) -> String {
    match note {
        ListNote::DayOff => "today is a day off".to_owned(),
        ListNote::NothingNew { untried, days } => format!(
            "{} never drilled; with {} left nothing new is begun unless you ask for it",
            text::count(*untried, "pattern"),
            text::count(*days, "day"),
        ),
        ListNote::EventToday => "the event is today: read the sheet once, then play".to_owned(),
        ListNote::NoEvent { example } => format!(
            "no event ahead: recall is kept above the target; add one with \
             `secondball today --event \"Autumn open={example}\"`"
        ),
    }
}

/// The agenda with its notes in words.
#[derive(Serialize)]
struct AgendaDocument<'a> {
    #[serde(flatten)]
    agenda: &'a Agenda,
    notes: Vec<String>,
}

/// The day as JSON.
pub fn today_json(agenda: &Agenda) -> String {
    let notes = agenda.notes.iter().map(note_words).collect();
    crate::page::json(&AgendaDocument { agenda, notes })
}

fn list(lines: &mut Vec<String>, agenda: &Agenda, width: usize) {
    if agenda.list.is_empty() {
        lines.push("Nothing to answer today.".to_owned());
        for slip in &agenda.slips {
            let once_more = command(&slip.todo());
            let said = format!("Not known yet: {}. Once more: `{once_more}`", slip_words(slip));
            lines.push(text::wrap(&said, width, "  "));
        }
        let [untried, shaky, _] = agenda.standing;
        if agenda.slips.is_empty() && untried == 0 && shaky > 0 {
            lines.push("What is shaky gets firm with another day, not with more today.".to_owned());
        }
        return;
    }
    lines.push(format!(
        "Today: {}, about {:.0} min",
        text::count(agenda.list.len(), "pattern"),
        agenda.minutes.ceil().max(1.0)
    ));
    let serve_width =
        agenda.list.iter().map(|due| text::width(&due.serve)).max().unwrap_or(0).min(20);
    for due in agenda.list.iter().take(LISTED) {
        let lead = format!(
            "  {}  {}  ",
            text::fit(&due.serve, serve_width),
            text::fit(due.standing.word(), 7)
        );
        let mut words = due.receive.clone();
        if let PatternPart::Switch(name) = &due.part {
            words = format!("switch `{}`: {words}", text::one_line(name));
        }
        let room = width.saturating_sub(text::width(&lead)).max(10);
        lines.push(format!("{lead}{}", text::fit(&words, room).trim_end()));
    }
    if agenda.list.len() > LISTED {
        lines.push(format!("  and {} more", agenda.list.len() - LISTED));
    }
}

fn evening(lines: &mut Vec<String>, eve: &Eve, width: usize) {
    lines.push("The evening before: at most this, ending on something that works".to_owned());
    for due in &eve.serves {
        lines.push(text::wrap(
            &format!("  {}, {}: {}", text::one_line(&due.opponent), due.serve, due.receive),
            width,
            "    ",
        ));
    }
    for (opponent, switch) in &eve.switches {
        lines.push(text::wrap(
            &format!(
                "  {}: think the switch `{}` through once, then the plan once more",
                text::one_line(opponent),
                text::one_line(switch)
            ),
            width,
            "    ",
        ));
    }
}
