//! The journal folded into what commands need of it.

use serde::{Deserialize, Serialize};

use crate::agenda::progress::Answers;
use crate::base::{Day, Finding};
use crate::cli::Failure;
use crate::journal::{Event, Fact};
use crate::memory::{Memories, MemoryError, Model};
use crate::store::Home;

/// Days that are kept event by event; the checkpoint's horizon lies no later.
const RECENT_DAYS: u32 = 30;
/// The version of the rules by which answers are folded: another one means a full replay.
const RULES: &str = "memory and all but plain answers 1";
/// The same for the record and the timed answers together.
const ANSWERS_RULES: &str = "memory and all but plain answers 1, timed answers 1";

/// The journal as most commands need it: every memory, the events of the last thirty days, and of what came before
/// everything but plain answers, of which there may be a million.
#[derive(Default, Serialize, Deserialize)]
pub struct Record {
    /// The memory of every pattern.
    pub memories: Memories,
    /// Points, debriefs, balls, counts and the answers of switch rounds, from before the last thirty days.
    pub earlier: Vec<Event>,
    /// The last thirty days; never part of a checkpoint, whose horizon lies before them.
    #[serde(skip)]
    pub recent: Vec<Event>,
    /// What was set aside in the journal.
    #[serde(skip)]
    pub findings: Vec<Finding>,
    #[serde(skip)]
    failed: Option<MemoryError>,
}

/// An answer outside a switch round: only its memory is needed once it is old.
fn is_plain(event: &Event) -> bool {
    matches!(&event.fact, Fact::Answer(answer) if answer.switch.is_none())
}

impl Record {
    /// Reads the journal, from its checkpoint where there is one.
    ///
    /// # Errors
    /// [`Failure`] when the journal is of a newer form or cannot be read.
    pub fn read(home: &Home, today: Day) -> Result<Self, Failure> {
        let model = Model::default();
        let since = today.minus(RECENT_DAYS);
        let folded = home.fold("memory", RULES, today, Self::default, |record, event| {
            record.take(&model, since, event);
        })?;
        folded.state.whole(folded.findings)
    }

    /// The same with the timed answers. They have a checkpoint of their own, so that no other command reads them;
    /// the record stands in it once more, so that a journal is not gone through twice.
    ///
    /// # Errors
    /// As [`Record::read`].
    pub fn read_with_answers(home: &Home, today: Day) -> Result<(Self, Answers), Failure> {
        let model = Model::default();
        let since = today.minus(RECENT_DAYS);
        let start = <(Self, Answers)>::default;
        let folded = home.fold("progress", ANSWERS_RULES, today, start, |state, event| {
            state.0.take(&model, since, event);
            state.1.take(event);
        })?;
        let (record, answers) = folded.state;
        Ok((record.whole(folded.findings)?, answers))
    }

    /// Takes the next event of the journal in.
    fn take(&mut self, model: &Model, since: Day, event: &Event) {
        if let Err(error) = self.memories.apply(model, event) {
            self.failed.get_or_insert(error);
        }
        if event.day >= since {
            self.recent.push(event.clone());
        } else if !is_plain(event) {
            self.earlier.push(event.clone());
        }
    }

    /// The record when every memory could be followed, with what was set aside in the journal.
    fn whole(mut self, findings: Vec<Finding>) -> Result<Self, Failure> {
        self.findings = findings;
        match self.failed.take() {
            Some(error) => Err(error.into()),
            None => Ok(self),
        }
    }
}

impl From<MemoryError> for Failure {
    fn from(error: MemoryError) -> Self {
        Self::Findings(vec![Finding::error(error.to_string())])
    }
}
