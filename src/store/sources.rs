//! The files of a home's journal, and what their first lines say of them.

use std::fs::File;
use std::io::{self, BufRead as _, BufReader, Read as _, Seek as _, SeekFrom};
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use xxhash_rust::xxh3::Xxh3;

use crate::base::Finding;
use crate::base::finding::Place;
use crate::journal::{Head, Header, LineError, read_head};
use crate::store::lines::{LineReader, each_block, placed_lines};
use crate::store::{Trouble, disk};

/// Bytes among which a first line ends: a header is short, and a file without newlines must not be
/// read whole to find that out.
const LONGEST_HEADER: u64 = 4096;
/// The end of a file that is searched for its last events, bytes.
const TAIL: u64 = 256 * 1024;

/// One device's file.
#[derive(Debug, Clone)]
pub(super) struct Source {
    pub path: PathBuf,
    /// As the player knows it: `journal/k3f9.jsonl`.
    pub shown: String,
    /// Whose events it holds.
    pub device: String,
    /// What is wrong with its header.
    pub finding: Option<Finding>,
    /// Where the lines behind its header begin.
    pub start: u64,
    /// Where its last whole line ends.
    pub end: u64,
    /// How far it was read, and the hash of all bytes up to there from where reading began.
    pub read: u64,
    pub hash: u64,
}

impl Source {
    /// Hands over the lines behind the header, from a byte on where one begins: the place of each,
    /// its text and its head. Notes how far the file was read.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn each_head(
        &mut self,
        from: u64,
        mut take: impl FnMut(u64, &[u8], Result<Head<'_>, LineError>),
    ) -> Result<(), Trouble> {
        let mut hasher = Xxh3::new();
        let read = each_block(&self.path, from, |at, block| {
            hasher.update(block);
            let heads: Vec<_> = placed_lines(at, block)
                .into_par_iter()
                .filter(|(offset, line)| *offset >= self.start && !line.is_empty())
                .map(|(offset, line)| (offset, line, read_head(line)))
                .collect();
            for (offset, line, head) in heads {
                take(offset, line, head);
            }
        });
        let read = read.map_err(Trouble::reading(&self.path))?;
        (self.read, self.end, self.hash) = (read.bytes, read.end.max(self.start), hasher.digest());
        Ok(())
    }

    /// Whether this is the file a device writes to, and not a copy.
    pub fn is_own(&self, device: &str) -> bool {
        self.device == device && self.path.file_stem().is_some_and(|stem| stem == device)
    }

    /// Where the first line begins of those at the end of the file.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn tail(&self) -> Result<u64, Trouble> {
        let begin = || -> io::Result<u64> {
            let mut file = File::open(&self.path)?;
            let begin = file.seek(SeekFrom::End(0))?.saturating_sub(TAIL);
            if begin <= self.start {
                return Ok(self.start);
            }
            file.seek(SeekFrom::Start(begin))?;
            Ok(begin + BufReader::new(file).skip_until(b'\n')? as u64)
        };
        begin().map_err(Trouble::reading(&self.path))
    }

    /// The hash of the first line, which tells this journal from every other; none where that is no
    /// event.
    pub fn first_sum(&self) -> Option<u32> {
        let mut line = Vec::new();
        LineReader::open(&self.path).ok()?.read_at(self.start, &mut line).ok()?;
        Some(read_head(line.trim_ascii_end()).ok()?.sum)
    }
}

/// The files in a journal's folder, and what is said of those that cannot be read; empty ones are
/// left out.
///
/// # Errors
/// The folder cannot be read; a file of a newer format.
pub(super) fn sources(folder: &Path) -> Result<(Vec<Source>, Vec<Finding>), Trouble> {
    let (mut sources, mut unread) = (Vec::new(), Vec::new());
    for stem in disk::stems(folder, ".jsonl")? {
        let path = folder.join(format!("{stem}.jsonl"));
        let shown = format!("journal/{stem}.jsonl");
        match first_line(&path, &shown) {
            Ok(line) if line.is_empty() => {}
            Ok(line) => sources.push(source(path, shown, stem, &line)?),
            Err(trouble) => unread.extend(
                trouble.findings().into_iter().map(|finding| finding.at(Place::file(&*shown))),
            ),
        }
    }
    Ok((sources, unread))
}

fn first_line(path: &Path, shown: &str) -> Result<Vec<u8>, Trouble> {
    let mut line = Vec::new();
    if disk::length_of(path, shown)?.is_some() {
        File::open(path)
            .and_then(|file| BufReader::new(file.take(LONGEST_HEADER)).read_until(b'\n', &mut line))
            .map_err(Trouble::reading(path))?;
    }
    Ok(line)
}

fn source(path: PathBuf, shown: String, stem: String, line: &[u8]) -> Result<Source, Trouble> {
    let length = line.len() as u64;
    let place = || Place::within(&*shown, &String::from_utf8_lossy(line), 0, 1);
    let (device, start, finding) = match Header::read(line.trim_ascii_end()) {
        Ok(header) => (header.device, length, None),
        Err(error @ LineError::Newer { .. }) => {
            return Err(Trouble::finding(
                Finding::error(error.to_string())
                    .at(place())
                    .hint("use a newer secondball; nothing was changed"),
            ));
        }
        Err(error) => {
            let is_event = read_head(line.trim_ascii_end()).is_ok();
            let finding = Finding::warning(error.to_string())
                .at(place())
                .hint("it is read as the file of the device it is named after");
            (stem, if is_event { 0 } else { length }, Some(finding))
        }
    };
    Ok(Source { path, shown, device, finding, start, end: start, read: 0, hash: 0 })
}
