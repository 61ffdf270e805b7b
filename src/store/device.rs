//! Which device this is: a random word kept outside every home, because homes are copied and
//! devices are not.

use std::path::{Path, PathBuf};

use crate::base::Dice;
use crate::base::Finding;
use crate::base::finding::Place;
use crate::store::disk::Over;
use crate::store::{Trouble, disk};

/// Letters and digits that cannot be mistaken for each other.
const LETTERS: &[u8] = b"abcdefghjkmnpqrstuvwxyz23456789";

/// The device that writes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    id: String,
    /// The id it takes when this one turns out to be used elsewhere too.
    spare: String,
    /// Where it is remembered; nowhere in tests and demonstrations.
    folder: Option<PathBuf>,
    /// Where it could not be remembered, it may read and not write.
    is_kept: bool,
}

impl Device {
    /// Letters and digits of an id; 31 ^ 10 is enough for every device there will be.
    const LENGTH: usize = 10;

    /// A device with a known id, for tests and demonstrations.
    ///
    /// Anything but letters, digits and hyphens is left out, because a file is named after it.
    pub fn named(id: &str) -> Self {
        let is_plain = |letter: &char| letter.is_ascii_alphanumeric() || *letter == '-';
        let id = id.chars().filter(is_plain).collect();
        Self { id, spare: String::new(), folder: None, is_kept: true }
    }

    /// This device, as remembered in `folder` (the platform's folder for state, never the home).
    ///
    /// `random` names it on its first use: true randomness, never a seed that another run may
    /// repeat.
    ///
    /// # Errors
    /// What is remembered is no id.
    pub fn remembered(folder: &Path, random: u64) -> Result<Self, Trouble> {
        let path = folder.join("device");
        let mut dice = Dice::from_seed(random);
        let mut word = || -> String {
            (0..Self::LENGTH).map(|_| char::from(LETTERS[dice.below(LETTERS.len())])).collect()
        };
        let (id, spare) = (word(), word());
        if !path.exists() {
            // Whether it worked, or another process was first, is seen when it is read.
            let text = format!("{id}\n");
            let _ = disk::write_inside(folder, "device", text.as_bytes(), Over::Nothing);
        }
        let Ok(Some(text)) = disk::read_text(&path, "device") else {
            return Ok(Self { id, spare, folder: Some(folder.to_owned()), is_kept: false });
        };
        let id = text.trim();
        if id.is_empty() || Self::named(id).id != id || id.len() > 40 {
            return Err(Trouble::finding(
                Finding::error("this is not the id of a device")
                    .at(Place::file(path.display().to_string()))
                    .hint("delete the file; a new id is made, old answers keep theirs"),
            ));
        }
        Ok(Self { spare, folder: Some(folder.to_owned()), ..Self::named(id) })
    }

    /// The id this device has from now on, because another one uses its id too; none where it
    /// cannot be remembered.
    pub(crate) fn renewed(&self) -> Option<String> {
        let folder = self.folder.as_ref()?;
        let read = || disk::read_text(&folder.join("device"), "device").ok()?;
        let was = read().filter(|was| was.trim() == self.id);
        if let Some(was) = was {
            let text = format!("{}\n", self.spare);
            drop(disk::write_inside(
                folder,
                "device",
                text.as_bytes(),
                Over::These(was.as_bytes()),
            ));
        }
        // A run that has begun before it was renewed finds the new one here.
        read().map(|text| text.trim().to_owned()).filter(|id| *id != self.id)
    }

    /// The last number this device remembers to have given in the journal that begins with a line
    /// of this hash.
    pub(crate) fn last_number(&self, journal: u32) -> Option<u64> {
        std::fs::read_to_string(self.number_file(journal)?).ok()?.trim().parse().ok()
    }

    /// Remembers it; what cannot be written is not missed, for a lower number does no harm.
    pub(crate) fn remember_number(&self, journal: u32, n: u64) {
        if let Some(file) = self.number_file(journal) {
            drop(std::fs::write(file, format!("{n}\n")));
        }
    }

    fn number_file(&self, journal: u32) -> Option<PathBuf> {
        Some(self.folder.as_ref()?.join(format!("last-{journal:08x}")))
    }

    /// Refuses a device that would have another name the next time.
    ///
    /// # Errors
    /// A finding that names the folder.
    pub(crate) fn must_be_kept(&self) -> Result<(), Trouble> {
        let Some(folder) = self.folder.as_ref().filter(|_| !self.is_kept) else { return Ok(()) };
        let what = format!("`{}` cannot be written in; nothing was kept", folder.display());
        Err(Trouble::finding(Finding::error(what).hint(
            "this device is remembered there: give yourself the right to write, or name another \
             folder in XDG_STATE_HOME",
        )))
    }

    /// The id.
    pub fn id(&self) -> &str {
        &self.id
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_device_keeps_the_id_of_its_first_use() {
        let folder = tempfile::tempdir().unwrap();
        let inner = folder.path().join("state");
        let first = Device::remembered(&inner, 1).unwrap();
        assert_eq!(first.id().len(), 10);
        assert_eq!(Device::remembered(&inner, 2).unwrap().id(), first.id());
        std::fs::write(inner.join("device"), "../x").unwrap();
        assert!(Device::remembered(&inner, 3).is_err());
    }
}
