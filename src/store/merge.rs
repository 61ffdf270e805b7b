//! The journal of a home as one stream: every device's file, each event once, in the order of day,
//! instant and id, with what was taken back or forgotten left out.
//!
//! A million events do not fit in memory as values, so the files are gone through twice: first the
//! head of every line, which gives the order; then the events themselves, one at a time, in that
//! order. Which file comes first, and how often a line is repeated, changes nothing.

use std::collections::BTreeMap;
use std::path::Path;

use rayon::prelude::*;

use crate::base::finding::Place;
use crate::base::{Day, Finding, text};
use crate::journal::{Event, EventId, Fact, Head, LineError, read_line};
use crate::store::Trouble;
use crate::store::aside::{Aside, AtLine, CLASH_HINT, line_numbers, refused};
use crate::store::lines::LineReader;
use crate::store::sources::{Source, sources};
use crate::store::undone::Undone;

/// Events read at the same time: enough for every core, and little memory.
const BATCH: usize = 4096;

/// Where an event stands and what orders it. There may be ten million of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct EventMark {
    pub day: Day,
    /// Milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
    /// The device, by the place of its first file among the sources.
    pub device: u32,
    /// Its number there.
    pub n: u64,
    /// The hash of its line.
    pub sum: u32,
    source: u32,
    /// First byte of its line.
    pub offset: u64,
    /// Whether its line has a checksum.
    pub is_protected: bool,
}

impl EventMark {
    /// The file, by its place among the sources.
    pub const fn source(&self) -> usize {
        self.source as usize
    }

    pub const fn id(&self) -> (u32, u64) {
        (self.device, self.n)
    }

    /// True when the lines say the same.
    fn repeats(&self, other: &Self) -> bool {
        let content = |mark: &Self| (mark.day, mark.at_ms, mark.id(), mark.sum);
        content(self) == content(other)
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
    /// Lines that take back or forget, with their hashes.
    pub special: Vec<(Event, u32)>,
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
    /// Every line that takes back or forgets, with its hash.
    pub special: Vec<AtLine<(Event, u32)>>,
    /// Events taken back.
    pub undone: Undone,
    /// Decks forgotten, and when.
    pub forgotten: BTreeMap<String, Instant>,
    /// What was set aside, and why.
    pub aside: Aside,
    /// What is said of files that cannot be read.
    unread: Vec<Finding>,
}

impl Merge {
    /// Goes through every file once. Events on a later day than `last` are set aside.
    ///
    /// # Errors
    /// The machine's own trouble; a file of a newer format.
    pub fn scan(folder: &Path, last: Option<Day>, begin: Begin) -> Result<Self, Trouble> {
        let (sources, unread) = sources(folder)?;
        let mut merge = Self { sources, unread, ..Self::default() };
        merge.sources.sort_by(|one, other| one.device.cmp(&other.device));
        merge.special = begin.special.into_iter().map(AtLine::at_start).collect();
        let findings = begin.findings.into_iter().map(AtLine::at_start).collect();
        merge.aside = Aside { findings, told: vec![0; merge.sources.len()] };
        for number in 0..merge.sources.len() {
            let offset = begin.offsets.get(&merge.sources[number].shown).copied();
            merge.read_heads(number, offset.unwrap_or_default())?;
        }
        // Each file is mostly in order, and the stable sort merges what it finds in order.
        merge.marks.sort();
        merge.marks.dedup_by(|one, before| one.repeats(before));
        merge.judge_special();
        merge.set_aside_future(last);
        merge.tell_clashes();
        Ok(merge)
    }

    /// Notes what every line of a file from a byte on begins with.
    fn read_heads(&mut self, number: usize, start: u64) -> Result<(), Trouble> {
        let mut source = self.sources[number].clone();
        let name = source.device.clone();
        let device = place(self.sources.partition_point(|source| source.device < name));
        source.each_head(start, |offset, line, head| {
            let special = head.and_then(|head| {
                let Head { day, at_ms, n, sum, is_protected, .. } = head;
                let source = place(number);
                let mark = EventMark { day, at_ms, device, n, sum, source, offset, is_protected };
                let is_special = matches!(&*head.kind, "undo" | "forget");
                if is_special || head.kind == "gone" {
                    self.others.push(mark);
                } else {
                    self.marks.push(mark);
                }
                is_special.then(|| Ok((read_line(&name, line)?, sum))).transpose()
            });
            match special {
                Ok(special) => {
                    let placed = |value| AtLine { source: number, offset, value };
                    self.special.extend(special.map(placed));
                }
                Err(error) => {
                    self.aside.tell(refused(&self.sources, number, offset, line, &error));
                }
            }
        })?;
        self.sources[number] = source;
        Ok(())
    }

    /// Sets events of days to come aside: a clock was wrong when they were written.
    fn set_aside_future(&mut self, last: Option<Day>) {
        let Some(last) = last else { return };
        let today = last.minus(1);
        self.set_aside = self.marks.extract_if(.., |mark| mark.day > last).collect();
        let mut late: BTreeMap<usize, (usize, Day)> = BTreeMap::new();
        // In the order of days.
        for mark in self.set_aside.iter().filter(|mark| !self.is_undone(mark)) {
            let of_file = late.entry(mark.source()).or_insert((0, mark.day));
            *of_file = (of_file.0 + 1, mark.day);
        }
        for (number, (events, day)) in late {
            let Source { shown, end, .. } = &self.sources[number];
            let what = format!(
                "{} set aside: later than tomorrow, up to {day}",
                text::count(events, "event")
            );
            let value = Finding::warning(what).at(Place::file(shown.clone())).hint(format!(
                "a clock was wrong then, or is now; they count when their day comes. Give them \
                     their right days with `secondball check --redate {today}`, the day of the \
                     first, or leave them out with `secondball check --drop`"
            ));
            self.aside.findings.push(AtLine { source: number, offset: *end, value });
        }
    }

    /// Tells of numbers with two contents: the first of each device, and how many there are.
    fn tell_clashes(&mut self) {
        let is_in_order = self.marks.is_sorted_by(|a, b| (a.device, a.n) < (b.device, b.n));
        if is_in_order {
            return;
        }
        let mut by_id = self.marks.clone();
        by_id.sort_by_key(|mark| (mark.device, mark.n));
        let clashes = by_id.windows(2).filter(|pair| pair[0].id() == pair[1].id());
        let clashes: Vec<(EventMark, EventMark)> = clashes.map(|pair| (pair[0], pair[1])).collect();
        for of_device in clashes.chunk_by(|one, other| one.0.device == other.0.device) {
            let (first, second) = of_device[0];
            let [one, other] = [first, second].map(|mark| {
                let source = &self.sources[mark.source()];
                let number = line_numbers(&source.path, &[mark.offset]).unwrap_or_default();
                format!("{}:{}", source.shown, number.first().unwrap_or(&1))
            });
            let more = match of_device.len() - 1 {
                0 => "; both count".to_owned(),
                more => format!(", and {more} more like it; all count"),
            };
            let what = format!(
                "event {} of device {} stands at {one} and, with other content, at {other}{more}",
                first.n,
                self.device(&first),
            );
            let place = Place::file(self.sources[second.source()].shown.clone());
            let value = Finding::warning(what).at(place).hint(CLASH_HINT);
            self.aside.findings.push(AtLine {
                source: second.source(),
                offset: second.offset,
                value,
            });
        }
    }

    /// What was taken back and what was forgotten.
    fn judge_special(&mut self) {
        let key = |event: &Event| (event.day, event.at_ms, event.id.clone());
        self.special.sort_by_key(|special| (key(&special.value.0), special.value.1));
        // From the last to the first: taking back a taking back lets the event stand.
        for (event, sum) in self.special.iter().rev().map(|special| &special.value) {
            if self.undone.has(&event.id.device, event.id.n, *sum) {
                continue;
            }
            self.undone.take(&event.fact);
            if let Fact::Forget { deck } = &event.fact {
                let instant = self.forgotten.entry(deck.clone()).or_insert_with(|| key(event));
                *instant = key(event).max(instant.clone());
            }
        }
    }

    /// What was set aside, file by file and line by line.
    pub fn told(self) -> Vec<Finding> {
        [self.unread, self.aside.told(self.sources)].concat()
    }

    /// Every event that counts, in order, one at a time.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn each(&mut self, mut step: impl FnMut(EventMark, Event) + Send) -> Result<(), Trouble> {
        let mut files = self.open()?;
        let mut left_out = Vec::new();
        let mut read = Vec::new();
        // Lines are read on all cores while the events of the batch before are taken in; the last
        // batch is empty.
        for marks in self.marks.chunks(BATCH).chain([[].as_slice()]) {
            let take = || {
                for (mark, event) in std::mem::take(&mut read) {
                    match event {
                        Ok(event) if self.is_forgotten(&event) => {}
                        Ok(event) => step(mark, event),
                        Err(finding) => left_out.push(finding),
                    }
                }
            };
            let (next, ()) = rayon::join(|| self.read_batch(&mut files, marks), take);
            read = next?;
        }
        for finding in left_out {
            self.aside.tell(finding);
        }
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
            (
                mark,
                event.map_err(|error| {
                    refused(&self.sources, mark.source(), mark.offset, line, &error)
                }),
            )
        };
        Ok(lines.into_par_iter().map(read).collect())
    }

    pub fn is_undone(&self, mark: &EventMark) -> bool {
        self.undone.has(self.device(mark), mark.n, mark.sum)
    }

    /// True when its deck was forgotten after this event.
    fn is_forgotten(&self, event: &Event) -> bool {
        let forgotten = event.fact.deck().and_then(|deck| self.forgotten.get(deck));
        forgotten.is_some_and(|(day, at_ms, id)| {
            (event.day, event.at_ms, &event.id) < (*day, *at_ms, id)
        })
    }

    pub fn device(&self, mark: &EventMark) -> &str {
        &self.sources[mark.device as usize].device
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
        let path = &self.sources[mark.source()].path;
        files[mark.source()].read_at(mark.offset, text).map_err(Trouble::reading(path))
    }

    /// The event of a mark from its line.
    pub fn event(&self, mark: EventMark, line: &[u8]) -> Result<Event, LineError> {
        read_line(self.device(&mark), line)
    }
}

/// The place of a file among the sources.
fn place(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}
