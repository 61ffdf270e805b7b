//! The lines of a journal: a header with version and device, then one event a line, JSON that a
//! person can read.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use xxhash_rust::xxh3::xxh3_64;

use crate::base::{Day, OutOfBounds};
use crate::journal::bounds::{judge_fact, judge_head};
use crate::journal::{Event, EventId, Fact};

/// The version of the lines; older ones are read for ever, newer ones refused.
pub const FORMAT: u32 = 1;

/// What stands before the checksum that ends a line: eight digits, a quote and a bracket.
const SUM: &[u8] = b",\"sum\":\"";

/// The checksum of a line's content: damage passes once in 2^32.
fn sum(content: &[u8]) -> u32 {
    (xxh3_64(content) >> 32) as u32
}

/// A line without its last bracket and its checksum.
struct Content<'l> {
    text: &'l [u8],
    sum: u32,
    /// Whether the line has a checksum, which it then fits: those of earlier versions have none.
    is_protected: bool,
}

fn content(line: &[u8]) -> Result<Content<'_>, LineError> {
    let Some(open) = line.strip_suffix(b"}") else {
        let error = serde_json::from_slice::<serde_json::Map<_, _>>(line).err();
        return Err(error.map_or(LineError::Torn, LineError::from));
    };
    let (text, end) = open.split_at(open.len().saturating_sub(SUM.len() + 9));
    let Some(given) = end.strip_prefix(SUM) else {
        return Ok(Content { text: open, sum: sum(open), is_protected: false });
    };
    let given = str::from_utf8(given).ok().and_then(|given| given.strip_suffix('"'));
    let given = given.and_then(|given| u32::from_str_radix(given, 16).ok());
    let sum = sum(text);
    if given != Some(sum) {
        return Err(LineError::Damaged);
    }
    Ok(Content { text, sum, is_protected: true })
}

/// The first line of a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Header {
    /// What the file is: always `journal`.
    pub secondball: String,
    /// The version of its lines.
    pub format: u32,
    /// The device whose events these are.
    pub device: String,
}

impl Header {
    /// The header of a device's file.
    pub fn for_device(device: &str) -> Self {
        Self { secondball: "journal".to_owned(), format: FORMAT, device: device.to_owned() }
    }

    /// The header as a line, with its newline.
    ///
    /// # Errors
    /// [`LineError`] for a header that JSON cannot hold.
    pub fn line(&self) -> Result<String, LineError> {
        to_line(self)
    }

    /// Reads the first line of a file.
    ///
    /// # Errors
    /// [`LineError`] when it is no header, or of a newer format, whatever else that one holds.
    pub fn read(line: &[u8]) -> Result<Self, LineError> {
        #[derive(Deserialize)]
        struct Version {
            secondball: String,
            format: u32,
        }
        let content = content(line).map_err(|_| LineError::NoHeader)?;
        let line = &[content.text, b"}"].concat();
        let version: Version = serde_json::from_slice(line).map_err(|_| LineError::NoHeader)?;
        if version.secondball != "journal" {
            return Err(LineError::NoHeader);
        }
        if version.format > FORMAT {
            return Err(LineError::Newer { format: version.format });
        }
        serde_json::from_slice(line).map_err(|_| LineError::NoHeader)
    }
}

/// A line that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LineError {
    /// The first line is not a header.
    #[error("the first line is not the header of a journal")]
    NoHeader,
    /// The file was written by a newer program.
    #[error("format {format} is newer than this program, which reads up to {FORMAT}")]
    Newer {
        /// The format found.
        format: u32,
    },
    /// The line ends before its end.
    #[error("this line was cut off")]
    Torn,
    /// The line has a checksum, and it is that of another.
    #[error("this line is not as it was written: its checksum does not fit")]
    Damaged,
    /// The line is no event.
    #[error("this line is not an event: {why}")]
    NotAnEvent {
        /// What the reader said.
        why: String,
    },
}

impl From<OutOfBounds> for LineError {
    fn from(error: OutOfBounds) -> Self {
        Self::NotAnEvent { why: error.to_string() }
    }
}

impl From<serde_json::Error> for LineError {
    fn from(error: serde_json::Error) -> Self {
        if error.is_eof() {
            return Self::Torn;
        }
        let why = error.to_string();
        let why = why.rsplit_once(" at line ").map_or(why.as_str(), |(why, _)| why).to_owned();
        Self::NotAnEvent { why }
    }
}

/// What a line says besides its fact: enough to put it in order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Head<'l> {
    /// Its number on its device.
    pub n: u64,
    /// Milliseconds since 1970-01-01 UTC.
    #[serde(rename = "at")]
    pub at_ms: i64,
    /// The player's day.
    pub day: Day,
    /// Where it came from, when it was not written on its device.
    #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
    pub origin: Option<Cow<'l, str>>,
    /// The kind of fact: `answer`. Written with the fact itself.
    #[serde(borrow, rename = "k", skip_serializing)]
    pub kind: Cow<'l, str>,
    /// The hash of its line.
    #[serde(skip)]
    pub sum: u32,
    /// Whether its line has a checksum.
    #[serde(skip)]
    pub is_protected: bool,
}

/// An event as a line, with its newline. The device stands in the header.
///
/// # Errors
/// [`LineError`] for an event that would not be read again.
pub fn write_line(event: &Event) -> Result<String, LineError> {
    #[derive(Serialize)]
    struct Written<'e> {
        #[serde(flatten)]
        head: Head<'e>,
        #[serde(flatten)]
        fact: &'e Fact,
    }
    judge_head(event.id.n, event.at_ms, event.day)?;
    judge_fact(&event.fact)?;
    let head = Head {
        n: event.id.n,
        at_ms: event.at_ms,
        day: event.day,
        origin: event.origin.as_deref().map(Cow::Borrowed),
        kind: Cow::Borrowed(""),
        sum: 0,
        is_protected: true,
    };
    to_line(&Written { head, fact: &event.fact })
}

fn to_line(value: &impl Serialize) -> Result<String, LineError> {
    let mut line = serde_json::to_string(value)?;
    line.pop();
    let sum = sum(line.as_bytes());
    Ok(line + &format!(",\"sum\":\"{sum:08x}\"}}\n"))
}

/// The line that keeps the number of one that was deleted, so that nobody takes it for lost.
///
/// # Errors
/// As [`write_line`].
pub fn write_gone(head: &Head<'_>) -> Result<String, LineError> {
    let Head { n, at_ms, day, .. } = head;
    to_line(&serde_json::json!({ "n": n, "at": at_ms, "day": day, "k": "gone" }))
}

/// The head of a line, its newline left out.
///
/// # Errors
/// [`LineError`] when the line is cut off, no event, or has a number that cannot be.
pub fn read_head(line: &[u8]) -> Result<Head<'_>, LineError> {
    let Content { text, sum, is_protected } = content(line)?;
    let head = match peek(text) {
        Some((head, _)) => head,
        None => serde_json::from_slice(line)?,
    };
    judge_head(head.n, head.at_ms, head.day)?;
    Ok(Head { sum, is_protected, ..head })
}

/// The head of an answer whose content is written as [`write_line`] does, and its other fields, not
/// looked at. Nearly all lines are such, and reading one whole takes ten times as long.
fn peek(content: &[u8]) -> Option<(Head<'static>, &str)> {
    let line = std::str::from_utf8(content).ok()?;
    let (n, line) = line.strip_prefix("{\"n\":")?.split_once(',')?;
    let (at_ms, line) = line.strip_prefix("\"at\":")?.split_once(',')?;
    let (day, line) = line.strip_prefix("\"day\":\"")?.split_once('"')?;
    let fields = line.strip_prefix(",\"k\":\"answer\",")?;
    let (n, at_ms, day) = (n.parse().ok()?, at_ms.parse().ok()?, day.parse().ok()?);
    let (origin, kind) = (None, Cow::Borrowed("answer"));
    Some((Head { n, at_ms, day, origin, kind, sum: 0, is_protected: false }, fields))
}

/// The event of a line, its newline left out.
///
/// # Errors
/// As [`read_head`]; a field that nobody knows, or that stands there twice.
pub fn read_line(device: &str, line: &[u8]) -> Result<Event, LineError> {
    #[derive(Deserialize)]
    struct Whole {
        n: u64,
        #[serde(rename = "at")]
        at_ms: i64,
        day: Day,
        origin: Option<String>,
        #[serde(flatten)]
        fact: Fact,
    }
    // An enumeration told apart by a field takes serde three times as long. Where anything is wrong
    // with a plain answer, the whole line is read for the reason.
    let Content { text, .. } = content(line)?;
    let plain = peek(text).and_then(|(head, fields)| {
        let answer = serde_json::from_str(&["{", fields, "}"].concat()).ok()?;
        let Head { n, at_ms, day, .. } = head;
        Some(Whole { n, at_ms, day, origin: None, fact: Fact::Answer(answer) })
    });
    let whole = || Ok::<_, LineError>(serde_json::from_slice(&[text, b"}"].concat())?);
    let Whole { n, at_ms, day, origin, fact } = plain.map_or_else(whole, Ok)?;
    judge_head(n, at_ms, day)?;
    judge_fact(&fact)?;
    Ok(Event { id: EventId { device: device.to_owned(), n }, at_ms, day, origin, fact })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::ReceiveKey;
    use crate::journal::{Answer, How, Input};

    fn answer() -> Event {
        Event {
            id: EventId { device: "d1".to_owned(), n: 123_456 },
            at_ms: 1_764_064_243_123,
            day: "2026-11-25".parse().unwrap(),
            origin: None,
            fact: Fact::Answer(Answer {
                deck: "k7f3q2".to_owned(),
                serve: "bh-short-fh".parse().unwrap(),
                right: ReceiveKey::from_journal("forehand push early to middle short"),
                given: None,
                how: How::Snap,
                ms: 612,
                window: 700,
                motor: 210,
                tempo: 0,
                input: Input::Keys,
                shown: false,
                is_let: false,
                cut: None,
                switch: None,
            }),
        }
    }

    #[test]
    fn the_line_of_an_answer_is_frozen() {
        let line = write_line(&answer()).unwrap();
        let (content, sum) = line.split_at(line.len() - 19);
        assert_eq!(sum, format!(",\"sum\":\"{:08x}\"}}\n", super::sum(content.as_bytes())));
        assert_eq!(
            content,
            "{\"n\":123456,\"at\":1764064243123,\"day\":\"2026-11-25\",\"k\":\"answer\",\
             \"deck\":\"k7f3q2\",\"serve\":\"bh-short-fh\",\
             \"right\":\"forehand push early to middle short\",\
             \"ms\":612,\"window\":700,\"motor\":210"
        );
    }

    #[test]
    fn every_kind_of_answer_is_read_as_it_was_written() {
        let mut event = answer();
        let variants: [fn(&mut Answer); 6] = [
            |_| {},
            |answer| answer.given = Some("backhand block".to_owned()),
            |answer| answer.given = Some("a \"word\" \u{e9}\n".to_owned()),
            |answer| answer.how = How::Think,
            |answer| answer.input = Input::Tap,
            |answer| answer.is_let = true,
        ];
        for vary in variants {
            if let Fact::Answer(answer) = &mut event.fact {
                vary(answer);
            }
            let line = write_line(&event).unwrap();
            let line = line.trim_end().as_bytes();
            assert_eq!(read_line("d1", line).unwrap(), event);
            let head = read_head(line).unwrap();
            let Content { text, sum, is_protected } = content(line).unwrap();
            let peeked = peek(text).map(|(head, _)| Head { sum, is_protected, ..head });
            assert_eq!(peeked.as_ref(), Some(&head));
            assert_eq!((head.n, head.at_ms, head.day), (123_456, event.at_ms, event.day));
            assert_eq!((&*head.kind, head.origin), ("answer", None));
        }
    }

    #[test]
    fn every_shorter_piece_of_a_line_is_torn_or_no_event() {
        let line = write_line(&answer()).unwrap();
        let line = line.trim_end().as_bytes();
        for length in 0..line.len() {
            assert_eq!(read_line("d1", &line[..length]), Err(LineError::Torn), "{length}");
            assert!(read_head(&line[..length]).is_err(), "{length}");
            assert!(content(&line[..length]).is_err(), "{length}");
        }
    }

    #[test]
    fn a_newer_journal_is_refused_by_its_number() {
        let line = Header { format: 2, ..Header::for_device("d1") }.line().unwrap();
        assert_eq!(Header::read(line.trim_end().as_bytes()), Err(LineError::Newer { format: 2 }));
        let quoted = Header::for_device("d\"1");
        assert_eq!(Header::read(quoted.line().unwrap().trim_end().as_bytes()), Ok(quoted));
    }
}
