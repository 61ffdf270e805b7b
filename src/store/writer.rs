//! Appending to this device's own journal. An event that has been acknowledged is on the disk.
//!
//! A line is written in one piece with its newline and synced. Where an earlier writing was cut
//! off, a newline goes first, so that nothing is ever glued to the torn piece.

use std::fs::{File, OpenOptions};
use std::io::{self, Read as _, Seek as _, SeekFrom, Write};
use std::path::{Path, PathBuf};

use crate::base::{Day, Finding, Moment};
use crate::journal::{Event, EventId, Fact, Header, LineError, write_line};
use crate::store::aside::CLASH_HINT;
use crate::store::lock::Lock;
use crate::store::numbers::{LastEvent, Numbers, content_of, first_sum};
use crate::store::{Device, Trouble, disk};

/// The one writer of a home's journal; others wait until it is dropped.
#[derive(Debug)]
pub struct Writer {
    file: File,
    path: PathBuf,
    /// Its id, which may be newer than what is remembered here.
    id: String,
    device: Device,
    next: u64,
    /// The last number that is on the disk.
    synced: u64,
    findings: Vec<Finding>,
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
        let mut id = device.id().to_owned();
        let mut numbers = Numbers::of_device(folder, &id)?;
        let mut findings = Vec::new();
        if let Some(n) = numbers.used_twice
            && let Some(new) = device.renewed()
        {
            let what = format!(
                "event {n} of device {id} is there with two contents, so this device is called \
                 {new} from now on"
            );
            findings.push(Finding::warning(what).hint(CLASH_HINT));
            id = new;
            numbers = Numbers::of_device(folder, &id)?;
        }
        let path = folder.join(format!("{id}.jsonl"));
        let trouble = |error| Trouble::machine("cannot write", &path, error);
        let file =
            OpenOptions::new().read(true).append(true).create(true).open(&path).map_err(trouble)?;
        let is_behind = |last: &LastEvent| last.at_ms > now.epoch_ms() || last.day > day;
        findings.extend(numbers.last.filter(is_behind).map(|last| {
            let minutes = (last.at_ms - now.epoch_ms()).max(0) / 60_000;
            Finding::warning(format!(
                "this clock says {now}, the last event here is of {}, {minutes} min later",
                last.day
            ))
            .hint("set the clock right, or go on if it was wrong then")
        }));
        let remembered = numbers.first_sum.and_then(|first| device.last_number(first));
        let next = numbers.last.map_or(0, |last| last.n).max(remembered.unwrap_or(0)) + 1;
        let device = device.clone();
        let mut writer = Self { file, path, id, device, next, synced: 0, findings, _lock: lock };
        let length = writer.file.metadata().map_err(|error| writer.trouble(error))?.len();
        if length == 0 {
            let header = Header::for_device(&writer.id).line();
            writer.put(&header.map_err(|error| cannot_keep(&error))?)?;
            writer.sync()?;
            disk::sync_folder(folder).map_err(|error| writer.trouble(error))?;
        } else if is_torn(&writer.file).map_err(|error| writer.trouble(error))? {
            writer.put("\n")?;
        }
        Ok(writer)
    }

    /// Puts a line at the end of the file: the one place where a journal grows.
    fn put(&mut self, line: &str) -> Result<(), Trouble> {
        self.file.write_all(line.as_bytes()).map_err(|error| self.trouble(error))
    }

    fn length(&self) -> Result<u64, Trouble> {
        Ok(self.file.metadata().map_err(|error| self.trouble(error))?.len())
    }

    fn trouble(&self, error: io::Error) -> Trouble {
        Trouble::machine("cannot write", &self.path, error)
    }

    /// What is to be said before anything is written: that the clock is behind the last event of
    /// this device, because order and spacing of what is learnt hang on it; that its id is new.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// Appends a fact; it is on the disk when this returns.
    ///
    /// # Errors
    /// The machine's own trouble; the event does not count then.
    pub fn append(&mut self, at: Moment, day: Day, fact: Fact) -> Result<EventId, Trouble> {
        let end = self.length()?;
        let id = self.append_unsynced(at, day, fact)?;
        if let Err(trouble) = self.sync() {
            // Said to be not kept, it would count twice when it is typed again.
            if self.file.set_len(end).is_ok() {
                self.next -= 1;
            }
            return Err(trouble);
        }
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
        mut fact: Fact,
    ) -> Result<EventId, Trouble> {
        if let (Fact::Undo { of, content: content @ None }, Some(folder)) =
            (&mut fact, self.path.parent())
        {
            *content = content_of(folder, &self.path, of)?;
        }
        let origin = origin.map(str::to_owned);
        let id = EventId { device: self.id.clone(), n: self.next };
        let event = Event { id: id.clone(), at_ms, day, origin, fact };
        let line = write_line(&event).map_err(|error| cannot_keep(&error))?;
        let end = self.length()?;
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
        self.file.sync_data().map_err(|error| self.trouble(error))?;
        self.synced = self.next - 1;
        Ok(())
    }
}

impl Drop for Writer {
    /// Remembers outside the home how far its journal went, so that a lost end is seen and its
    /// numbers are not given again.
    fn drop(&mut self) {
        if self.synced > 0
            && let Some(folder) = self.path.parent()
            && let Ok(Some(first)) = first_sum(folder, &self.id)
        {
            self.device.remember_number(first, self.synced);
        }
    }
}

fn cannot_keep(error: &LineError) -> Trouble {
    Trouble::finding(Finding::error(format!("this cannot be kept: {error}")))
}

/// Whether a file ends within a line.
fn is_torn(mut file: &File) -> io::Result<bool> {
    let mut last = [0];
    file.seek(SeekFrom::End(-1))?;
    file.read_exact(&mut last)?;
    Ok(last != *b"\n")
}
