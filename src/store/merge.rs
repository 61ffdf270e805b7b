//! The journal of a home as one stream: every device's file, each event once, in the order of day,
//! instant and id, with what was taken back or forgotten left out.
//!
//! A million events do not fit in memory as values, so the files are gone through twice: first the head
//! of every line, which gives the order; then the events themselves, one at a time, in that order. Which
//! file comes first, and how often a line is repeated, changes nothing.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{self, BufRead, BufReader};
use std::path::{Path, PathBuf};

use crate::base::finding::Place;
use crate::base::{Day, Finding};
use crate::journal::{Event, Fact, Header, LineError, read_head, read_line};
use crate::store::heads::Heads;
use crate::store::lines::Lines;
use crate::store::{Trouble, disk};

/// One device's file.
#[derive(Debug, Clone)]
pub(crate) struct Source {
    /// Where it is.
    pub path: PathBuf,
    /// As the player knows it: `journal/k3f9.jsonl`.
    pub shown: String,
    /// Whose events it holds.
    pub device: u16,
    /// Where the lines behind its header begin.
    pub start: u64,
    /// Where its last whole line ends, bytes.
    pub end: u64,
}

/// Where an event stands and what orders it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Mark {
    /// The player's day.
    pub day: Day,
    /// Milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
    /// The device, by its place among the ids in alphabetical order.
    pub device: u16,
    /// Its number there.
    pub n: u64,
    /// The file.
    pub source: u16,
    /// First byte of its line.
    pub offset: u64,
}

/// When a deck was forgotten, as events are ordered.
type Instant = (Day, i64, u16, u64);

/// The order of all events.
#[derive(Debug, Default)]
pub(crate) struct Merge {
    /// The files.
    pub sources: Vec<Source>,
    /// The ids of the devices, in alphabetical order.
    pub devices: Vec<String>,
    /// Every event that counts, in order.
    pub marks: Vec<Mark>,
    /// Events taken back.
    pub undone: BTreeSet<(u16, u64)>,
    /// Decks forgotten, and when.
    pub(super) forgotten: BTreeMap<String, Instant>,
    /// Every line that takes back or forgets, and what.
    pub special: Vec<(Mark, Fact)>,
    /// Events of days to come.
    pub set_aside: Vec<Mark>,
    /// Every device has one file, and the numbers in it rise: no event can stand there twice.
    pub is_plain: bool,
    /// What was set aside.
    pub findings: Vec<Finding>,
}

/// Where to begin in a file that has been read before.
#[derive(Debug, Clone, Default)]
pub(crate) struct Begin {
    /// Behind the bytes that are known.
    pub offset: u64,
    /// Lines before it that are to be read all the same, by their first byte.
    pub kept: Vec<u64>,
    /// Lines behind it that are known already.
    pub known: BTreeSet<u64>,
}

impl Merge {
    /// Goes through every file once.
    ///
    /// Events on a later day than `last` are set aside with a finding. `begin` says where to start in a
    /// file, by its name; files it does not name are read from their header on.
    ///
    /// # Errors
    /// The machine's own trouble; a file of a newer format.
    pub(crate) fn scan(
        folder: &Path,
        last: Option<Day>,
        begin: &BTreeMap<String, Begin>,
    ) -> Result<Self, Trouble> {
        let mut merge = Self::default();
        let mut headers = Vec::new();
        for stem in disk::stems(folder, ".jsonl")? {
            let path = folder.join(format!("{stem}.jsonl"));
            let shown = format!("journal/{stem}.jsonl");
            if let Some((device, start)) = merge.header(&path, &shown, &stem)? {
                headers.push((Source { path, shown, device: 0, start, end: start }, device));
            }
        }
        let names: BTreeSet<&String> = headers.iter().map(|(_, device)| device).collect();
        merge.devices = names.into_iter().cloned().collect();
        for (mut source, device) in headers {
            let place = merge.devices.binary_search(&device).unwrap_or_default();
            source.device = u16::try_from(place).unwrap_or(u16::MAX);
            merge.sources.push(source);
        }
        merge.is_plain = merge.sources.len() == merge.devices.len();
        for number in 0..merge.sources.len() {
            let source = merge.sources[number].clone();
            let begin = begin.get(&source.shown).cloned().unwrap_or_default();
            let place = u16::try_from(number).unwrap_or(u16::MAX);
            let heads = Heads::of(place, &source, &merge.devices, &begin)?;
            merge.sources[number].end = heads.end;
            merge.take_heads(&source, heads);
        }
        merge.set_aside_future(last);
        let is_ordered = merge.marks.is_sorted();
        if !is_ordered {
            // The files are in order each, and the stable sort merges what it finds in order.
            merge.marks.sort();
        }
        merge.drop_repeated()?;
        merge.judge_special();
        let (undone, marks) = (&merge.undone, &mut merge.marks);
        if !undone.is_empty() {
            marks.retain(|mark| !undone.contains(&(mark.device, mark.n)));
        }
        Ok(merge)
    }

    /// The device and the end of the header of a file.
    fn header(
        &mut self,
        path: &Path,
        shown: &str,
        stem: &str,
    ) -> Result<Option<(String, u64)>, Trouble> {
        let trouble = |error| Trouble::machine("cannot read", path, error);
        let mut reader = BufReader::new(File::open(path).map_err(trouble)?);
        let mut line = Vec::new();
        // A header is short; a file without newlines must not be read whole to find that out.
        io::Read::take(&mut reader, 4096).read_until(b'\n', &mut line).map_err(trouble)?;
        let length = line.len() as u64;
        let text = String::from_utf8_lossy(&line).into_owned();
        match Header::read(line.trim_ascii_end()) {
            Ok(header) => Ok(Some((header.device, length))),
            Err(error @ LineError::Newer { .. }) => Err(Trouble::finding(
                Finding::error(error.to_string())
                    .at(Place::within(shown, &text, 0, 1))
                    .hint("use a newer secondball; nothing was changed"),
            )),
            Err(_) if line.is_empty() => Ok(None),
            Err(error) => {
                // The events are read all the same; their device is the name of the file.
                self.findings.push(
                    Finding::warning(error.to_string())
                        .at(Place::within(shown, &text, 0, 1))
                        .hint("it is read as the file of the device it is named after"),
                );
                Ok(Some((
                    stem.to_owned(),
                    if read_head(line.trim_ascii_end()).is_ok() { 0 } else { length },
                )))
            }
        }
    }

    /// Takes in what the lines of a file began with.
    fn take_heads(&mut self, source: &Source, heads: Heads) {
        self.is_plain &= heads.rises;
        self.marks.extend(heads.marks);
        self.special.extend(heads.special);
        for (offset, line, error) in &heads.refused {
            self.refuse(source, *offset, line, error);
        }
    }

    /// Tells of a line that is set aside.
    pub(super) fn refuse(&mut self, source: &Source, offset: u64, line: &[u8], error: &LineError) {
        let shown = String::from_utf8_lossy(line);
        let shown = crate::base::text::fit(&crate::base::text::one_line(&shown), 72);
        let place = Place {
            file: source.shown.clone(),
            at: Some((line_number(&source.path, offset), 1)),
            line_text: Some(shown.trim_end().to_owned()),
            length: 1,
        };
        let hint = match error {
            LineError::Torn => "writing stopped in the middle of it; nothing else is lost",
            _ => "the line is left out; all others count",
        };
        self.findings.push(Finding::warning(error.to_string()).at(place).hint(hint));
    }

    /// Sets events of days to come aside: a clock was wrong when they were written.
    fn set_aside_future(&mut self, last: Option<Day>) {
        let Some(last) = last else { return };
        let mut late: BTreeMap<u16, (usize, Day)> = BTreeMap::new();
        self.marks.retain(|mark| {
            let is_late = mark.day > last;
            if is_late {
                let (count, day) = late.entry(mark.source).or_insert((0, mark.day));
                *count += 1;
                *day = (*day).max(mark.day);
                self.set_aside.push(*mark);
            }
            !is_late
        });
        for (source, (count, day)) in late {
            let events = crate::base::text::count(count, "event");
            self.findings.push(
                Finding::warning(format!("{events} set aside: later than tomorrow, up to {day}"))
                    .at(Place::file(self.sources[usize::from(source)].shown.clone()))
                    .hint("a clock was wrong then, or is now; they count when their day comes"),
            );
        }
    }

    /// Leaves out lines that repeat an event; tells of one id with two contents and keeps both.
    fn drop_repeated(&mut self) -> Result<(), Trouble> {
        if self.is_plain {
            return Ok(());
        }
        let mut by_id: Vec<usize> = (0..self.marks.len()).collect();
        by_id.sort_by_key(|&place| {
            let mark = self.marks[place];
            (mark.device, mark.n, place)
        });
        let mut repeated = BTreeSet::new();
        let same_id = |&left: &usize, &right: &usize| {
            let (left, right) = (self.marks[left], self.marks[right]);
            (left.device, left.n) == (right.device, right.n)
        };
        let mut clashes = Vec::new();
        for group in by_id.chunk_by(same_id).filter(|group| group.len() > 1) {
            let mut contents: Vec<(Event, Mark)> = Vec::new();
            for &place in group {
                let mark = self.marks[place];
                let Ok(event) = self.event(mark)? else { continue };
                if contents.iter().any(|(known, _)| *known == event) {
                    repeated.insert(place);
                } else {
                    contents.push((event, mark));
                }
            }
            if let [(_, first), (_, second), ..] = contents[..] {
                clashes.push((first, second));
            }
        }
        let mut place = 0;
        self.marks.retain(|_| {
            place += 1;
            !repeated.contains(&(place - 1))
        });
        for (first, second) in clashes {
            let files = [first, second].map(|mark| {
                let source = &self.sources[usize::from(mark.source)];
                format!("{}:{}", source.shown, line_number(&source.path, mark.offset))
            });
            self.findings.push(
                Finding::warning(format!(
                    "event {} of device {} stands at {} and, with other content, at {}; both count",
                    first.n,
                    self.devices[usize::from(first.device)],
                    files[0],
                    files[1]
                ))
                .at(Place::file(self.sources[usize::from(second.source)].shown.clone()))
                .hint("a home was copied or restored while the other went on; nothing is lost"),
            );
        }
        Ok(())
    }

    /// What was taken back and what was forgotten.
    fn judge_special(&mut self) {
        self.special.sort_unstable_by_key(|(mark, _)| *mark);
        // From the last to the first: taking back a taking back lets the event stand.
        for (mark, fact) in self.special.iter().rev() {
            if self.undone.contains(&(mark.device, mark.n)) {
                continue;
            }
            match fact {
                Fact::Undo { of } => {
                    if let Ok(place) = self.devices.binary_search(&of.device) {
                        self.undone.insert((u16::try_from(place).unwrap_or(u16::MAX), of.n));
                    }
                }
                Fact::Forget { deck } => {
                    let instant = (mark.day, mark.at_ms, mark.device, mark.n);
                    let known = self.forgotten.entry(deck.clone()).or_insert(instant);
                    *known = (*known).max(instant);
                }
                _ => {}
            }
        }
    }

    /// The event at a mark, read on its own.
    fn event(&self, mark: Mark) -> Result<Result<Event, LineError>, Trouble> {
        let source = &self.sources[usize::from(mark.source)];
        let device = &self.devices[usize::from(mark.device)];
        Lines::from(&source.path, mark.offset)
            .and_then(|mut lines| lines.next(|line| read_line(device, line.trim_ascii_end())))
            .map(|read| read.unwrap_or(Err(LineError::Torn)))
            .map_err(|error| Trouble::machine("cannot read", &source.path, error))
    }
}

/// The number of the line that begins at a byte; 0 when the file cannot be read any more.
fn line_number(path: &Path, offset: u64) -> usize {
    let Ok(file) = File::open(path) else { return 0 };
    let mut reader = BufReader::new(io::Read::take(file, offset));
    let mut lines = 1;
    loop {
        let Ok(bytes) = reader.fill_buf() else { return 0 };
        if bytes.is_empty() {
            return lines;
        }
        lines += bytes.split(|byte| *byte == b'\n').count() - 1;
        let length = bytes.len();
        reader.consume(length);
    }
}
