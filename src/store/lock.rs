//! One writer at a time: the second waits briefly, then is told who holds the lock.
//!
//! The lock is the system's own and goes with its process, however that ends; the text in the file
//! only says who it is. Reading never needs it.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{ErrorKind, Read as _, Seek as _, Write as _};
use std::path::Path;
use std::time::Duration;

use crate::base::{Finding, Moment};
use crate::store::Trouble;

/// Tries before giving up, and the pause between them: about a second in all.
const TRIES: u32 = 100;
const PAUSE: Duration = Duration::from_millis(10);
/// The same where nobody holds the lock for longer than a write, and many may queue for it.
const TRIES_IN_A_QUEUE: u32 = 2_000;

/// A lock that is held until it is dropped.
#[derive(Debug)]
pub(crate) struct Lock {
    _file: File,
}

/// Why the lock cannot be taken: a folder nobody may write in is no failure of the machine.
fn refused(path: &Path, error: std::io::Error) -> Trouble {
    match (error.kind(), path.parent()) {
        (ErrorKind::PermissionDenied, Some(folder)) => Trouble::finding(
            Finding::error(format!("the folder `{}` may not be written in", folder.display()))
                .hint("give yourself the right to write there, or name another home: `--home DIR`"),
        ),
        _ => Trouble::machine("cannot lock", path, error),
    }
}

impl Lock {
    /// Takes the lock at `path`, for a while since `now` or for one write.
    ///
    /// # Errors
    /// A finding that names the process which holds it; the machine's own trouble.
    pub(crate) fn take(path: &Path, now: Option<Moment>) -> Result<Self, Trouble> {
        let trouble = |error| refused(path, error);
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)
            .map_err(trouble)?;
        let tries = if now.is_some() { TRIES } else { TRIES_IN_A_QUEUE };
        for attempt in 0..tries {
            match file.try_lock() {
                Ok(()) => {
                    let since = now.map_or_else(String::new, |now| format!(" since {now}"));
                    // Who holds it is a courtesy; a full disk must not stop the reading of old
                    // events.
                    let _ = file
                        .set_len(0)
                        .and_then(|()| file.rewind())
                        .and_then(|()| write!(file, "process {}{since}", std::process::id()));
                    return Ok(Self { _file: file });
                }
                Err(TryLockError::WouldBlock) if attempt + 1 < tries => std::thread::sleep(PAUSE),
                Err(TryLockError::WouldBlock) => break,
                Err(TryLockError::Error(error)) => return Err(trouble(error)),
            }
        }
        let mut holder = String::new();
        let _ = file.rewind().and_then(|()| file.read_to_string(&mut holder).map(|_| ()));
        let holder = holder.trim();
        let holder = if holder.is_empty() { "another process" } else { holder };
        Err(Trouble::finding(
            Finding::error(format!("another secondball is writing to this home: {holder}"))
                .hint("end it there first; it may be a drill left open in another window"),
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_that_may_not_be_written_in_is_named_with_the_way_out() {
        let path = Path::new("home/decks/.lock");
        let trouble = refused(path, ErrorKind::PermissionDenied.into());
        let Trouble::Findings(findings) = trouble else { panic!("{trouble}") };
        assert!(findings[0].what.contains("`home/decks` may not be written in"), "{findings:?}");
        let full = refused(path, ErrorKind::StorageFull.into());
        assert!(matches!(full, Trouble::Machine { .. }), "{full}");
    }
}
