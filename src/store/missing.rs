//! What numbers and checksums show of a journal's lines that are not there any more; for `check`.

use std::collections::BTreeSet;

use crate::base::finding::Place;
use crate::base::{Finding, text};
use crate::store::Trouble;
use crate::store::merge::{AtLine, EventMark, Merge};

impl Merge {
    /// Tells of events that must have been there, because numbers have no gap where lines have
    /// checksums, and of lines without. A line that was set aside is the missing one.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn tell_missing(&mut self) -> Result<(), Trouble> {
        let mut all = [&self.marks[..], &self.set_aside, &self.others].concat();
        all.sort_by_key(|mark| (mark.device, mark.n));
        let aside = self.findings.iter().map(|found| (found.source, found.offset));
        let aside: BTreeSet<_> = aside.collect();
        let mut files = self.open()?;
        let mut before: Option<EventMark> = None;
        for &mark in &all {
            let last = before.replace(mark).filter(|last| last.device == mark.device);
            let next = last.map_or(1, |last| last.n + 1);
            let from = last.filter(|last| last.source == mark.source).map_or(0, |last| last.offset);
            let mut between = aside.range((mark.source, from)..(mark.source, mark.offset));
            let is_protected = mark.is_protected && last.is_none_or(|last| last.is_protected);
            if !is_protected || next >= mark.n || between.next().is_some() {
                continue;
            }
            let mut line = Vec::new();
            self.read_text(&mut files, mark, &mut line)?;
            let what = format!(
                "{} missing before this line, number {next} to {}",
                text::count(usize::try_from(mark.n - next).unwrap_or(usize::MAX), "event"),
                mark.n - 1
            );
            let hint = "an older copy of the file, put beside it in journal/ under another name, \
                        is read too and may still have them";
            self.findings.push(self.at_line(mark.source, mark.offset, &line, what, hint));
        }
        for (number, source) in self.sources.iter().enumerate() {
            let is_old = |mark: &&EventMark| mark.source == number && !mark.is_protected;
            let lines = all.iter().filter(is_old).count();
            if lines > 0 {
                let what = format!(
                    "{} by an earlier version without a checksum: damage in them may not be seen",
                    text::count(lines, "line")
                );
                let value = Finding::advice(what).at(Place::file(source.shown.clone()));
                self.findings.push(AtLine { source: number, offset: source.end, value });
            }
        }
        Ok(())
    }
}
