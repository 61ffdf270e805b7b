//! What numbers and checksums show of a journal's lines that are not there any more; for `check`.

use std::collections::BTreeSet;

use crate::base::finding::Place;
use crate::base::{Finding, text};
use crate::store::aside::{AtLine, MOST_TOLD, at_line};
use crate::store::merge::{EventMark, Merge};
use crate::store::sources::Source;
use crate::store::{Device, Trouble};

/// The way to get them back.
const HINT: &str = "an older copy of the file, put beside it in journal/ under another name, is read \
                    too and may still have them";

/// `3 events missing`.
fn missing(from: u64, to: u64, place: &str) -> String {
    let events = text::count(usize::try_from(to + 1 - from).unwrap_or(usize::MAX), "event");
    format!("{events} missing {place}, number {from} to {to}")
}

impl Merge {
    /// Tells of events that must have been there, because numbers have no gap where lines have
    /// checksums, or because this device remembers to have written them; and of lines without
    /// checksums. A line that was set aside is the missing one.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn tell_missing(&mut self, device: &Device) -> Result<(), Trouble> {
        let mut all = [&self.marks[..], &self.set_aside, &self.others].concat();
        all.sort_by_key(|mark| (mark.device, mark.n));
        let aside = self.aside.findings.iter().map(|found| (found.source, found.offset));
        let aside: BTreeSet<_> = aside.collect();
        // Which of the lines that were only counted are the missing ones, nobody knows.
        let counted: Vec<bool> = self.aside.told.iter().map(|told| *told > MOST_TOLD).collect();
        let mut files = self.open()?;
        let mut before: Option<EventMark> = None;
        for &mark in &all {
            let last = before.replace(mark).filter(|last| last.device == mark.device);
            let next = last.map_or(1, |last| last.n + 1);
            let number = mark.source();
            let from = last.filter(|last| last.source() == number).map_or(0, |last| last.offset);
            // Lines that were sorted or put together by hand need not rise.
            let (from, to) = (from.min(mark.offset), from.max(mark.offset));
            let mut between = aside.range((number, from)..(number, to));
            let is_protected = mark.is_protected && last.is_none_or(|last| last.is_protected);
            let is_aside = counted[number] || between.next().is_some();
            if !is_protected || next >= mark.n || is_aside {
                continue;
            }
            let mut line = Vec::new();
            self.read_text(&mut files, mark, &mut line)?;
            let what = missing(next, mark.n - 1, "before this line");
            let found = at_line(&self.sources, number, mark.offset, &line, what, HINT);
            self.aside.tell(found);
        }
        let own = self.sources.iter().position(|source| source.is_own(device.id()));
        let remembered = own.and_then(|own| device.last_number(self.sources[own].first_sum()?));
        if let (Some(own), Some(remembered)) = (own, remembered) {
            let of_device = all.iter().filter(|mark| self.device(mark) == device.id());
            let last = of_device.max_by_key(|mark| mark.n);
            let (n, offset) = last.map_or((0, 0), |last| (last.n, last.offset));
            let is_aside =
                counted[own] || aside.range((own, offset)..(own + 1, 0)).next().is_some();
            if n < remembered && !is_aside {
                let Source { shown, end, .. } = &self.sources[own];
                let what = missing(n + 1, remembered, "behind the last line");
                let value = Finding::warning(what).at(Place::file(shown.clone())).hint(HINT);
                self.aside.findings.push(AtLine { source: own, offset: *end, value });
            }
        }
        let mut old = vec![0; self.sources.len()];
        for mark in all.iter().filter(|mark| !mark.is_protected) {
            old[mark.source()] += 1;
        }
        for (number, lines) in old.into_iter().enumerate().filter(|(_, lines)| *lines > 0) {
            let Source { shown, end, .. } = &self.sources[number];
            let what = format!(
                "{} by an earlier version without a checksum: damage in them may not be seen",
                text::count(lines, "line")
            );
            let value = Finding::advice(what).at(Place::file(shown.clone()));
            self.aside.findings.push(AtLine { source: number, offset: *end, value });
        }
        Ok(())
    }
}
