//! What the machine says goes into the journal at once, and is on the disk before the next ball.
//!
//! The journal is opened for each answer and closed again, so that another command can write
//! between two balls; that happens while the feedback shows, never between serve and key.

use crate::base::Moment;
use crate::cli::{Failure, World};
use crate::drill::Said;
use crate::journal::{EventId, Fact};
use crate::store::Home;

#[derive(Debug)]
pub(in crate::cli) struct Keep {
    home: Home,
    day_begins: u8,
    kept: Vec<EventId>,
    is_off: bool,
}

impl Keep {
    /// Opens the journal once, to say early what would keep answers from being kept. With `is_off`
    /// nothing is kept: a simulated player's answers would be taken for the player's own memory.
    pub(in crate::cli) fn new(
        home: &Home,
        world: &mut World<'_>,
        day_begins: u8,
        is_off: bool,
    ) -> Result<Self, Failure> {
        let keep = Self { home: home.clone(), day_begins, kept: Vec::new(), is_off };
        if !keep.is_off {
            let today = world.now.day(day_begins);
            // What cannot be swept now is swept later.
            drop(home.sweep_bin(world.now, today, None));
            world.tell(home.writer(world.now, today)?.findings())?;
        }
        Ok(keep)
    }

    /// How many answers stand in the journal.
    pub(in crate::cli) const fn count(&self) -> usize {
        self.kept.len()
    }

    /// Keeps what was said at a time.
    pub(super) fn said(&mut self, at: Moment, said: &[Said]) -> Result<(), Failure> {
        if self.is_off {
            return Ok(());
        }
        for one in said {
            match one {
                Said::Answer(answer) => {
                    let id = self.append(at, Fact::Answer(answer.clone()))?;
                    self.kept.push(id);
                }
                Said::Undo => {
                    if let Some(of) = self.kept.pop() {
                        self.append(at, Fact::undo(of))?;
                    }
                }
                Said::Done => {}
            }
        }
        Ok(())
    }

    fn append(&self, at: Moment, fact: Fact) -> Result<EventId, Failure> {
        let day = at.day(self.day_begins);
        Ok(self.home.writer(at, day)?.append(at, day, fact)?)
    }
}
