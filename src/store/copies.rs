//! Copies that folder tools and editors leave beside a home's files, known by their names.
//!
//! A copy is never read as a file of its own, but for a journal's: lines are facts, and the same
//! line counts once. A deck with its own key is an opponent, whatever its file is called.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{BufRead as _, BufReader, Read as _};

use crate::base::Day;
use crate::deck::Deck;
use crate::journal::Header;
use crate::store::{DAYS_IN_BIN, Home, Trouble, disk};

/// The files that stand in the home itself.
pub(super) const FILES: [&str; 4] = ["player.ron", "rehearsals.ron", "phone.ron", "table.ron"];
/// The endings of a home's files.
const ENDINGS: [&str; 2] = [".ron", ".jsonl"];
/// What editors put behind a name.
const BEHIND: [&str; 3] = ["~", ".orig", ".bak"];
/// What folder tools put behind the part before the ending, in small letters; anything follows.
const MARKS: [&str; 9] = [
    ".sync-conflict-",
    ".conflict",
    "-conflict",
    "_conflict",
    " conflict",
    " - copy",
    " - kopie",
    " - copia",
    " copy",
];
/// Where copies that were settled lie: `bin/copies/2026-11-28_decks_north (1).ron`.
const SETTLED: &str = "bin/copies";
/// Bytes among which a header ends.
const HEADER: u64 = 4096;

/// A file that is a copy of another one, both named as the player knows them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileCopy {
    /// What it is a copy of: `decks/north.ron`.
    pub of: String,
    /// The copy: `decks/north (1).ron`.
    pub file: String,
}

/// The name of a file of which one with this name may be a copy.
fn original(name: &str) -> Option<String> {
    if let Some(of) = BEHIND.iter().find_map(|behind| name.strip_suffix(behind)) {
        return Some(of.to_owned());
    }
    let ending = ENDINGS.iter().find(|ending| name.ends_with(*ending))?;
    let stem = name.strip_suffix(ending)?;
    let bracket = stem.ends_with(')').then(|| stem.rfind('(')).flatten();
    let small = stem.to_ascii_lowercase();
    let end = match bracket {
        Some(bracket) => stem[..bracket].trim_end_matches("_conf").len(),
        None => MARKS.iter().filter_map(|mark| small.rfind(mark)).min()?,
    };
    Some(format!("{}{ending}", stem[..end].trim_end()))
}

/// The file among these of which one with this name is a copy.
fn found(name: &str, names: &BTreeSet<String>) -> Option<String> {
    let mut of = original(name)?;
    while !names.contains(&of) {
        of = original(&of)?;
    }
    // Of several copies of copies all are of the first.
    Some(found(&of, names).unwrap_or(of))
}

impl Home {
    /// The copies in a folder of the home; `""` is the home itself.
    fn copies_in(&self, folder: &str) -> Result<Vec<FileCopy>, Trouble> {
        let names: BTreeSet<_> = disk::stems(&self.root().join(folder), "")?.into_iter().collect();
        let inside = |name: &str| {
            if folder.is_empty() { name.to_owned() } else { format!("{folder}/{name}") }
        };
        let copy = |name: &String| {
            let of = found(name, &names)?;
            let copy = FileCopy { of: inside(&of), file: inside(name) };
            let is_ours = ENDINGS.iter().any(|ending| of.ends_with(ending))
                && (!folder.is_empty() || FILES.contains(&&*of));
            (is_ours && !self.is_its_own(&copy)).then_some(copy)
        };
        Ok(names.iter().filter_map(copy).collect())
    }

    /// Every copy in the home.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn copies(&self) -> Result<Vec<FileCopy>, Trouble> {
        let folders = ["", "decks", "launchers", "journal"].map(|folder| self.copies_in(folder));
        Ok(folders.into_iter().collect::<Result<Vec<_>, _>>()?.concat())
    }

    /// True of a deck with its own key, and of the journal of another device.
    fn is_its_own(&self, copy: &FileCopy) -> bool {
        let both = [&copy.of, &copy.file];
        if copy.file.starts_with("decks/") {
            let [of, copy] = both.map(|file| self.read_ron::<Deck>(file).ok().flatten());
            return of.zip(copy).is_some_and(|(of, copy)| of.key != copy.key);
        }
        let device = |file: &String| {
            let mut line = Vec::new();
            let file = File::open(self.root().join(file)).ok()?;
            BufReader::new(file.take(HEADER)).read_until(b'\n', &mut line).ok()?;
            Header::read(line.trim_ascii_end()).ok().map(|header| header.device)
        };
        let [of, copy] = both.map(device);
        of.zip(copy).is_some_and(|(of, copy)| of != copy)
    }

    /// The names of the files in a folder that are read, without their ending, sorted.
    pub(super) fn stems_read(&self, folder: &str) -> Result<Vec<String>, Trouble> {
        let mut stems = disk::stems(&self.root().join(folder), ".ron")?;
        // Where no name looks like one, nothing is read to find out.
        if stems.iter().any(|stem| original(&format!("{stem}.ron")).is_some()) {
            let copies = self.copies_in(folder)?;
            stems.retain(|stem| {
                let file = format!("{folder}/{stem}.ron");
                copies.iter().all(|copy| copy.file != file)
            });
        }
        Ok(stems)
    }

    /// The names of the launchers' files without their ending, sorted.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn launcher_stems(&self) -> Result<Vec<String>, Trouble> {
        self.stems_read("launchers")
    }

    /// Where a file lies once it is settled; the folder is made.
    pub(super) fn settled_name(&self, file: &str, day: Day) -> Result<String, Trouble> {
        disk::make_folder(&self.root().join(SETTLED))?;
        let name = format!("{SETTLED}/{day}_{}", file.replace('/', "_"));
        let mut names = (2..u32::MAX).map(|number| format!("{name}.{number}"));
        let is_free = |name: &String| !self.root().join(name).exists();
        Ok(Some(name.clone()).filter(is_free).or_else(|| names.find(is_free)).unwrap_or(name))
    }

    /// Deletes for good the copies that were settled long ago, or all of this deck.
    pub(super) fn sweep_settled(&self, day: Day, stem: Option<&str>) -> Result<(), Trouble> {
        for name in disk::stems(&self.root().join(SETTLED), "")? {
            let Some((since, file)) = name.split_once('_') else { continue };
            let is_old = since.parse().is_ok_and(|since: Day| since.plus(DAYS_IN_BIN) < day);
            // What a journal's copy had of anybody stands in the journal.
            let is_about = |stem: &str| {
                let deck = file.strip_prefix("decks_").is_some_and(|file| file.starts_with(stem));
                deck || file.starts_with("journal_")
            };
            if is_old || stem.is_some_and(is_about) {
                let path = self.root().join(SETTLED).join(&name);
                fs::remove_file(&path)
                    .map_err(|error| Trouble::machine("cannot delete", &path, error))?;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_only_look_like_copies_lead_nowhere() {
        let names = ["kim.ron", "kim (1).ron", "kim-north.ron", "kim (north).ron", "copy.ron"];
        let names = names.map(str::to_owned).into_iter().collect();
        assert_eq!(found("kim (1).ron", &names).as_deref(), Some("kim.ron"));
        assert_eq!(found("kim (1) (conflicted copy).ron", &names).as_deref(), Some("kim.ron"));
        for own in ["kim.ron", "kim-north.ron", "copy.ron", "lee (1).ron", "kim.txt", "(1).ron"] {
            assert_eq!(found(own, &names), None, "{own}");
        }
    }
}
