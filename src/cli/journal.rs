//! The journal folded into what the commands need of it.

use serde::{Deserialize, Serialize};

use crate::agenda::progress::Answers;
use crate::base::{Day, Finding};
use crate::cli::Result;
use crate::journal::{Event, Fact, Renames};
use crate::memory::{Memories, Model};
use crate::store::Home;

/// Days that are kept event by event; what is kept folded ends no later.
const RECENT_DAYS: u32 = 30;
/// The version of the rules by which the journal is folded: another one means reading it whole.
const RULES: &str = "memory with its forecasts checked, all but plain answers, timed answers 3, shown ones left out, right days";

/// What happened, without plain answers of before the last thirty days, of which there may be a
/// million: of those only the memories are needed.
#[derive(Default, Serialize, Deserialize)]
pub struct Journal {
    /// The memory of every pattern.
    pub memories: Memories,
    /// In the journal's order.
    pub events: Vec<Event>,
    /// The timed answers, as pictures of how it has gone need them.
    pub answers: Answers,
    /// Events before the last thirty days.
    #[serde(skip)]
    earlier: usize,
    /// What was set aside in the journal.
    #[serde(skip)]
    pub findings: Vec<Finding>,
}

/// An answer outside a switch round: only its memory is needed once it is old.
fn is_plain(event: &Event) -> bool {
    matches!(&event.fact, Fact::Answer(answer) if answer.switch.is_none())
}

impl Journal {
    /// Reads the journal.
    ///
    /// # Errors
    /// [`Failure`] when the journal is of a newer form or cannot be read.
    pub fn read(home: &Home, today: Day, renames: &Renames) -> Result<Self> {
        let model = Model::default();
        let since = today.minus(RECENT_DAYS);
        let folded = home.fold(RULES, today, renames, Self::default, |journal, event| {
            journal.take(&model, since, event);
        })?;
        let mut journal = folded.state;
        journal.earlier = journal.events.partition_point(|event| event.day < since);
        journal.findings = folded.findings;
        Ok(journal)
    }

    /// Takes the next event of the journal in.
    fn take(&mut self, model: &Model, since: Day, event: &Event) {
        self.memories.apply(model, event);
        self.answers.take(event);
        if event.day >= since || !is_plain(event) {
            self.events.push(event.clone());
        }
    }

    /// The events of the last thirty days.
    pub fn recent(&self) -> &[Event] {
        &self.events[self.earlier..]
    }
}
