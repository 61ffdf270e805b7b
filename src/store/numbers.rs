//! The numbers that a device has given, in all files that hold its events: a copy left by a sync,
//! one that was brought along.

use std::path::Path;

use crate::base::Day;
use crate::journal::EventId;
use crate::store::Trouble;
use crate::store::sources::{Source, sources};

/// The last event of a device, by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct LastEvent {
    pub n: u64,
    pub at_ms: i64,
    pub day: Day,
}

/// What its writer must know.
#[derive(Debug, Default)]
pub(super) struct Numbers {
    pub last: Option<LastEvent>,
    /// A number that was given to two events.
    pub used_twice: Option<u64>,
    /// The hash of the first line of its own file.
    pub first_sum: Option<u32>,
}

impl Numbers {
    /// A file alone is looked at from its end; a copy may differ anywhere.
    ///
    /// # Errors
    /// The machine's own trouble; a file of a newer format.
    pub fn of_device(folder: &Path, device: &str) -> Result<Self, Trouble> {
        let mut files = files(folder, device)?;
        let mut numbers = Self { first_sum: first_sum(folder, device)?, ..Self::default() };
        if let [alone] = &mut files[..] {
            numbers.read(alone.tail()?, &mut files)?;
        }
        if numbers.last.is_none() {
            numbers.read(0, &mut files)?;
        }
        Ok(numbers)
    }

    fn read(&mut self, from: u64, files: &mut [Source]) -> Result<(), Trouble> {
        let mut given = Vec::new();
        for file in files {
            file.each_head(from, |_, _, head| {
                let Ok(head) = head else { return };
                given.push((head.n, head.sum));
                let event = LastEvent { n: head.n, at_ms: head.at_ms, day: head.day };
                self.last = self.last.max(Some(event));
            })?;
        }
        given.sort_unstable();
        given.dedup();
        let twice = given.windows(2).find(|pair| pair[0].0 == pair[1].0);
        self.used_twice = twice.map(|pair| pair[0].0);
        Ok(())
    }
}

/// The files with events of a device.
fn files(folder: &Path, device: &str) -> Result<Vec<Source>, Trouble> {
    let (mut files, _) = sources(folder)?;
    files.retain(|source| source.device == device);
    Ok(files)
}

/// The hash of the first event in a device's own file, which tells this journal from that of every
/// other home.
///
/// # Errors
/// The machine's own trouble; a file of a newer format.
pub(super) fn first_sum(folder: &Path, device: &str) -> Result<Option<u32>, Trouble> {
    Ok(files(folder, device)?.iter().find(|file| file.is_own(device)).and_then(Source::first_sum))
}

/// The hash of an event's line, looked for first in this writer's `own` file, and there from its
/// end.
///
/// # Errors
/// The machine's own trouble; a file of a newer format.
pub(super) fn content_of(folder: &Path, own: &Path, of: &EventId) -> Result<Option<u32>, Trouble> {
    let mut files = files(folder, &of.device)?;
    files.sort_by_key(|file| file.path != own);
    for file in &mut files {
        for from in [file.tail()?, 0] {
            let mut found = None;
            file.each_head(from, |_, _, head| {
                found = head.ok().filter(|head| head.n == of.n).map(|head| head.sum).or(found);
            })?;
            if found.is_some() {
                return Ok(found);
            }
        }
    }
    Ok(None)
}
