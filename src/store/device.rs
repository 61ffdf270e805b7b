//! Which device this is: a random word kept outside every home, because homes are copied and
//! devices are not.

use std::path::Path;

use crate::base::Dice;
use crate::base::Finding;
use crate::base::finding::Place;
use crate::store::{Trouble, disk};

/// Letters and digits that cannot be mistaken for each other.
const LETTERS: &[u8] = b"abcdefghjkmnpqrstuvwxyz23456789";

/// The device that writes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    id: String,
}

impl Device {
    /// Letters and digits of an id; 31 ^ 10 is enough for every device there will be.
    const LENGTH: usize = 10;

    /// A device with a known id, for tests and demonstrations.
    ///
    /// Anything but letters, digits and hyphens is left out, because a file is named after it.
    pub fn named(id: &str) -> Self {
        let is_plain = |letter: &char| letter.is_ascii_alphanumeric() || *letter == '-';
        Self { id: id.chars().filter(is_plain).collect() }
    }

    /// This device, as remembered in `folder` (the platform's folder for state, never the home).
    ///
    /// `random` names it on its first use: true randomness, never a seed that another run may
    /// repeat.
    ///
    /// # Errors
    /// The folder cannot be read or written, or what is in it is no id.
    pub fn remembered(folder: &Path, random: u64) -> Result<Self, Trouble> {
        let path = folder.join("device");
        if let Some(text) = disk::read_text(&path, "device")? {
            let id = text.trim();
            if id.is_empty() || Self::named(id).id != id || id.len() > 40 {
                return Err(Trouble::finding(
                    Finding::error("this is not the id of a device")
                        .at(Place::file(path.display().to_string()))
                        .hint("delete the file; a new id is made, old answers keep theirs"),
                ));
            }
            return Ok(Self::named(id));
        }
        disk::make_folder(folder)?;
        let mut dice = Dice::from_seed(random);
        let id: String =
            (0..Self::LENGTH).map(|_| char::from(LETTERS[dice.below(LETTERS.len())])).collect();
        disk::write_whole(&path, format!("{id}\n").as_bytes())?;
        Ok(Self { id })
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
        assert_eq!(Device::remembered(&inner, 2).unwrap(), first);
        std::fs::write(inner.join("device"), "../x").unwrap();
        assert!(Device::remembered(&inner, 3).is_err());
    }
}
