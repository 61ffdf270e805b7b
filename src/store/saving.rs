//! Saving a file of the home that somebody else may be changing at the same time.
//!
//! Who saves says what was read and what is wanted. Under the home's lock the file is read again: a
//! change made there meanwhile is kept, and where both changed the same thing nothing is written.
//! An editor or a sync program takes no lock, so the bytes are compared just before they are
//! replaced, and where they are others everything is done again.

use std::fs;

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::base::Finding;
use crate::base::finding::Place;
use crate::deck::advice::Judged;
use crate::store::disk::Over;
use crate::store::lock::Lock;
use crate::store::parse::parse;
use crate::store::three_way::merged;
use crate::store::writing::Plain;
use crate::store::{Home, Trouble, disk, editing};

/// Tries against a file that changes all the time.
const TRIES: u32 = 3;
/// What the name of a file that was moved aside has behind its own.
pub(super) const UNREADABLE: &str = ".unreadable-";
/// The folders in which a home's files are written.
const FOLDERS: [&str; 7] = ["", "decks", "launchers", "journal", "cache", "bin", "bin/copies"];

/// Somebody else has changed the same.
pub(super) fn changed_since(file: &str, path: &[String]) -> Trouble {
    let what = if path.is_empty() { file.to_owned() } else { path.join(", ") };
    Trouble::finding(
        Finding::error(format!("`{what}` has changed since it was read; nothing was written"))
            .at(Place::file(file))
            .hint("type the command again: it begins with what the file says now"),
    )
}

impl Home {
    /// The lock of all files that are read, changed and written; never held while anybody is asked.
    ///
    /// # Errors
    /// Another process holds it for too long; the machine's own trouble.
    pub(crate) fn lock(&self) -> Result<Lock, Trouble> {
        let lock = Lock::take(&self.root().join(".lock"), None)?;
        self.sweep();
        Ok(lock)
    }

    /// Deletes what writes that were cut off have left behind.
    pub(super) fn sweep(&self) {
        for folder in FOLDERS {
            disk::sweep(&self.root().join(folder));
        }
    }

    /// Moves a file that cannot be read aside, before a new one takes its name; says where it is.
    /// The lock is held.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub(crate) fn move_aside(&self, file: &str) -> Result<Finding, Trouble> {
        let mut names = (1..u32::MAX).map(|number| format!("{file}{UNREADABLE}{number}"));
        let free = names.find(|name| !self.root().join(name).exists());
        let (path, aside) = (self.root().join(file), free.unwrap_or_default());
        fs::rename(&path, self.root().join(&aside))
            .map_err(|error| Trouble::machine("cannot move aside", &path, error))?;
        let what = format!("{file} cannot be read; it is kept as {aside}, and a new one is begun");
        Ok(Finding::warning(what).hint("`secondball check` says what to do with it"))
    }

    /// Writes a new file.
    ///
    /// # Errors
    /// One of this name is there; the machine's own trouble.
    pub fn write_text(&self, file: &str, text: &str) -> Result<(), Trouble> {
        if disk::write_inside(self.root(), file, text.as_bytes(), Over::Nothing)? {
            return Ok(());
        }
        let what = "there is a file of this name already; nothing was written";
        Err(Trouble::finding(Finding::error(what).at(Place::file(file))))
    }

    pub(super) fn write_new<T: Serialize>(
        &self,
        file: &str,
        header: &str,
        value: &T,
    ) -> Result<(), Trouble> {
        self.write_text(file, &Plain::from_value(file, value)?.document(header))
    }

    /// Makes the change from `was` to `now` in a file, or writes a new one where none was read.
    pub(super) fn save<T: Serialize + DeserializeOwned + PartialEq>(
        &self,
        file: &str,
        header: &str,
        was: Option<&T>,
        now: &T,
        judge: impl Fn(&T) -> Vec<Judged>,
    ) -> Result<(), Trouble> {
        let _lock = self.lock()?;
        for _ in 0..TRIES {
            let Some(text) = self.text(file)? else {
                return match was {
                    Some(_) => Err(changed_since(file, &[])),
                    None => self.write_new(file, header, now),
                };
            };
            let there = parse(file, &text, &judge).map_err(Trouble::Findings)?.value;
            let both;
            let wanted = if was == Some(&there) {
                now
            } else {
                both = joined(file, was, &there, now, &judge)?;
                &both
            };
            let Some(changed) = editing::edited(file, &text, wanted, &judge)? else {
                return Ok(());
            };
            let read = Over::These(text.as_bytes());
            if disk::write_over(&self.root().join(file), changed.as_bytes(), read)? {
                return Ok(());
            }
        }
        Err(changed_since(file, &[]))
    }
}

/// What is there with the change from `was` to `now` made in it.
fn joined<T: Serialize + DeserializeOwned>(
    file: &str,
    was: Option<&T>,
    there: &T,
    now: &T,
    judge: impl Fn(&T) -> Vec<Judged>,
) -> Result<T, Trouble> {
    let was = was.map(|was| Plain::from_value(file, was)).transpose()?;
    let (there, now) = (Plain::from_value(file, there)?, Plain::from_value(file, now)?);
    let [there, now] = [&there, &now].map(|plain| Some((plain, &plain.root)));
    let both = merged(was.as_ref().map(|was| (was, &was.root)), there, now)
        .map_err(|path| changed_since(file, &path))?;
    // Each change alone may stand, and both together may not.
    let both = parse(file, &both.unwrap_or_default(), judge);
    both.map(|parsed| parsed.value).map_err(|_| changed_since(file, &[]))
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;
    use crate::store::Device;

    #[test]
    fn a_change_between_reading_and_replacing_is_kept_and_endless_changes_are_said() {
        let folder = tempfile::tempdir().unwrap();
        let home = Home::at(folder.path().to_owned(), Device::named("a"));
        let path = folder.path().join("numbers.ron");
        let read = || fs::read_to_string(&path).unwrap();
        let (was, now) = (vec![1], vec![1, 2]);
        // An editor saves while the file is being judged, so many times.
        let save = |times: u32, text: fn(u32) -> String| {
            fs::write(&path, "[1]").unwrap();
            let left = Cell::new(times);
            home.save("numbers.ron", "", Some(&was), &now, |_: &Vec<u32>| {
                if left.get() > 0 {
                    fs::write(&path, text(left.get())).unwrap();
                    left.set(left.get() - 1);
                }
                Vec::new()
            })
        };
        save(1, |_| "[1, 7] // by hand".to_owned()).unwrap();
        assert_eq!(read(), "[1, 7, 2] // by hand");
        let said = save(99, |left| format!("[1, {left}]")).unwrap_err().to_string();
        assert!(said.contains("`numbers.ron` has changed since it was read"), "{said}");
    }
}
