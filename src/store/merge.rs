//! The journal of a home as one stream: every device's file, each event once, in the order of day,
//! instant and id, with what was taken back or forgotten left out.
//!
//! A million events do not fit in memory as values, so the files are gone through twice: first the
//! head of every line, which gives the order; then the events themselves, one at a time, in that
//! order. Which file comes first, and how often a line is repeated, changes nothing.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::Path;

use rayon::prelude::*;

use crate::base::finding::Place;
use crate::base::{Day, Finding, text};
use crate::journal::{Event, EventId, Fact, Head, LineError, read_line};
use crate::store::Trouble;
use crate::store::lines::LineReader;
use crate::store::sources::{Source, sources};

/// Events read at the same time: enough for every core, and little memory.
const BATCH: usize = 4096;

/// Where an event stands and what orders it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct EventMark {
    pub day: Day,
    /// Milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
    /// The device, by the place of its first file among the sources.
    pub device: usize,
    /// Its number there.
    pub n: u64,
    /// The file, by its place among the sources.
    pub source: usize,
    /// First byte of its line.
    pub offset: u64,
    /// Whether its line has a checksum.
    pub is_protected: bool,
}

/// Something that a line of a file gave.
#[derive(Debug, Clone)]
pub(super) struct AtLine<T> {
    pub source: usize,
    /// First byte of the line.
    pub offset: u64,
    pub value: T,
}

impl<T> AtLine<T> {
    /// From the part of a file that is not read again.
    const fn at_start(value: T) -> Self {
        Self { source: 0, offset: 0, value }
    }
}

/// An event that was read, or what is said of its line.
type ReadMark = (EventMark, Result<Event, AtLine<Finding>>);

/// When a deck was forgotten, as events are ordered.
pub(super) type Instant = (Day, i64, EventId);

/// What has been read before: where to go on in each file, and what came before that.
#[derive(Debug, Default)]
pub(super) struct Begin {
    /// By the name of the file; others are read from their header on.
    pub offsets: BTreeMap<String, u64>,
    /// Lines that take back or forget.
    pub special: Vec<Event>,
    /// What was set aside.
    pub findings: Vec<Finding>,
}

/// The order of all events.
#[derive(Debug, Default)]
pub(super) struct Merge {
    /// The files, by their devices in alphabetical order.
    pub sources: Vec<Source>,
    /// Every event, in order; those taken back or forgotten are passed over by [`Merge::each`].
    pub marks: Vec<EventMark>,
    /// Events of days to come.
    pub set_aside: Vec<EventMark>,
    /// Lines that are no events of their own, but have a number.
    pub others: Vec<EventMark>,
    /// Every line that takes back or forgets.
    pub special: Vec<AtLine<Event>>,
    /// Events taken back.
    pub undone: BTreeSet<EventId>,
    /// Decks forgotten, and when.
    pub forgotten: BTreeMap<String, Instant>,
    /// What was set aside, and why.
    pub findings: Vec<AtLine<Finding>>,
}

impl Merge {
    /// Goes through every file once. Events on a later day than `last` are set aside.
    ///
    /// # Errors
    /// The machine's own trouble; a file of a newer format.
    pub fn scan(folder: &Path, last: Option<Day>, begin: Begin) -> Result<Self, Trouble> {
        let mut merge = Self { sources: sources(folder)?, ..Self::default() };
        merge.sources.sort_by(|one, other| one.device.cmp(&other.device));
        merge.special = begin.special.into_iter().map(AtLine::at_start).collect();
        merge.findings = begin.findings.into_iter().map(AtLine::at_start).collect();
        for number in 0..merge.sources.len() {
            let offset = begin.offsets.get(&merge.sources[number].shown).copied();
            merge.read_heads(number, offset.unwrap_or_default())?;
        }
        merge.set_aside_future(last);
        let may_repeat = !merge.marks.is_sorted_by(|a, b| (a.device, a.n) < (b.device, b.n));
        // Each file is mostly in order, and the stable sort merges what it finds in order.
        merge.marks.sort();
        if may_repeat {
            merge.drop_repeated()?;
        }
        merge.judge_special();
        Ok(merge)
    }

    /// What was set aside, file by file and line by line.
    pub fn told(self) -> Vec<Finding> {
        let mut findings: Vec<_> = self.findings.into_iter().map(|found| found.value).collect();
        findings.extend(self.sources.into_iter().filter_map(|source| source.finding));
        findings.sort_by(|a, b| a.place.cmp(&b.place));
        findings
    }

    /// Notes what every line of a file from a byte on begins with.
    fn read_heads(&mut self, number: usize, start: u64) -> Result<(), Trouble> {
        let mut source = self.sources[number].clone();
        let name = source.device.clone();
        let device = self.sources.partition_point(|source| source.device < name);
        source.each_head(start, |offset, line, head| {
            let special = head.and_then(|head| {
                let Head { day, at_ms, n, is_protected, .. } = head;
                let source = number;
                let mark = EventMark { day, at_ms, device, n, source, offset, is_protected };
                let is_special = matches!(&*head.kind, "undo" | "forget");
                if is_special || head.kind == "gone" {
                    self.others.push(mark);
                } else {
                    self.marks.push(mark);
                }
                is_special.then(|| read_line(&name, line)).transpose()
            });
            match special {
                Ok(special) => {
                    let placed = |value| AtLine { source: number, offset, value };
                    self.special.extend(special.map(placed));
                }
                Err(error) => self.findings.push(self.refused(number, offset, line, &error)),
            }
        })?;
        self.sources[number] = source;
        Ok(())
    }

    /// What is said of a line that is left out.
    fn refused(
        &self,
        source: usize,
        offset: u64,
        line: &[u8],
        error: &LineError,
    ) -> AtLine<Finding> {
        let hint = match error {
            LineError::Torn => "writing stopped in the middle of it; nothing else is lost",
            LineError::Damaged => {
                "the line is left out; an older copy of the file, put beside it in journal/ under \
                 another name, is read too and may still have it"
            }
            _ => "the line is left out; all others count",
        };
        self.at_line(source, offset, line, error.to_string(), hint)
    }

    /// What is said of a line.
    pub fn at_line(
        &self,
        source: usize,
        offset: u64,
        line: &[u8],
        what: String,
        hint: &str,
    ) -> AtLine<Finding> {
        let shown = text::fit(&text::one_line(&String::from_utf8_lossy(line)), 72);
        let Source { path, shown: file, .. } = &self.sources[source];
        let place = Place {
            file: file.clone(),
            at: Some((line_number(path, offset), 1)),
            line_text: Some(shown.trim_end().to_owned()),
            length: 1,
        };
        let value = Finding::warning(what).at(place).hint(hint);
        AtLine { source, offset, value }
    }

    /// Sets events of days to come aside: a clock was wrong when they were written.
    fn set_aside_future(&mut self, last: Option<Day>) {
        let Some(last) = last else { return };
        self.set_aside = self.marks.extract_if(.., |mark| mark.day > last).collect();
        for (number, source) in self.sources.iter().enumerate() {
            let late = || self.set_aside.iter().filter(|mark| mark.source == number);
            let Some(day) = late().map(|mark| mark.day).max() else { continue };
            let events = text::count(late().count(), "event");
            let value =
                Finding::warning(format!("{events} set aside: later than tomorrow, up to {day}"))
                    .at(Place::file(source.shown.clone()))
                    .hint("a clock was wrong then, or is now; they count when their day comes");
            self.findings.push(AtLine { source: number, offset: source.end, value });
        }
    }

    /// Leaves out lines that repeat an event; tells of one id with two contents and keeps both.
    fn drop_repeated(&mut self) -> Result<(), Trouble> {
        let mut by_id = self.marks.clone();
        by_id.sort_by_key(|mark| (mark.device, mark.n));
        let mut files = self.open()?;
        let mut repeated = BTreeSet::new();
        let same_id = |a: &EventMark, b: &EventMark| (a.device, a.n) == (b.device, b.n);
        for group in by_id.chunk_by(same_id).filter(|group| group.len() > 1) {
            let mut contents: Vec<(Event, EventMark)> = Vec::new();
            for &mark in group {
                let mut line = Vec::new();
                self.read_text(&mut files, mark, &mut line)?;
                let Ok(event) = self.event(mark, line.trim_ascii_end()) else { continue };
                if contents.iter().any(|(known, _)| *known == event) {
                    repeated.insert(mark);
                } else {
                    contents.push((event, mark));
                }
            }
            if let [(_, first), (_, second), ..] = contents[..] {
                self.tell_clash(first, second);
            }
        }
        self.marks.retain(|mark| !repeated.contains(mark));
        Ok(())
    }

    fn tell_clash(&mut self, first: EventMark, second: EventMark) {
        let [one, other] = [first, second].map(|mark| {
            let source = &self.sources[mark.source];
            format!("{}:{}", source.shown, line_number(&source.path, mark.offset))
        });
        let value = Finding::warning(format!(
            "event {} of device {} stands at {one} and, with other content, at {other}; both count",
            first.n,
            self.device(first),
        ))
        .at(Place::file(self.sources[second.source].shown.clone()))
        .hint("a home was copied or restored while the other went on; nothing is lost");
        self.findings.push(AtLine { source: second.source, offset: second.offset, value });
    }

    /// What was taken back and what was forgotten.
    fn judge_special(&mut self) {
        let key = |event: &Event| (event.day, event.at_ms, event.id.clone());
        self.special.sort_by_key(|special| key(&special.value));
        // From the last to the first: taking back a taking back lets the event stand.
        for event in self.special.iter().rev().map(|special| &special.value) {
            if self.undone.contains(&event.id) {
                continue;
            }
            match &event.fact {
                Fact::Undo { of } => {
                    self.undone.insert(of.clone());
                }
                Fact::Forget { deck } => {
                    let instant = self.forgotten.entry(deck.clone()).or_insert_with(|| key(event));
                    *instant = key(event).max(instant.clone());
                }
                _ => {}
            }
        }
    }

    /// Every event that counts, in order, one at a time.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn each(&mut self, mut step: impl FnMut(EventMark, Event) + Send) -> Result<(), Trouble> {
        let mut files = self.open()?;
        let mut refused = Vec::new();
        let mut read = Vec::new();
        // Lines are read on all cores while the events of the batch before are taken in; the last
        // batch is empty.
        for marks in self.marks.chunks(BATCH).chain([[].as_slice()]) {
            let take = || {
                for (mark, event) in std::mem::take(&mut read) {
                    match event {
                        Ok(event) if self.is_forgotten(&event) => {}
                        Ok(event) => step(mark, event),
                        Err(finding) => refused.push(finding),
                    }
                }
            };
            let (next, ()) = rayon::join(|| self.read_batch(&mut files, marks), take);
            read = next?;
        }
        self.findings.extend(refused);
        Ok(())
    }

    /// The events of these marks but those taken back, each read or why not.
    fn read_batch(
        &self,
        files: &mut [LineReader],
        marks: &[EventMark],
    ) -> Result<Vec<ReadMark>, Trouble> {
        let mut text = Vec::new();
        let mut lines = Vec::with_capacity(marks.len());
        for &mark in marks.iter().filter(|mark| !self.is_undone(mark)) {
            let start = text.len();
            self.read_text(files, mark, &mut text)?;
            lines.push((mark, start..text.len()));
        }
        let read = |(mark, span): (EventMark, std::ops::Range<usize>)| {
            let line = text[span].trim_ascii_end();
            let event = self.event(mark, line);
            (mark, event.map_err(|error| self.refused(mark.source, mark.offset, line, &error)))
        };
        Ok(lines.into_par_iter().map(read).collect())
    }

    fn is_undone(&self, mark: &EventMark) -> bool {
        !self.undone.is_empty() && self.undone.contains(&self.id(mark))
    }

    /// True when its deck was forgotten after this event.
    fn is_forgotten(&self, event: &Event) -> bool {
        let forgotten = event.fact.deck().and_then(|deck| self.forgotten.get(deck));
        forgotten.is_some_and(|(day, at_ms, id)| {
            (event.day, event.at_ms, &event.id) < (*day, *at_ms, id)
        })
    }

    pub fn device(&self, mark: EventMark) -> &str {
        &self.sources[mark.device].device
    }

    fn id(&self, mark: &EventMark) -> EventId {
        EventId { device: self.device(*mark).to_owned(), n: mark.n }
    }

    pub fn open(&self) -> Result<Vec<LineReader>, Trouble> {
        let open = |source: &Source| {
            LineReader::open(&source.path).map_err(Trouble::reading(&source.path))
        };
        self.sources.iter().map(open).collect()
    }

    /// Appends the line of a mark to a text.
    pub fn read_text(
        &self,
        files: &mut [LineReader],
        mark: EventMark,
        text: &mut Vec<u8>,
    ) -> Result<(), Trouble> {
        let path = &self.sources[mark.source].path;
        files[mark.source].read_at(mark.offset, text).map_err(Trouble::reading(path))
    }

    /// The event of a mark from its line.
    fn event(&self, mark: EventMark, line: &[u8]) -> Result<Event, LineError> {
        read_line(self.device(mark), line)
    }
}

/// The number of the line that begins at a byte; 1 when the file cannot be read any more.
fn line_number(path: &Path, offset: u64) -> usize {
    let Ok(file) = File::open(path) else { return 1 };
    1 + BufReader::new(file.take(offset)).split(b'\n').map_while(Result::ok).count()
}
