//! The events of a merged journal, read in their order and handed over one at a time.
//!
//! Reading a line costs about as much as what is done with its event, so a long journal is read by a thread of its own,
//! a few batches ahead. Events of forgotten decks are left out; a line that is no event is told and left out.

use std::sync::mpsc::{channel, sync_channel};

use crate::base::Day;
use crate::journal::{Event, LineError, read_line_into};
use crate::store::Trouble;
use crate::store::lines::Lines;
use crate::store::merge::{Mark, Merge, Source};

/// Events from which reading them is worth a thread of its own.
const FEWEST_FOR_A_THREAD: usize = 20_000;
/// Events handed over at once.
const BATCH: usize = 256;
/// Batches that may wait: what is read ahead stays small, however long the journal is.
const AHEAD: usize = 8;

/// A line read: its event, and for one that is no event its text and what is wrong with it.
#[derive(Debug, Clone, PartialEq)]
struct Line {
    mark: Mark,
    event: Event,
    wrong: Option<(Vec<u8>, LineError)>,
}

/// Lines handed over at once; those behind the filled ones are places for more.
#[derive(Default)]
struct Batch {
    lines: Vec<Line>,
    filled: usize,
}

impl Batch {
    /// Fills the batch, over what stands there; the last one of a journal is not full.
    fn fill(&mut self, reader: &mut Reader<'_>) -> Result<(), Trouble> {
        self.filled = 0;
        while self.filled < BATCH {
            if self.filled == self.lines.len() {
                self.lines.push(Line::blank());
            }
            if !reader.next(&mut self.lines[self.filled])? {
                break;
            }
            self.filled += 1;
        }
        Ok(())
    }
}

impl Line {
    fn blank() -> Self {
        let mark = Mark { day: Day::EPOCH, at_ms: 0, device: 0, n: 0, source: 0, offset: 0 };
        Self { mark, event: Event::blank(), wrong: None }
    }
}

impl Merge {
    /// Every event in order, one at a time.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub(crate) fn each(&mut self, mut step: impl FnMut(Mark, &mut Event)) -> Result<(), Trouble> {
        let mut refused = Vec::new();
        let mut take = |line: &mut Line| match line.wrong.take() {
            None => step(line.mark, &mut line.event),
            Some((text, error)) => refused.push((line.mark, text, error)),
        };
        if self.marks.len() < FEWEST_FOR_A_THREAD {
            let mut reader = Reader::of(self)?;
            let mut line = Line::blank();
            while reader.next(&mut line)? {
                take(&mut line);
            }
        } else {
            self.read_ahead(&mut take)?;
        }
        for (mark, text, error) in refused {
            let source = self.sources[usize::from(mark.source)].clone();
            self.refuse(&source, mark.offset, &text, &error);
        }
        Ok(())
    }

    /// The lines are read by a thread of their own, a few batches ahead of what is done with the events. Used batches
    /// go back to it, and new lines are read into the memory of the old ones.
    fn read_ahead(&self, take: &mut impl FnMut(&mut Line)) -> Result<(), Trouble> {
        std::thread::scope(|scope| {
            let (send, receive) = sync_channel::<Batch>(AHEAD);
            let (give_back, used) = channel::<Batch>();
            let reading = scope.spawn(move || {
                let mut reader = Reader::of(self)?;
                loop {
                    let mut batch = used.try_recv().unwrap_or_default();
                    batch.fill(&mut reader)?;
                    let is_last = batch.filled < BATCH;
                    // Nobody left to take it means that the fold has ended.
                    if send.send(batch).is_err() || is_last {
                        return Ok(());
                    }
                }
            });
            for mut batch in receive {
                batch.lines.iter_mut().take(batch.filled).for_each(&mut *take);
                let _ = give_back.send(batch);
            }
            reading.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        })
    }

    /// True when a deck was forgotten after this event.
    fn is_forgotten(&self, mark: Mark, event: &Event) -> bool {
        if self.forgotten.is_empty() {
            return false;
        }
        event
            .fact
            .deck()
            .and_then(|deck| self.forgotten.get(deck))
            .is_some_and(|&instant| (mark.day, mark.at_ms, mark.device, mark.n) < instant)
    }
}

/// Reads the lines of a merged journal in their order.
struct Reader<'m> {
    merge: &'m Merge,
    /// Marks still to be read.
    marks: std::slice::Iter<'m, Mark>,
    /// Every file.
    files: Vec<Lines>,
}

impl<'m> Reader<'m> {
    fn of(merge: &'m Merge) -> Result<Self, Trouble> {
        let open = |source: &Source| {
            Lines::from(&source.path, 0)
                .map_err(|error| Trouble::machine("cannot read", &source.path, error))
        };
        let files = merge.sources.iter().map(open).collect::<Result<_, _>>()?;
        Ok(Self { merge, marks: merge.marks.iter(), files })
    }

    /// Reads the next event that is not forgotten over the line given; false when there is none.
    fn next(&mut self, line: &mut Line) -> Result<bool, Trouble> {
        for &mark in self.marks.by_ref() {
            line.mark = mark;
            let device = &self.merge.devices[usize::from(mark.device)];
            let file = &mut self.files[usize::from(mark.source)];
            let read = file.go_to(mark.offset).and_then(|()| {
                file.next(|text| {
                    let text = text.trim_ascii_end();
                    line.wrong = read_line_into(device, text, &mut line.event)
                        .err()
                        .map(|error| (text.to_vec(), error));
                })
            });
            let path = &self.merge.sources[usize::from(mark.source)].path;
            read.map_err(|error| Trouble::machine("cannot read", path, error))?;
            if line.wrong.is_some() || !self.merge.is_forgotten(mark, &line.event) {
                return Ok(true);
            }
        }
        Ok(false)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::path::Path;

    use super::*;
    use crate::journal::{EventId, Fact, Header, Seen, write_line};

    /// Two devices writing in turns, the second one a day behind every tenth time.
    fn fill(folder: &Path, events: usize) {
        let day: Day = "2026-11-01".parse().unwrap();
        for (place, device) in ["aa", "bb"].into_iter().enumerate() {
            let mut text = Header::of(device).line();
            for n in 0..events / 2 {
                let late = u32::from(place == 1 && n % 10 == 0);
                let event = Event {
                    id: EventId { device: device.to_owned(), n: n as u64 + 1 },
                    at_ms: 1_000 * i64::try_from(n).unwrap(),
                    day: day.plus(u32::try_from(n / 1_000).unwrap()).minus(late),
                    origin: None,
                    fact: Fact::Seen(Seen {
                        deck: "abc234".to_owned(),
                        serve: "short".parse().unwrap(),
                        times: u32::try_from(n).unwrap(),
                    }),
                };
                text.push_str(&write_line(&event).unwrap());
            }
            if place == 1 {
                text.push_str(
                    "{\"n\":99999999,\"at\":5,\"day\":\"2026-11-02\",\"k\":\"seen\",\"deck\":7}\n",
                );
            }
            std::fs::write(folder.join(format!("{device}.jsonl")), text).unwrap();
        }
    }

    #[test]
    fn events_read_ahead_by_a_thread_are_the_same_in_the_same_order() {
        let folder = tempfile::tempdir().unwrap();
        fill(folder.path(), FEWEST_FOR_A_THREAD + 1_000);
        let mut merge = Merge::scan(folder.path(), None, &BTreeMap::new()).unwrap();
        assert!(merge.marks.len() > FEWEST_FOR_A_THREAD);
        let mut reader = Reader::of(&merge).unwrap();
        let mut line = Line::blank();
        let mut alone = Vec::new();
        while reader.next(&mut line).unwrap() {
            if line.wrong.is_none() {
                alone.push((line.mark, line.event.clone()));
            }
        }
        let mut ahead = Vec::new();
        merge.each(|mark, event| ahead.push((mark, event.clone()))).unwrap();
        assert_eq!(ahead.len(), FEWEST_FOR_A_THREAD + 1_000);
        assert!(ahead == alone);
        assert!(ahead.is_sorted_by_key(|(mark, _)| *mark));
        // The line that is no event is told once, and stops nothing.
        assert_eq!(merge.findings.len(), 1, "{:?}", merge.findings);
    }
}
