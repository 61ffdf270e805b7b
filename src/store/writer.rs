//! Appending to this device's own journal. An event that has been acknowledged is on the disk.
//!
//! A line is written in one piece with its newline and synced. Where an earlier writing was cut
//! off, a newline goes first, so that nothing is ever glued to the torn piece.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use crate::base::{Day, Finding, Moment};
use crate::journal::{Event, EventId, Fact, Header, LineError, read_head, write_line};
use crate::store::lock::Lock;
use crate::store::{Device, Trouble, disk};

/// The end of a file that is searched for its last whole event, bytes.
const TAIL: u64 = 256 * 1024;

/// The one writer of a home's journal; others wait until it is dropped.
#[derive(Debug)]
pub struct Writer {
    file: File,
    path: PathBuf,
    device: String,
    next: u64,
    clock: Option<Finding>,
    _lock: Lock,
}

impl Writer {
    /// Opens this device's file in `folder`, made when it is not there.
    pub(crate) fn open(
        folder: &Path,
        device: &Device,
        now: Moment,
        day: Day,
    ) -> Result<Self, Trouble> {
        disk::make_folder(folder)?;
        let lock = Lock::take(&folder.join(".lock"), Some(now))?;
        let path = folder.join(format!("{}.jsonl", device.id()));
        let trouble = |error| Trouble::machine("cannot write", &path, error);
        let mut file =
            OpenOptions::new().read(true).append(true).create(true).open(&path).map_err(trouble)?;
        let length = file.seek(SeekFrom::End(0)).map_err(trouble)?;
        let (last, is_torn) = last_event(&mut file, length).map_err(trouble)?;
        let is_behind = |last: &LastEvent| last.at_ms > now.epoch_ms() || last.day > day;
        let clock = last.filter(is_behind).map(|last| {
            let minutes = (last.at_ms - now.epoch_ms()).max(0) / 60_000;
            Finding::warning(format!(
                "this clock says {now}, the last event here is of {}, {minutes} min later",
                last.day
            ))
            .hint("set the clock right, or go on if it was wrong then")
        });
        let next = last.map_or(0, |last| last.n) + 1;
        let mut writer =
            Self { file, path, device: device.id().to_owned(), next, clock, _lock: lock };
        if length == 0 {
            let header = Header::for_device(device.id()).line();
            writer.put(&header.map_err(|error| cannot_keep(&error))?)?;
            writer.sync()?;
            disk::sync_folder(folder).map_err(|error| writer.trouble(error))?;
        } else if is_torn {
            writer.put("\n")?;
        }
        Ok(writer)
    }

    /// Puts a line at the end of the file: the one place where a journal grows.
    fn put(&mut self, line: &str) -> Result<(), Trouble> {
        self.file.write_all(line.as_bytes()).map_err(|error| self.trouble(error))
    }

    fn trouble(&self, error: io::Error) -> Trouble {
        Trouble::machine("cannot write", &self.path, error)
    }

    /// A finding when the clock is behind the last event of this device: to be asked about before
    /// anything is written, because order and spacing of what is learnt hang on it.
    pub const fn clock_behind(&self) -> Option<&Finding> {
        self.clock.as_ref()
    }

    /// Appends a fact; it is on the disk when this returns.
    ///
    /// # Errors
    /// The machine's own trouble; the event does not count then.
    pub fn append(&mut self, at: Moment, day: Day, fact: Fact) -> Result<EventId, Trouble> {
        let id = self.append_unsynced(at, day, fact)?;
        self.sync()?;
        Ok(id)
    }

    /// Appends a fact that [`Writer::sync`] brings to the disk, for moments in which waiting shows.
    ///
    /// # Errors
    /// As [`Writer::append`].
    pub fn append_unsynced(
        &mut self,
        at: Moment,
        day: Day,
        fact: Fact,
    ) -> Result<EventId, Trouble> {
        self.append_from(None, at.epoch_ms(), day, fact)
    }

    /// Appends a fact with where it came from, when that is another device's page. It is on the
    /// disk only after [`Writer::sync`].
    ///
    /// # Errors
    /// As [`Writer::append`].
    pub fn append_from(
        &mut self,
        origin: Option<&str>,
        at_ms: i64,
        day: Day,
        fact: Fact,
    ) -> Result<EventId, Trouble> {
        let origin = origin.map(str::to_owned);
        let id = EventId { device: self.device.clone(), n: self.next };
        let event = Event { id: id.clone(), at_ms, day, origin, fact };
        let line = write_line(&event).map_err(|error| cannot_keep(&error))?;
        let end = self.file.metadata().map_err(|error| self.trouble(error))?.len();
        let put = self.put(&line);
        // What got through of a line that failed is cut off again, so that its number is free.
        if put.is_err() && self.file.set_len(end).is_ok() {
            return put.map(|()| id);
        }
        self.next += 1;
        put.inspect_err(|_| {
            // A half line must not swallow the next one.
            let _ = (&self.file).write_all(b"\n");
        })?;
        Ok(id)
    }

    /// Brings everything appended so far to the disk.
    ///
    /// # Errors
    /// The machine's own trouble; what was appended since the last sync may be lost then.
    pub fn sync(&mut self) -> Result<(), Trouble> {
        self.file.sync_data().map_err(|error| self.trouble(error))
    }
}

fn cannot_keep(error: &LineError) -> Trouble {
    Trouble::finding(Finding::error(format!("this cannot be kept: {error}")))
}

/// The last whole event of a file.
#[derive(Clone, Copy)]
struct LastEvent {
    n: u64,
    at_ms: i64,
    day: Day,
}

/// The last whole event of a file, and whether the file's end is torn.
fn last_event(file: &mut File, length: u64) -> io::Result<(Option<LastEvent>, bool)> {
    let mut reach = TAIL;
    loop {
        let start = length.saturating_sub(reach);
        file.seek(SeekFrom::Start(start))?;
        let mut tail = Vec::new();
        file.take(length - start).read_to_end(&mut tail)?;
        let is_torn = tail.last().is_some_and(|byte| *byte != b'\n');
        // The first piece may be the end of a line.
        let whole = if start == 0 { 0 } else { tail.iter().position(|b| *b == b'\n').unwrap_or(0) };
        let found = tail[whole..]
            .rsplit(|byte| *byte == b'\n')
            .find_map(|line| read_head(line.trim_ascii_end()).ok())
            .map(|head| LastEvent { n: head.n, at_ms: head.at_ms, day: head.day });
        if found.is_some() || start == 0 {
            return Ok((found, is_torn));
        }
        reach *= 16;
    }
}
