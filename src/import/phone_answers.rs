//! Answers that come back from a phone: read and judged, nothing taken in yet.
//!
//! What comes from outside is not trusted: size, version, home, every word and every number are
//! looked at, and an event that cannot be right is set aside alone, with a finding; the others
//! are read. A pattern that this home does not know is no mistake: its deck may be on another
//! device.

use std::ops::RangeInclusive;

use serde::Deserialize;
use serde_json::Value;

use super::message::{AGAIN, answers_in, refused};
use crate::base::{Day, Finding, text};
use crate::game::Serve;
use crate::journal::{Fact, PHONE_FORMAT, judge_fact, judge_head};

/// The most events of one file.
const MOST_EVENTS: usize = 50_000;
/// The longest text inside an event, characters.
const LONGEST_TEXT: usize = 2000;
/// The longest time an answer can take, milliseconds.
const LONGEST_MS: u32 = 24 * 60 * 60 * 1000;
/// Days an event can lie back.
const OLDEST_DAYS: i64 = 2 * 366;
/// How often a ball can be played, or a serve seen, in one event.
const TIMES: RangeInclusive<u64> = 1..=10_000;
/// Findings told one by one before the rest is only counted.
const TOLD: usize = 10;

/// What a file of answers holds.
#[derive(Debug, Clone, PartialEq)]
pub struct PhoneAnswers {
    /// The events that can be right, in the order of sitting and number.
    pub events: Vec<PhoneEvent>,
    /// What was set aside.
    pub findings: Vec<Finding>,
}

/// One event of a phone.
#[derive(Debug, Clone, PartialEq)]
pub struct PhoneEvent {
    /// Where it comes from: the phone's sitting and its number there, `k3f9x2mw/12`.
    pub origin: String,
    /// Milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
    pub day: Day,
    pub news: PhoneNews,
}

/// What an event of a phone says.
#[derive(Debug, Clone, PartialEq)]
pub enum PhoneNews {
    /// A fact for the journal; one that takes back names an event of a phone.
    Fact(Fact),
    /// A serve was scouted that the deck does not hold.
    Scouted(Box<PhoneServe>),
}

/// A serve scouted on a phone.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct PhoneServe {
    /// The deck's key; none for an opponent who is new.
    pub deck: Option<String>,
    pub opponent: String,
    /// The serve; its id is still to be found.
    pub serve: Serve,
}

#[derive(Deserialize)]
struct AnswersHead {
    secondball: String,
    format: u32,
}

#[derive(Deserialize)]
struct Body {
    home: String,
    count: usize,
    events: Vec<Raw>,
}

#[derive(Deserialize)]
struct Raw {
    sitting: String,
    n: u64,
    at: i64,
    day: Day,
    fact: Value,
}

/// Reads the answers of a phone for the home with this key on this day.
///
/// # Errors
/// Findings when the text as a whole cannot be read: too large, not ours, cut off, newer, of
/// another home.
pub fn read_answers(given: &str, home: &str, today: Day) -> Result<PhoneAnswers, Vec<Finding>> {
    let given = answers_in(given)?;
    let unread = |error: serde_json::Error| {
        refused(format!("the answers cannot be read: {}", plain(&error)), AGAIN)
    };
    // First what every form has: a newer one may differ in all the rest.
    let head: AnswersHead = serde_json::from_str(&given).map_err(unread)?;
    if head.secondball != "phone" {
        let hint = "give the file the page saved";
        return Err(refused("these are not the answers of a phone", hint));
    }
    if head.format > PHONE_FORMAT {
        let newest = format!("which reads up to {PHONE_FORMAT}");
        return Err(refused(
            format!("format {} is newer than this program, {newest}", head.format),
            "use a newer secondball; nothing was changed",
        ));
    }
    let Body { home: own, count, events } = serde_json::from_str(&given).map_err(unread)?;
    if own != home {
        return Err(refused(
            format!("these answers belong to another home, `{}`", short(&own)),
            format!("this one is `{home}`; name the other with `--home DIR`"),
        ));
    }
    if count != events.len() || events.len() > MOST_EVENTS {
        let came = format!("of {}, {} came", text::count(count, "event"), events.len());
        return Err(refused(came, AGAIN));
    }
    Ok(judge(events, today))
}

/// An error of the reader without its place, which says nothing to a person.
fn plain(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.rsplit_once(" at line ").map_or(text.as_str(), |(what, _)| what).to_owned()
}

/// A name from outside, short enough for a message.
fn short(name: &str) -> String {
    text::fit(&text::one_line(name), 20).trim_end().to_owned()
}

fn judge(mut raws: Vec<Raw>, today: Day) -> PhoneAnswers {
    raws.sort_by(|a, b| (&a.sitting, a.n).cmp(&(&b.sitting, b.n)));
    let mut events: Vec<PhoneEvent> = Vec::new();
    let mut aside: Vec<String> = Vec::new();
    // What was taken last: the same event twice stands side by side.
    let mut last: Option<Raw> = None;
    for raw in raws {
        let origin = format!("{}/{}", raw.sitting, raw.n);
        if let Some(last) =
            last.as_ref().filter(|last| (&last.sitting, last.n) == (&raw.sitting, raw.n))
        {
            if (last.at, &last.fact) != (raw.at, &raw.fact) {
                aside.push(format!("event {}: its number stands on another one", short(&origin)));
            }
            continue;
        }
        match one(&raw, &origin, today) {
            Ok(event) => {
                events.push(event);
                last = Some(raw);
            }
            Err(why) => aside.push(format!("event {}: {why}", short(&origin))),
        }
    }
    let told = aside.iter().take(TOLD).map(|what| format!("{what}; set aside"));
    let more = aside.len().saturating_sub(TOLD);
    let rest = (more > 0).then(|| format!("{} more are set aside", text::count(more, "event")));
    PhoneAnswers { findings: told.chain(rest).map(Finding::warning).collect(), events }
}

fn one(raw: &Raw, origin: &str, today: Day) -> Result<PhoneEvent, String> {
    let is_word = (1..=24).contains(&raw.sitting.len())
        && raw.sitting.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit());
    if !is_word || raw.n == 0 {
        return Err("it has no number of a phone".to_owned());
    }
    let ago = today.days_since(raw.day);
    if ago < -1 {
        return Err(format!("its day {} is still to come", raw.day));
    }
    if ago > OLDEST_DAYS || raw.at <= 0 {
        return Err(format!("its day {} is too long ago", raw.day));
    }
    let length = longest(&raw.fact);
    if length > LONGEST_TEXT {
        return Err(format!("a text of {length} characters; {LONGEST_TEXT} at most"));
    }
    let news = news(&raw.fact)?;
    // What no line of a journal may hold is set aside here, alone.
    judge_head(raw.n, raw.at, raw.day).map_err(|out| out.to_string())?;
    if let PhoneNews::Fact(fact) = &news {
        judge_fact(fact).map_err(|out| out.to_string())?;
    }
    Ok(PhoneEvent { origin: origin.to_owned(), at_ms: raw.at, day: raw.day, news })
}

/// The longest text inside a value, characters.
fn longest(value: &Value) -> usize {
    match value {
        Value::String(text) => text.chars().count(),
        Value::Array(items) => items.iter().map(longest).max().unwrap_or_default(),
        Value::Object(fields) => {
            let of_field = |(name, value): (&String, &Value)| longest(value).max(name.len());
            fields.iter().map(of_field).max().unwrap_or_default()
        }
        _ => 0,
    }
}

fn news(value: &Value) -> Result<PhoneNews, String> {
    if value["k"] == "scouted" {
        let mut scouted = PhoneServe::deserialize(value).map_err(|error| plain(&error))?;
        scouted.opponent = text::one_line(&scouted.opponent);
        if scouted.deck.is_none() && scouted.opponent.is_empty() {
            return Err("a serve of nobody".to_owned());
        }
        return Ok(PhoneNews::Scouted(Box::new(scouted)));
    }
    let fact = Fact::deserialize(value).map_err(|error| plain(&error))?;
    match &fact {
        Fact::Answer(answer) if answer.ms.max(answer.window).max(answer.motor) > LONGEST_MS => {
            Err("an answer that took longer than a day".to_owned())
        }
        Fact::Ball(ball) => {
            let balls = u64::from(ball.made) + u64::from(ball.missed) + u64::from(ball.wrong);
            in_range(balls).map_err(|balls| format!("{balls} balls at once"))
        }
        Fact::Seen(seen) => {
            in_range(seen.times.into()).map_err(|times| format!("a serve seen {times} times"))
        }
        Fact::Point(_) | Fact::Forget { .. } => {
            Err("a phone does not send events of this kind".to_owned())
        }
        Fact::Answer(_) | Fact::Debrief(_) | Fact::Undo { .. } => Ok(()),
    }?;
    Ok(PhoneNews::Fact(fact))
}

fn in_range(times: u64) -> Result<(), u64> {
    if TIMES.contains(&times) { Ok(()) } else { Err(times) }
}
