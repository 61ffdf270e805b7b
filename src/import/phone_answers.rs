//! Answers that come back from a phone: read and judged, nothing taken in yet.
//!
//! What comes from outside is not trusted: size, version, home, every word and every number are
//! looked at, and an event that cannot be right is set aside alone, with a finding; the others
//! are read. A pattern that this home does not know is no mistake: its deck may be on another
//! device.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use serde::Deserialize;

use super::message::{AnswersFound, answers_in};
use crate::base::{Day, Finding, text};
use crate::game::Serve;
use crate::journal::{Fact, PHONE_FORMAT};

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
    /// A fact for the journal.
    Fact(Fact),
    /// An earlier event of a phone is taken back.
    Undo { of: String },
    /// A serve was scouted that the deck does not hold.
    Scouted {
        /// The deck's key; none for an opponent who is new.
        deck: Option<String>,
        opponent: String,
        /// The serve; its id is still to be found.
        serve: Box<Serve>,
    },
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
    fact: serde_json::Value,
}

#[derive(Deserialize)]
struct RawScouted {
    #[serde(default)]
    deck: Option<String>,
    opponent: String,
    serve: Serve,
}

/// Reads the answers of a phone for the home with this key on this day.
///
/// # Errors
/// Findings when the text as a whole cannot be read: too large, not ours, cut off, newer, of
/// another home.
pub fn read_answers(given: &str, home: &str, today: Day) -> Result<PhoneAnswers, Vec<Finding>> {
    let again = "save the file once more on the phone, or copy the text whole";
    let given = match answers_in(given) {
        AnswersFound::Whole(text) => text,
        AnswersFound::CutOff => return refuse("the answers are cut off", again),
        AnswersFound::Headless => {
            return refuse("the beginning of the answers is missing", again);
        }
        AnswersFound::Empty => return refuse("there is nothing in it", again),
        AnswersFound::Nothing => {
            return refuse(
                "there are no answers of a phone in it",
                "give the file the page saved, or paste its text whole",
            );
        }
    };
    let unread = |error: serde_json::Error| {
        let what = format!("the answers cannot be read: {}", plain(&error));
        vec![Finding::error(what).hint(again)]
    };
    // First what every form has: a newer one may differ in all the rest.
    let head: AnswersHead = serde_json::from_str(&given).map_err(unread)?;
    if head.secondball != "phone" {
        return refuse("these are not the answers of a phone", "give the file the page saved");
    }
    if head.format > PHONE_FORMAT {
        let newest = format!("which reads up to {PHONE_FORMAT}");
        return refuse(
            format!("format {} is newer than this program, {newest}", head.format),
            "use a newer secondball; nothing was changed",
        );
    }
    let body: Body = serde_json::from_str(&given).map_err(unread)?;
    if body.home != home {
        return refuse(
            format!("these answers belong to another home, `{}`", short(&body.home)),
            format!("this one is `{home}`; name the other with `--home DIR`"),
        );
    }
    if body.count != body.events.len() || body.events.len() > MOST_EVENTS {
        return refuse(
            format!("of {}, {} came", text::count(body.count, "event"), body.events.len()),
            again,
        );
    }
    Ok(judge(body, today))
}

fn refuse<T>(what: impl Into<String>, hint: impl Into<String>) -> Result<T, Vec<Finding>> {
    Err(vec![Finding::error(what).hint(hint)])
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

fn judge(body: Body, today: Day) -> PhoneAnswers {
    let mut raws = body.events;
    raws.sort_by(|a, b| (&a.sitting, a.n).cmp(&(&b.sitting, b.n)));
    let mut seen: BTreeMap<String, (i64, serde_json::Value)> = BTreeMap::new();
    let mut events = Vec::new();
    let mut aside: Vec<String> = Vec::new();
    for raw in raws {
        let origin = format!("{}/{}", raw.sitting, raw.n);
        if let Some((at, fact)) = seen.get(&origin) {
            if *at != raw.at || *fact != raw.fact {
                aside.push(format!("event {}: its number stands on another one", short(&origin)));
            }
            continue;
        }
        match one(&raw, &origin, today) {
            Ok(event) => {
                seen.insert(origin, (raw.at, raw.fact));
                events.push(event);
            }
            Err(why) => aside.push(format!("event {}: {why}", short(&origin))),
        }
    }
    let more = aside.len().saturating_sub(TOLD);
    let mut findings: Vec<Finding> = aside
        .into_iter()
        .take(TOLD)
        .map(|what| Finding::warning(format!("{what}; set aside")))
        .collect();
    if more > 0 {
        findings
            .push(Finding::warning(format!("{} more are set aside", text::count(more, "event"))));
    }
    PhoneAnswers { events, findings }
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
    if let Some(length) = longest(&raw.fact).filter(|&length| length > LONGEST_TEXT) {
        return Err(format!("a text of {length} characters; {LONGEST_TEXT} at most"));
    }
    let news = news(&raw.fact)?;
    Ok(PhoneEvent { origin: origin.to_owned(), at_ms: raw.at, day: raw.day, news })
}

/// The longest text inside a value, characters.
fn longest(value: &serde_json::Value) -> Option<usize> {
    match value {
        serde_json::Value::String(text) => Some(text.chars().count()),
        serde_json::Value::Array(items) => items.iter().filter_map(longest).max(),
        serde_json::Value::Object(fields) => {
            fields.iter().filter_map(|(name, value)| longest(value).max(Some(name.len()))).max()
        }
        _ => None,
    }
}

fn news(value: &serde_json::Value) -> Result<PhoneNews, String> {
    if value.get("k").and_then(|kind| kind.as_str()) == Some("scouted") {
        let raw: RawScouted =
            serde_json::from_value(value.clone()).map_err(|error| plain(&error))?;
        let opponent = text::one_line(&raw.opponent);
        if raw.deck.is_none() && opponent.is_empty() {
            return Err("a serve of nobody".to_owned());
        }
        return Ok(PhoneNews::Scouted { deck: raw.deck, opponent, serve: Box::new(raw.serve) });
    }
    let fact: Fact = serde_json::from_value(value.clone()).map_err(|error| plain(&error))?;
    let refused = match &fact {
        Fact::Undo { of } => {
            return Ok(PhoneNews::Undo { of: format!("{}/{}", of.device, of.n) });
        }
        Fact::Answer(answer) => {
            let longest_ms = answer.ms.max(answer.window).max(answer.motor);
            (longest_ms > LONGEST_MS).then(|| "an answer that took longer than a day".to_owned())
        }
        Fact::Ball(ball) => {
            let balls = u64::from(ball.made) + u64::from(ball.missed) + u64::from(ball.wrong);
            (!TIMES.contains(&balls)).then(|| format!("{balls} balls at once"))
        }
        Fact::Seen(seen) => (!TIMES.contains(&u64::from(seen.times)))
            .then(|| format!("a serve seen {} times", seen.times)),
        Fact::Debrief(_) => None,
        Fact::Point(_) | Fact::Forget { .. } => {
            Some("a phone does not send events of this kind".to_owned())
        }
    };
    refused.map_or(Ok(PhoneNews::Fact(fact)), Err)
}
