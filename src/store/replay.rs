//! The events of a merged journal, read in their order and handed over one at a time.
//!
//! Reading a line costs about as much as what is done with its event, so a long journal is read by a thread of its own,
//! a few batches ahead. Events of forgotten decks are left out; a line that is no event is told and left out.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::sync::mpsc::{channel, sync_channel};

use crate::journal::{Event, LineError, read_line};
use crate::store::Trouble;
use crate::store::merge::{BUFFER, Mark, Merge};

/// Events from which reading them is worth a thread of its own.
const FEWEST_FOR_A_THREAD: usize = 20_000;
/// Events handed over at once.
const BATCH: usize = 256;
/// Batches that may wait: what is read ahead stays small, however long the journal is.
const AHEAD: usize = 8;

/// A line read: its event, or its text and what is wrong with it.
type Read = Result<Event, (Vec<u8>, LineError)>;
/// Lines handed over at once.
type Batch = Vec<(Mark, Read)>;

impl Merge {
    /// Every event in order, one at a time.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub(crate) fn each(&mut self, mut step: impl FnMut(Mark, &mut Event)) -> Result<(), Trouble> {
        let mut refused = Vec::new();
        let mut take = |mark: Mark, read: &mut Read| match read {
            Ok(event) => step(mark, event),
            Err((text, error)) => refused.push((mark, std::mem::take(text), error.clone())),
        };
        if self.marks.len() < FEWEST_FOR_A_THREAD {
            self.read_each(|mark, mut read| {
                take(mark, &mut read);
                true
            })?;
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
    /// go back to it, so that what it has taken of the memory it also gives back.
    fn read_ahead(&self, take: &mut impl FnMut(Mark, &mut Read)) -> Result<(), Trouble> {
        std::thread::scope(|scope| {
            let (send, receive) = sync_channel::<Batch>(AHEAD);
            let (give_back, used) = channel::<Batch>();
            let reading = scope.spawn(move || {
                let mut batch = Batch::with_capacity(BATCH);
                self.read_each(|mark, read| {
                    batch.push((mark, read));
                    if batch.len() < BATCH {
                        return true;
                    }
                    let mut next = used.try_recv().unwrap_or_default();
                    next.clear();
                    send.send(std::mem::replace(&mut batch, next)).is_ok()
                })?;
                // Nobody left to take it means that the fold has ended.
                let _ = send.send(batch);
                Ok(())
            });
            for mut batch in receive {
                for (mark, read) in &mut batch {
                    take(*mark, read);
                }
                let _ = give_back.send(batch);
            }
            reading.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        })
    }

    /// Reads every event in order, as long as `take` wants more; forgotten ones are left out.
    fn read_each(&self, mut take: impl FnMut(Mark, Read) -> bool) -> Result<(), Trouble> {
        let mut readers = Vec::new();
        for source in &self.sources {
            let file = File::open(&source.path)
                .map_err(|error| Trouble::machine("cannot read", &source.path, error))?;
            readers.push((BufReader::with_capacity(BUFFER, file), 0_u64));
        }
        let mut line = Vec::with_capacity(512);
        for &mark in &self.marks {
            let source = &self.sources[usize::from(mark.source)];
            let trouble = |error| Trouble::machine("cannot read", &source.path, error);
            let (reader, at) = &mut readers[usize::from(mark.source)];
            if *at != mark.offset {
                let ahead = mark.offset.cast_signed() - at.cast_signed();
                reader.seek_relative(ahead).map_err(trouble)?;
            }
            line.clear();
            *at = mark.offset + reader.read_until(b'\n', &mut line).map_err(trouble)? as u64;
            let text = line.trim_ascii_end();
            let read = match read_line(&self.devices[usize::from(mark.device)], text) {
                Ok(event) if self.is_forgotten(mark, &event) => continue,
                Ok(event) => Ok(event),
                Err(error) => Err((text.to_vec(), error)),
            };
            if !take(mark, read) {
                return Ok(());
            }
        }
        Ok(())
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

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::path::Path;

    use super::*;
    use crate::base::Day;
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
        let mut alone = Vec::new();
        merge
            .read_each(|mark, read| {
                if let Ok(event) = read {
                    alone.push((mark, event));
                }
                true
            })
            .unwrap();
        let mut ahead = Vec::new();
        merge.each(|mark, event| ahead.push((mark, event.clone()))).unwrap();
        assert_eq!(ahead.len(), FEWEST_FOR_A_THREAD + 1_000);
        assert!(ahead == alone);
        assert!(ahead.is_sorted_by_key(|(mark, _)| *mark));
        // The line that is no event is told once, and stops nothing.
        assert_eq!(merge.findings.len(), 1, "{:?}", merge.findings);
    }
}
