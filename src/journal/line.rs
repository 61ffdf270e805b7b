//! The lines of a journal: a header with version and device, then one event a line.
//!
//! Lines are JSON and readable by a person. There may be a million of them, so the line of an answer as
//! this program writes it is taken apart by hand with borrowed text; every other line, and an answer
//! that some other program has rewritten, goes through `serde_json`. Both readings of a line agree;
//! a test holds them together.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::base::Day;
use crate::game::{ReceiveKey, ServeId};
use crate::journal::{Answer, Event, EventId, Fact, How, Input};

/// The version of the lines; older ones are read for ever, newer ones refused.
pub const FORMAT: u32 = 1;

/// The first line of a file.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
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
    pub fn of(device: &str) -> Self {
        Self { secondball: "journal".to_owned(), format: FORMAT, device: device.to_owned() }
    }

    /// The header as a line, with its newline.
    pub fn line(&self) -> String {
        format!(
            "{{\"secondball\":{},\"format\":{},\"device\":{}}}\n",
            quoted(&self.secondball),
            self.format,
            quoted(&self.device)
        )
    }

    /// Reads the first line of a file.
    ///
    /// # Errors
    /// [`LineError`] when it is no header, or of a newer format.
    pub fn read(line: &[u8]) -> Result<Self, LineError> {
        #[derive(Deserialize)]
        struct Version {
            secondball: String,
            format: u32,
        }
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

fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
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
    /// The line is no event.
    #[error("this line is not an event: {why}")]
    NotAnEvent {
        /// What the reader said.
        why: String,
    },
}

/// What the order of events needs to know of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Head<'l> {
    /// Its number on its device.
    pub n: u64,
    /// Milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
    /// The player's day.
    pub day: Day,
    /// The kind of fact: `answer`.
    pub kind: &'l str,
}

#[derive(Deserialize)]
struct Common<'l> {
    n: u64,
    at: i64,
    day: Day,
    #[serde(borrow, default)]
    origin: Option<Cow<'l, str>>,
}

#[derive(Deserialize)]
struct Kind<'l> {
    #[serde(borrow)]
    k: Cow<'l, str>,
}

#[derive(Serialize)]
struct Written<'e> {
    n: u64,
    at: i64,
    day: Day,
    #[serde(skip_serializing_if = "Option::is_none")]
    origin: Option<&'e str>,
    #[serde(flatten)]
    fact: &'e Fact,
}

/// An event as a line, with its newline. The device stands in the header.
///
/// # Errors
/// [`LineError`] for an event that JSON cannot hold.
pub fn write_line(event: &Event) -> Result<String, LineError> {
    let written = Written {
        n: event.id.n,
        at: event.at_ms,
        day: event.day,
        origin: event.origin.as_deref(),
        fact: &event.fact,
    };
    let mut line = serde_json::to_string(&written)
        .map_err(|error| LineError::NotAnEvent { why: error.to_string() })?;
    line.push('\n');
    Ok(line)
}

/// The event of a line, its newline left out.
///
/// # Errors
/// [`LineError`] when the line is cut off or no event.
pub fn read_line(device: &str, line: &[u8]) -> Result<Event, LineError> {
    let mut event = Event::blank();
    read_line_into(device, line, &mut event)?;
    Ok(event)
}

/// The event of a line in the place of another, whose texts are written over: a million answers need no memory each.
/// After an error the event holds nothing that is meant.
///
/// # Errors
/// As [`read_line`].
pub fn read_line_into(device: &str, line: &[u8], event: &mut Event) -> Result<(), LineError> {
    if read_answer(device, line, event).is_none() {
        *event = read_any(device, line)?;
    }
    Ok(())
}

/// Any line, through `serde_json`.
fn read_any(device: &str, line: &[u8]) -> Result<Event, LineError> {
    let common: Common<'_> = serde_json::from_slice(line).map_err(|error| wrong(&error))?;
    let fact: Fact = serde_json::from_slice(line).map_err(|error| wrong(&error))?;
    Ok(Event {
        id: EventId { device: device.to_owned(), n: common.n },
        at_ms: common.at,
        day: common.day,
        origin: common.origin.map(Cow::into_owned),
        fact,
    })
}

fn wrong(error: &serde_json::Error) -> LineError {
    if error.is_eof() {
        return LineError::Torn;
    }
    let why = error.to_string();
    let why = why.rsplit_once(" at line ").map_or(why.as_str(), |(why, _)| why).to_owned();
    LineError::NotAnEvent { why }
}

/// The head of a line: by hand when this program wrote it, else through `serde_json`.
///
/// # Errors
/// [`LineError`] when the line is cut off or no event.
pub fn read_head(line: &[u8]) -> Result<(u64, i64, Day, Cow<'_, str>), LineError> {
    if line.last() == Some(&b'}')
        && let Some((head, _)) = Cursor(line).head()
    {
        return Ok((head.n, head.at_ms, head.day, Cow::Borrowed(head.kind)));
    }
    let common: Common<'_> = serde_json::from_slice(line).map_err(|error| wrong(&error))?;
    let kind: Kind<'_> = serde_json::from_slice(line).map_err(|error| wrong(&error))?;
    Ok((common.n, common.at, common.day, kind.k))
}

/// What is left of a line.
#[derive(Clone, Copy)]
struct Cursor<'l>(&'l [u8]);

impl<'l> Cursor<'l> {
    fn take<const N: usize>(&mut self, expected: &[u8; N]) -> Option<()> {
        let (given, rest) = self.0.split_first_chunk()?;
        if given != expected {
            return None;
        }
        self.0 = rest;
        Some(())
    }

    fn number(&mut self) -> Option<u64> {
        let length = self.0.iter().take_while(|byte| byte.is_ascii_digit()).count();
        // Nineteen digits always fit.
        if length == 0 || length > 19 || (length > 1 && self.0[0] == b'0') {
            return None;
        }
        let (digits, rest) = self.0.split_at(length);
        self.0 = rest;
        Some(digits.iter().fold(0, |value, digit| value * 10 + u64::from(digit - b'0')))
    }

    fn small(&mut self) -> Option<u32> {
        self.number()?.try_into().ok()
    }

    /// A text without escapes.
    fn text(&mut self) -> Option<&'l str> {
        self.take(b"\"")?;
        let length =
            self.0.iter().position(|&byte| byte == b'"' || byte == b'\\' || byte < 0x20)?;
        let (text, rest) = self.0.split_at(length);
        self.0 = rest;
        self.take(b"\"")?;
        std::str::from_utf8(text).ok()
    }

    /// The parts that every line begins with, as this program writes them, and what follows.
    fn head(mut self) -> Option<(Head<'l>, Self)> {
        self.take(b"{\"n\":")?;
        let n = self.number()?;
        self.take(b",\"at\":")?;
        let at_ms = self.number()?.try_into().ok()?;
        self.take(b",\"day\":")?;
        let day = day(self.text()?)?;
        self.take(b",\"k\":")?;
        let kind = self.text()?;
        Some((Head { n, at_ms, day, kind }, self))
    }
}

/// `2026-11-25`, without the general reader of dates.
fn day(text: &str) -> Option<Day> {
    let bytes: &[u8; 10] = text.as_bytes().try_into().ok()?;
    let part = |range: std::ops::Range<usize>| {
        bytes[range].iter().try_fold(0_u32, |value, byte| {
            byte.is_ascii_digit().then(|| value * 10 + u32::from(byte - b'0'))
        })
    };
    if bytes[4] != b'-' || bytes[7] != b'-' {
        return None;
    }
    Day::from_ymd(part(0..4)?.try_into().ok()?, part(5..7)?, part(8..10)?)
}

/// An answer exactly as this program writes it, over the event that stood there; nothing for any other line.
fn read_answer(device: &str, line: &[u8], event: &mut Event) -> Option<()> {
    let (head, mut rest) = Cursor(line).head()?;
    if head.kind != "answer" {
        return None;
    }
    rest.take(b",\"deck\":")?;
    let deck = rest.text()?;
    rest.take(b",\"serve\":")?;
    let serve = rest.text()?;
    rest.take(b",\"right\":")?;
    let right = rest.text()?;
    let given = match rest.take(b",\"given\":") {
        Some(()) => Some(rest.text()?),
        None => None,
    };
    let how = match rest.take(b",\"how\":") {
        Some(()) => word(rest.text()?, How::ALL, How::word)?,
        None => How::Snap,
    };
    rest.take(b",\"ms\":")?;
    let ms = rest.small()?;
    rest.take(b",\"window\":")?;
    let window = rest.small()?;
    rest.take(b",\"motor\":")?;
    let motor = rest.small()?;
    let input = match rest.take(b",\"input\":") {
        Some(()) => word(rest.text()?, Input::ALL, Input::word)?,
        None => Input::Keys,
    };
    let is_let = rest.take(b",\"let\":true").is_some();
    rest.take(b"}")?;
    if !rest.0.is_empty() {
        return None;
    }
    let was = std::mem::replace(&mut event.fact, Event::blank().fact);
    let was = if let Fact::Answer(answer) = was {
        [answer.deck, answer.serve.into(), answer.right.into(), answer.given.unwrap_or_default()]
    } else {
        Default::default()
    };
    let [was_deck, was_serve, was_right, was_given] = was;
    event.fact = Fact::Answer(Answer {
        deck: over(was_deck, deck),
        serve: ServeId::try_from(over(was_serve, serve)).ok()?,
        right: ReceiveKey::from_journal(over(was_right, right)),
        given: given.map(|given| over(was_given, given)),
        how,
        ms,
        window,
        motor,
        input,
        is_let,
        switch: None,
    });
    event.id.n = head.n;
    event.id.device = over(std::mem::take(&mut event.id.device), device);
    (event.at_ms, event.day, event.origin) = (head.at_ms, head.day, None);
    Some(())
}

/// A text in the place of another.
fn over(mut was: String, text: &str) -> String {
    was.clear();
    was.push_str(text);
    was
}

/// The exact word of a vocabulary.
fn word<W: Copy>(given: &str, all: &[W], word: impl Fn(W) -> &'static str) -> Option<W> {
    all.iter().copied().find(|known| word(*known) == given)
}

#[cfg(test)]
mod tests {
    use super::*;

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
                input: Input::Keys,
                is_let: false,
                switch: None,
            }),
        }
    }

    #[test]
    fn the_line_of_an_answer_is_frozen() {
        let line = write_line(&answer()).unwrap();
        assert_eq!(
            line,
            "{\"n\":123456,\"at\":1764064243123,\"day\":\"2026-11-25\",\"k\":\"answer\",\
             \"deck\":\"k7f3q2\",\"serve\":\"bh-short-fh\",\
             \"right\":\"forehand push early to middle short\",\
             \"ms\":612,\"window\":700,\"motor\":210}\n"
        );
    }

    #[test]
    fn the_quick_and_the_general_reader_agree() {
        let mut event = answer();
        let mut place = Event::blank();
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
            assert_eq!(read_any("d1", line).unwrap(), event);
            assert_eq!(read_line("d1", line).unwrap(), event);
            // What stood there before leaves no trace.
            read_line_into("d1", line, &mut place).unwrap();
            assert_eq!(place, event);
            if !line.contains(&b'\\') {
                let mut quick = Event::blank();
                assert_eq!(read_answer("d1", line, &mut quick), Some(()));
                assert_eq!(quick, event);
            }
            let (n, at_ms, day, kind) = read_head(line).unwrap();
            assert_eq!((n, at_ms, day, &*kind), (123_456, event.at_ms, event.day, "answer"));
        }
    }

    #[test]
    fn every_shorter_piece_of_a_line_is_torn_or_no_event() {
        let line = write_line(&answer()).unwrap();
        let line = line.trim_end().as_bytes();
        for length in 0..line.len() {
            assert_eq!(read_line("d1", &line[..length]), Err(LineError::Torn), "{length}");
            assert!(read_head(&line[..length]).is_err(), "{length}");
        }
    }

    #[test]
    fn a_newer_journal_is_refused_by_its_number() {
        let line = Header { format: 2, ..Header::of("d1") }.line();
        assert_eq!(Header::read(line.as_bytes()), Err(LineError::Newer { format: 2 }));
        assert_eq!(Header::read(Header::of("d\"1").line().as_bytes()), Ok(Header::of("d\"1")));
    }
}
