//! Settling a copy: what it says otherwise, and one file in place of two. Nothing is deleted: what
//! is not kept lies in the bin for as long as a forgotten opponent.

use std::collections::BTreeSet;
use std::fs;

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::base::{Day, Moment};
use crate::deck::advice::{self, Judged};
use crate::journal::read_head;
use crate::receive;
use crate::store::check::judge_table;
use crate::store::disk::Over;
use crate::store::launcher_file::judge_launcher_file;
use crate::store::lock::Lock;
use crate::store::parse::parse;
use crate::store::saving::changed_since;
use crate::store::uniting::united;
use crate::store::writing::Plain;
use crate::store::{Difference, FileCopy, Home, Trouble, disk, editing};

/// What becomes of a copy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Settle {
    /// The file stays as it is.
    Keep,
    /// The copy takes its place.
    Take,
    /// Both together take its place.
    Join,
}

/// A file and its copy as they were read.
#[derive(Debug)]
pub struct Compared {
    /// Where they differ, when both can be read.
    pub differences: Vec<Difference>,
    /// Whether the file can be read, and whether the copy can.
    pub reads: [bool; 2],
    texts: [Vec<u8>; 2],
    joined: Option<String>,
}

impl Compared {
    /// True when there is nothing to ask.
    pub fn is_same(&self) -> bool {
        let [mine, theirs] = &self.texts;
        mine == theirs || self.reads == [true, true] && self.differences.is_empty()
    }

    /// True when both together are more than the file.
    pub const fn can_join(&self) -> bool {
        self.joined.is_some()
    }
}

/// Both values together, and where they differ.
type Joined<T> = (T, Vec<Difference>);

impl Home {
    /// Compares a file with its copy; `join` is for values whose parts no name tells apart.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn compared<T: Serialize + DeserializeOwned + PartialEq>(
        &self,
        copy: &FileCopy,
        judge: impl Fn(&T) -> Vec<Judged>,
        join: Option<fn(&T, &T) -> Joined<T>>,
    ) -> Result<Compared, Trouble> {
        let bytes = |file: &String| {
            let path = self.root().join(file);
            fs::read(&path).map_err(|error| Trouble::machine("cannot read", &path, error))
        };
        let texts = [bytes(&copy.of)?, bytes(&copy.file)?];
        let read = |bytes: &Vec<u8>| {
            let text = std::str::from_utf8(bytes).ok()?;
            parse(&copy.of, text, &judge).ok().map(|parsed| parsed.value)
        };
        let values = [read(&texts[0]), read(&texts[1])];
        let reads = [values[0].is_some(), values[1].is_some()];
        let (mut differences, mut joined) = (Vec::new(), None);
        if let [Some(mine), Some(theirs)] = &values {
            let both;
            if let Some(join) = join {
                let all;
                (all, differences) = join(mine, theirs);
                both = Some(all);
            } else {
                let plain = |value| Plain::from_value(&copy.of, value);
                let (mine, theirs) = (plain(mine)?, plain(theirs)?);
                let [mine, theirs] = [&mine, &theirs].map(|plain| (plain, &plain.root));
                let text = united(mine, theirs, &[], &mut differences);
                // What each says alone may stand, and both together may not.
                both = parse(&copy.of, &text, &judge).ok().map(|parsed| parsed.value);
            }
            let text = String::from_utf8_lossy(&texts[0]);
            joined = both.and_then(|both| editing::edited(&copy.of, &text, &both, &judge).ok()?);
        }
        Ok(Compared { differences, reads, texts, joined })
    }

    /// The same for a file whose kind is known here.
    ///
    /// # Errors
    /// As [`Home::compared`].
    pub fn compared_by_kind(&self, copy: &FileCopy) -> Result<Compared, Trouble> {
        match &*copy.of {
            "player.ron" => self.compared(copy, advice::of_player, None),
            "table.ron" => self.compared(copy, judge_table, None),
            of if of.starts_with("decks/") => self.compared(copy, receive::of_deck, None),
            _ => self.compared(copy, judge_launcher_file, None),
        }
    }

    /// Makes one file of both, and moves the copy into the bin.
    ///
    /// # Errors
    /// One of them has changed since; the machine's own trouble.
    pub fn settle(
        &self,
        copy: &FileCopy,
        compared: &Compared,
        how: Settle,
        day: Day,
    ) -> Result<(), Trouble> {
        let _lock = self.lock()?;
        let [mine, theirs] = &compared.texts;
        for (file, read) in [(&copy.of, mine), (&copy.file, theirs)] {
            if fs::read(self.root().join(file)).ok().as_ref() != Some(read) {
                return Err(changed_since(file, &[]));
            }
        }
        let wanted = match how {
            Settle::Keep => None,
            Settle::Take => Some(theirs.as_slice()),
            Settle::Join => compared.joined.as_deref().map(str::as_bytes),
        };
        if let Some(wanted) = wanted {
            // Before it is replaced, so that whatever is cut off leaves both.
            let kept = self.settled_name(&copy.of, day)?;
            disk::write_whole(&self.root().join(kept), mine)?;
            if !disk::write_over(&self.root().join(&copy.of), wanted, Over::These(mine))? {
                return Err(changed_since(&copy.of, &[]));
            }
        }
        self.put_away(&copy.file, day)
    }

    /// Takes the lines that only the copy of a journal has into the journal, each at its number,
    /// and moves the copy into the bin; how many they were.
    ///
    /// # Errors
    /// Another process is writing; the machine's own trouble.
    pub fn settle_journal(&self, copy: &FileCopy, now: Moment, day: Day) -> Result<usize, Trouble> {
        let _lock = Lock::take(&self.journal_folder().join(".lock"), Some(now))?;
        let path = self.root().join(&copy.of);
        let mine = fs::read(&path).map_err(Trouble::reading(&path))?;
        let their_path = self.root().join(&copy.file);
        let theirs = fs::read(&their_path).map_err(Trouble::reading(&their_path))?;
        let (both, added) = united_lines(&mine, &theirs);
        if added > 0 && !disk::write_over(&path, &both, Over::These(&mine))? {
            return Err(changed_since(&copy.of, &[]));
        }
        self.put_away(&copy.file, day)?;
        Ok(added)
    }

    /// Moves a copy into the bin.
    pub(super) fn put_away(&self, file: &str, day: Day) -> Result<(), Trouble> {
        let to = self.settled_name(file, day)?;
        self.move_file(file, &to)
    }
}

/// A journal with the lines that only its copy has, each before the first with a higher number; and
/// how many they are. Lines that cannot be read stay in the copy.
fn united_lines(mine: &[u8], theirs: &[u8]) -> (Vec<u8>, usize) {
    let lines = |bytes: &'_ [u8]| -> Vec<Vec<u8>> {
        bytes.split(|byte| *byte == b'\n').map(|line| line.trim_ascii_end().to_vec()).collect()
    };
    let (mut ours, theirs) = (lines(mine), lines(theirs));
    // What is behind the last newline is no line, and nothing is glued to a torn one.
    if ours.last().is_some_and(Vec::is_empty) {
        ours.pop();
    }
    let number = |line: &[u8]| read_head(line).ok().map(|head| (head.n, head.kind == "gone"));
    let known: BTreeSet<&[u8]> = ours.iter().map(Vec::as_slice).collect();
    let numbers: Vec<_> = ours.iter().map(|line| number(line)).collect();
    let gone: BTreeSet<u64> = numbers.iter().flatten().filter(|it| it.1).map(|it| it.0).collect();
    let there: BTreeSet<u64> = numbers.iter().flatten().map(|it| it.0).collect();
    let mut new: Vec<(u64, &Vec<u8>)> = theirs
        .iter()
        .filter(|line| !known.contains(line.as_slice()))
        .filter_map(|line| number(line).map(|(n, is_gone)| (n, is_gone, line)))
        // What was deleted here stays deleted, and a deleted line is none beside the event.
        .filter(|(n, is_gone, _)| !(gone.contains(n) || *is_gone && there.contains(n)))
        .map(|(n, _, line)| (n, line))
        .collect();
    new.sort_by_key(|(n, _)| *n);
    new.dedup();
    let added = new.len();
    let mut new = new.into_iter().peekable();
    let mut both = Vec::with_capacity(mine.len());
    for (line, own) in ours.iter().zip(numbers) {
        while let Some((_, earlier)) = new.next_if(|(n, _)| own.is_some_and(|own| own.0 > *n)) {
            both.extend([earlier, b"\n".as_slice()].concat());
        }
        both.extend([line, b"\n".as_slice()].concat());
    }
    for (_, line) in new {
        both.extend([line, b"\n".as_slice()].concat());
    }
    (both, added)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn line(n: u64, what: u8) -> String {
        format!(
            "{{\"n\":{n},\"at\":1795600000000,\"day\":\"2026-11-25\",\"k\":\"answer\",\"x\":{what}}}\n"
        )
    }

    proptest! {
        #[test]
        fn journals_that_went_apart_are_one_in_any_order(
            all in proptest::collection::vec((1_u64..30, 0_u8..3, 0_u8..4), 0..40)
        ) {
            let head = "{\"secondball\":\"journal\",\"format\":1,\"device\":\"a\"}\n";
            let file = |which: u8| {
                let has = |at: u8| at == 3 || at == which;
                let mut lines: Vec<_> = all.iter().filter(|one| has(one.2)).map(|one| (one.0, one.1)).collect();
                lines.sort_unstable();
                lines.dedup();
                head.to_owned() + &lines.into_iter().map(|(n, what)| line(n, what)).collect::<String>()
            };
            let [mine, one, other] = [0, 1, 2].map(file);
            let both = |first: &str, second: &str| {
                let (joined, _) = united_lines(mine.as_bytes(), first.as_bytes());
                let (joined, _) = united_lines(&joined, second.as_bytes());
                let again = united_lines(&joined, first.as_bytes());
                assert_eq!((again.1, &again.0), (0, &joined));
                let text = String::from_utf8(joined).unwrap();
                let mut lines: Vec<_> = text.lines().map(str::to_owned).collect();
                lines.sort_unstable();
                lines
            };
            let joined = both(&one, &other);
            prop_assert_eq!(&joined, &both(&other, &one));
            for text in [&mine, &one, &other] {
                prop_assert!(text.lines().all(|line| joined.contains(&line.to_owned())));
            }
        }
    }

    #[test]
    fn a_line_that_was_deleted_here_does_not_come_back_and_numbers_rise() {
        let gone = "{\"n\":2,\"at\":1795600000000,\"day\":\"2026-11-25\",\"k\":\"gone\"}\n";
        let mine = [line(1, 0), gone.to_owned(), line(4, 0)].concat();
        let theirs = [line(1, 0), line(2, 0), line(3, 0), "{\"n\":5,".to_owned()].concat();
        let (both, added) = united_lines(mine.as_bytes(), theirs.as_bytes());
        let wanted = [line(1, 0), gone.to_owned(), line(3, 0), line(4, 0)].concat();
        assert_eq!((String::from_utf8(both).unwrap(), added), (wanted, 1));
    }
}
