//! Whether the answers are ready, in words: the same on the first screen, the day and the progress;
//! and the first screen itself.

use minijinja::context;
use minijinja::value::{Serde as Filled, Value};

use crate::agenda::{Agenda, AnswerStands, Goal, NextThing, PatternPart, READY_PERMILLE};
use crate::base::text;
use crate::memory::Standing;
use crate::page::next::{answer_called, command, next_words};
use crate::page::text_page::filled_text;

/// Lines of what is not ready.
const MOST_LINES: usize = 3;
/// Answers named in one of them.
const MOST_NAMED: usize = 2;
pub(super) const TEMPLATE: &str = include_str!("templates/ready.txt");

/// `Ready for 3 of 4 serves and 1 of 2 switches`; none without an answer. Each answer by its deck,
/// its part and how it stands.
pub(super) fn ready_for<'a>(
    answers: impl Iterator<Item = (&'a str, &'a PatternPart, Standing)>,
) -> Option<String> {
    let (mut serves, mut switches) = ((0, 0), std::collections::BTreeMap::new());
    for (deck, part, standing) in answers {
        let is_ready = standing == Standing::Ready;
        match part {
            PatternPart::Plan => {
                serves = (serves.0 + usize::from(is_ready), serves.1 + 1);
            }
            PatternPart::Switch(_) => *switches.entry((deck, part)).or_insert(true) &= is_ready,
        }
    }
    let ready = switches.values().filter(|is_ready| **is_ready).count();
    let of_switches = match switches.len() {
        0 => String::new(),
        1 if ready == 1 => " and the switch".to_owned(),
        1 => ", not for the switch".to_owned(),
        all => format!(" and {ready} of {all} switches"),
    };
    let of_serves = match serves {
        (_, 0) => return None,
        (ready, all) if ready == all => format!("all {all} serves"),
        (ready, all) => format!("{ready} of {all} serves"),
    };
    Some(format!("Ready for {of_serves}{of_switches}"))
}

/// Why an answer is not ready.
fn why_not(agenda: &Agenda, answer: &AnswerStands) -> Option<String> {
    let speed = agenda.speeds.iter().find(|speed| speed.deck == answer.deck);
    let why = match (answer.standing, answer.wrong_lately, &agenda.outlook) {
        (Standing::Ready, ..) => return None,
        (Standing::Untried, ..) => "never drilled".to_owned(),
        (_, Some((wrong, of)), _) => format!("wrong {wrong} of the last {of}"),
        (Standing::Slow, ..) => match speed {
            // It was asked before that speed was reached, and not since.
            Some(speed) if speed.last.permille <= READY_PERMILLE => {
                "not asked at match speed yet".to_owned()
            }
            Some(speed) => format!("too slow: {} times match time", times(speed.last.permille)),
            None => "too slow".to_owned(),
        },
        (_, _, Goal::Event(ahead)) => {
            format!("gone by {}", ahead.day.spoken())
        }
        _ => "fading".to_owned(),
    };
    Some(why)
}

/// Thousandths of match time in times of it.
pub(super) fn times(permille: u32) -> String {
    format!("{:.1}", f64::from(permille) / 1000.0)
}

/// The line that says for how many serves the answers are ready, and what is not, put together by
/// the reason, in so many lines at most.
pub(super) fn ready(agenda: &Agenda, lines: usize) -> Value {
    let answers = || agenda.answers.iter();
    let says = ready_for(answers().map(|it| (it.deck.as_str(), &it.part, it.standing)));
    let is_one = answers().all(|it| it.deck == agenda.answers[0].deck);
    let mut open: Vec<(String, Vec<String>)> = Vec::new();
    for answer in answers() {
        let Some(why) = why_not(agenda, answer) else { continue };
        let called = answer_called(&answer.called, &answer.part);
        let opponent = text::one_line(&answer.opponent);
        let called = if is_one { called } else { format!("{called} of {opponent}") };
        match open.iter_mut().find(|(known, _)| *known == why) {
            Some((_, named)) if named.contains(&called) => {}
            Some((_, named)) => named.push(called),
            None => open.push((why, vec![called])),
        }
    }
    // What was wrong comes first, what was never tried last.
    let place = |why: &str| {
        ["wrong", "too slow", "not asked", "gone"].iter().position(|it| why.starts_with(it))
    };
    open.sort_by_key(|(why, _)| place(why).unwrap_or(usize::MAX));
    let named = |(why, mut named): (String, Vec<String>)| {
        let more = named.len().saturating_sub(MOST_NAMED);
        named.truncate(MOST_NAMED);
        named.extend((more > 0).then(|| format!("{more} more")));
        format!("{}: {why}", text::and_list(&named))
    };
    let open: Vec<String> = open.into_iter().take(lines.max(1)).map(named).collect();
    context! { says => Filled(says), open => Filled(open) }
}

/// The first screen: the event, what is ready, what the points call for, the next thing.
pub fn first_screen(
    agenda: &Agenda,
    event_today: Option<&str>,
    due: &[String],
    waits: Option<&str>,
    next: &NextThing,
    width: usize,
) -> String {
    let first = agenda.answers.first().map(|answer| answer.opponent.as_str());
    let only = first.filter(|first| agenda.answers.iter().all(|it| it.opponent == **first));
    let against =
        only.map(|name| format!(", against {}", text::one_line(name))).unwrap_or_default();
    let heading = match (&agenda.outlook, event_today) {
        (_, Some(name)) => format!("{} is today{against}.", text::one_line(name)),
        (Goal::Event(ahead), _) => {
            let (name, days) =
                (text::one_line(&ahead.name), text::count(ahead.days as usize, "day"));
            format!("{name}, {}, in {days}{against}.", ahead.day.spoken())
        }
        (Goal::Target(_), None) => format!("No event ahead{against}."),
    };
    let document = context! {
        heading,
        lines => ready(agenda, MOST_LINES - usize::from(!due.is_empty())),
        due => Filled(due),
        waits => Filled(waits),
        next => next_words(next),
        command => command(&next.todo()),
    };
    filled_text(&format!("{TEMPLATE}{}", include_str!("templates/stand.txt")), &document, width)
}
