//! What is said of the lines of a journal: of each file the first by their numbers, of the others
//! how many they are, for a damaged file may have a million.

use std::fs::File;
use std::io::{self, BufRead as _, BufReader, Read as _};
use std::path::Path;

use crate::base::finding::Place;
use crate::base::{Finding, text};
use crate::journal::LineError;
use crate::store::sources::Source;

/// Lines of a file that are told one by one.
pub(super) const MOST_TOLD: usize = 20;
/// Columns of a line that are shown.
const SHOWN: usize = 72;
/// Stands where a line has not been counted yet.
const NOT_COUNTED: (usize, usize) = (0, 1);
/// How one number gets two contents.
pub(super) const CLASH_HINT: &str =
    "a home was copied or restored while the other went on; nothing is lost";

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
    pub const fn at_start(value: T) -> Self {
        Self { source: 0, offset: 0, value }
    }
}

/// What is said of all lines.
#[derive(Debug, Default)]
pub(super) struct Aside {
    pub findings: Vec<AtLine<Finding>>,
    /// How many lines of each file something was said of.
    pub told: Vec<usize>,
}

impl Aside {
    /// What was set aside, file by file and line by line.
    pub fn told(mut self, sources: Vec<Source>) -> Vec<Finding> {
        self.count_lines(&sources);
        let mut findings: Vec<_> = self.findings.into_iter().map(|found| found.value).collect();
        for (source, told) in sources.into_iter().zip(self.told) {
            findings.extend(source.finding);
            if told > MOST_TOLD {
                let what = format!("and {} more like these", told - MOST_TOLD);
                findings.push(Finding::warning(what).at(Place::file(source.shown)));
            }
        }
        // What is of a file as a whole comes behind its lines.
        findings.sort_by(|a, b| {
            let key = |finding: &Finding| {
                let place = finding.place.clone()?;
                Some((place.file, place.at.unwrap_or((usize::MAX, 1))))
            };
            key(a).cmp(&key(b))
        });
        findings
    }

    /// Tells of a line, or counts it only where there are many.
    pub fn tell(&mut self, finding: AtLine<Finding>) {
        self.told[finding.source] += 1;
        if self.told[finding.source] <= MOST_TOLD {
            self.findings.push(finding);
        }
    }

    /// Gives the lines that were told their numbers; each file is gone through once.
    pub fn count_lines(&mut self, sources: &[Source]) {
        self.findings.sort_by_key(|found| (found.source, found.offset));
        for found in self.findings.chunk_by_mut(|one, other| one.source == other.source) {
            let is_open = |found: &&mut AtLine<Finding>| {
                found.value.place.as_ref().is_some_and(|place| place.at == Some(NOT_COUNTED))
            };
            let mut open: Vec<_> = found.iter_mut().filter(is_open).collect();
            let Some(first) = open.first() else { continue };
            let path = &sources[first.source].path;
            let offsets: Vec<u64> = open.iter().map(|found| found.offset).collect();
            let numbers = line_numbers(path, &offsets).unwrap_or_else(|_| vec![1; offsets.len()]);
            for (found, number) in open.iter_mut().zip(numbers) {
                if let Some(place) = &mut found.value.place {
                    place.at = Some((number, 1));
                }
            }
        }
    }
}

/// What is said of a line that is left out.
pub(super) fn refused(
    sources: &[Source],
    source: usize,
    offset: u64,
    line: &[u8],
    error: &LineError,
) -> AtLine<Finding> {
    let is_text = str::from_utf8(line).is_ok_and(|line| !line.contains(is_no_sign));
    let (what, hint) = match error {
        _ if !is_text => (
            "this line has bytes that are no text".to_owned(),
            "a disk may leave them when the power goes; the line is left out, all others count",
        ),
        LineError::Torn => {
            (error.to_string(), "writing stopped in the middle of it; nothing else is lost")
        }
        LineError::Damaged => (
            error.to_string(),
            "the line is left out; an older copy of the file, put beside it in journal/ under \
             another name, is read too and may still have it",
        ),
        _ => (error.to_string(), "the line is left out; all others count"),
    };
    at_line(sources, source, offset, line, what, hint)
}

/// What is said of a line.
pub(super) fn at_line(
    sources: &[Source],
    source: usize,
    offset: u64,
    line: &[u8],
    what: String,
    hint: &str,
) -> AtLine<Finding> {
    let begin = String::from_utf8_lossy(&line[..line.len().min(4 * SHOWN)]);
    let place = Place {
        file: sources[source].shown.clone(),
        at: Some(NOT_COUNTED),
        line_text: Some(text::fit(&text::one_line(&begin), SHOWN).trim_end().to_owned()),
        length: 1,
    };
    let value = Finding::warning(what).at(place).hint(hint);
    AtLine { source, offset, value }
}

/// Whether a letter is none that anybody writes.
fn is_no_sign(letter: char) -> bool {
    letter.is_control() && letter != '\t'
}

/// The numbers of the lines that begin at these bytes of a file, in rising order.
pub(super) fn line_numbers(path: &Path, offsets: &[u64]) -> io::Result<Vec<usize>> {
    let mut reader = BufReader::new(File::open(path)?);
    let (mut at, mut number) = (0, 1);
    let mut numbers = Vec::new();
    for &offset in offsets {
        let mut part = reader.by_ref().take(offset - at);
        loop {
            let bytes = part.fill_buf()?;
            let length = bytes.len();
            if length == 0 {
                break;
            }
            number += bytes.iter().map(|byte| usize::from(*byte == b'\n')).sum::<usize>();
            part.consume(length);
        }
        at = offset;
        numbers.push(number);
    }
    Ok(numbers)
}
