//! The journal folded into what commands need of it.

use serde::{Deserialize, Serialize};

use crate::agenda::progress::Answers;
use crate::base::{Day, Finding};
use crate::cli::Failure;
use crate::journal::{Event, Fact};
use crate::memory::{Memories, Model};
use crate::store::Home;

/// Days that are kept event by event; the checkpoint's horizon lies no later.
const RECENT_DAYS: u32 = 30;
/// The version of the rules by which the journal is folded: another one means reading it whole.
const RULES: &str = "memory, all but plain answers, timed answers 1";

/// The journal as the commands need it: every memory, the events of the last thirty days, and of
/// what came before everything but plain answers, of which there may be a million.
#[derive(Default, Serialize, Deserialize)]
pub struct Record {
    /// The memory of every pattern.
    pub memories: Memories,
    /// Points, debriefs, balls, counts and the answers of switch rounds, from before the last
    /// thirty days.
    pub earlier: Vec<Event>,
    /// The timed answers as pictures of how it has gone need them.
    pub answers: Answers,
    /// The last thirty days; never kept folded.
    #[serde(skip)]
    pub recent: Vec<Event>,
    /// What was set aside in the journal.
    #[serde(skip)]
    pub findings: Vec<Finding>,
}

/// An answer outside a switch round: only its memory is needed once it is old.
fn is_plain(event: &Event) -> bool {
    matches!(&event.fact, Fact::Answer(answer) if answer.switch.is_none())
}

impl Record {
    /// Reads the journal.
    ///
    /// # Errors
    /// [`Failure`] when the journal is of a newer form or cannot be read.
    pub fn read(home: &Home, today: Day) -> Result<Self, Failure> {
        let model = Model::default();
        let since = today.minus(RECENT_DAYS);
        let folded = home.fold(RULES, today, Self::default, |record, event| {
            record.take(&model, since, event);
        })?;
        Ok(Self { findings: folded.findings, ..folded.state })
    }

    /// Takes the next event of the journal in.
    fn take(&mut self, model: &Model, since: Day, event: &Event) {
        self.memories.apply(model, event);
        self.answers.take(event);
        if event.day >= since {
            self.recent.push(event.clone());
        } else if !is_plain(event) {
            self.earlier.push(event.clone());
        }
    }
}
