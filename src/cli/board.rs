//! What most commands need read together: player, decks, journal, memories, and the day's agenda.

use serde::{Deserialize, Serialize};

use crate::agenda::progress::Answers;
use crate::agenda::{Agenda, Known, Lately, NextState, agenda, days_kept};
use crate::base::{Day, Finding};
use crate::cli::{Failure, World};
use crate::deck::{Deck, Player};
use crate::game::PatternKey;
use crate::journal::{Event, Fact};
use crate::memory::{Memories, MemoryError, Model};
use crate::store::{Home, Trouble, strangers};

/// Days for which an event without a debrief is still worth asking about.
const DEBRIEF_DAYS: i64 = 14;
/// Days after which the table has waited long enough.
const REHEARSE_DAYS: i64 = 7;

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

    /// Every event that is kept, in the journal's order.
    pub fn events(&self) -> impl Iterator<Item = &Event> {
        self.earlier.iter().chain(&self.recent)
    }
}

/// The home as it is today.
pub struct Board {
    /// The player.
    pub player: Player,
    /// Every deck that could be read, with its file stem.
    pub decks: Vec<(String, Deck)>,
    /// What happened in the last thirty days, in the journal's order.
    pub events: Vec<Event>,
    /// The memory of every pattern.
    pub memories: Memories,
    /// Every point and debrief there ever was, with its day.
    pub points: Vec<(Day, Fact)>,
    /// What came before the last thirty days, without plain answers.
    earlier: Vec<Event>,
    /// The player's day.
    pub today: Day,
    /// Files of decks that could not be read.
    pub unreadable: Vec<String>,
    home: Home,
}

/// The agenda of a day, from the plan kept in the home where the question is still the same; `events` are those of
/// the last thirty days.
///
/// # Errors
/// [`MemoryError`] for a memory out of range.
pub fn agenda_of(
    home: &Home,
    player: &Player,
    decks: &[(String, Deck)],
    memories: &Memories,
    today: Day,
    events: &[Event],
) -> Result<Agenda, MemoryError> {
    const NAME: &str = "plan";
    let known: Option<Known> = home.kept(NAME);
    let (days_kept, lately) = (days_kept(events, player, today), Lately::of_events(events, today));
    let (agenda, left) =
        agenda(player, decks, memories, today, days_kept, known.as_ref(), &lately)?;
    if let Some(left) = left.filter(|left| known.as_ref() != Some(left)) {
        home.keep(NAME, &left);
    }
    Ok(agenda)
}

impl From<MemoryError> for Failure {
    fn from(error: MemoryError) -> Self {
        Self::Findings(vec![Finding::error(error.to_string())])
    }
}

impl Board {
    /// Reads the home; what could not be read is told on the standard error and left out.
    ///
    /// # Errors
    /// [`Failure`] when there is no home or the player file has a mistake.
    pub fn load(world: &mut World<'_>) -> Result<Self, Failure> {
        Ok(Self::load_by(world, |home, today| Ok((Record::read(home, today)?, ())))?.0)
    }

    /// The same with everything that ever happened but the plain answers of before the last thirty days, and with the
    /// timed answers as pictures of how it has gone need them.
    ///
    /// # Errors
    /// As [`Board::load`].
    pub fn load_with_answers(world: &mut World<'_>) -> Result<(Self, Answers), Failure> {
        let (board, answers) = Self::load_by(world, Record::read_with_answers)?;
        Ok((board.whole(), answers))
    }

    /// Reads the home, its journal in the way given.
    fn load_by<T>(
        world: &mut World<'_>,
        read: impl FnOnce(&Home, Day) -> Result<(Record, T), Failure>,
    ) -> Result<(Self, T), Failure> {
        let home = world.home()?;
        let player = home.player()?;
        let mut decks = Vec::new();
        let mut unreadable = Vec::new();
        for stem in home.deck_stems()? {
            match home.judged_deck(&stem) {
                Ok(parsed) => decks.push((stem, parsed.value)),
                Err(Trouble::Findings(findings)) => {
                    unreadable.push(format!("decks/{stem}.ron"));
                    world.tell(&findings)?;
                }
                Err(trouble) => return Err(trouble.into()),
            }
        }
        let today = world.now.day(player.rollover_hour);
        let mut strangers = strangers(&player, &home.deck_stems()?);
        strangers.retain(|_| player.next_event(today).is_some());
        world.tell(&strangers)?;
        let (record, more) = read(&home, today)?;
        world.tell(&record.findings)?;
        let Record { memories, earlier, recent: events, .. } = record;
        let points = earlier
            .iter()
            .chain(&events)
            .filter(|event| matches!(event.fact, Fact::Point(_) | Fact::Debrief(_)))
            .map(|event| (event.day, event.fact.clone()))
            .collect();
        let board =
            Self { player, decks, events, memories, points, earlier, today, unreadable, home };
        Ok((board, more))
    }

    /// The same with everything that ever happened but the plain answers of before the last thirty days.
    ///
    /// # Errors
    /// As [`Board::load`].
    pub fn load_whole(world: &mut World<'_>) -> Result<Self, Failure> {
        Ok(Self::load(world)?.whole())
    }

    /// The events before the last thirty days put in front of the others.
    fn whole(mut self) -> Self {
        let recent = std::mem::take(&mut self.events);
        self.events = std::mem::take(&mut self.earlier);
        self.events.extend(recent);
        self
    }

    /// The same with the events of the last thirty days only.
    #[must_use]
    pub fn recent(mut self) -> Self {
        let since = self.today.minus(RECENT_DAYS);
        self.events.retain(|event| event.day >= since);
        self
    }

    /// Today's list and forecast.
    ///
    /// # Errors
    /// [`Failure`] for a memory out of range.
    pub fn agenda(&self) -> Result<Agenda, Failure> {
        Ok(agenda_of(
            &self.home,
            &self.player,
            &self.decks,
            &self.memories,
            self.today,
            &self.events,
        )?)
    }

    /// Fails, without another word, when a deck could not be read: that was told before.
    ///
    /// # Errors
    /// [`Failure`] with nothing more to say.
    pub fn must_be_whole(&self) -> Result<(), Failure> {
        if self.unreadable.is_empty() { Ok(()) } else { Err(Failure::Findings(Vec::new())) }
    }

    /// What has been done besides the list.
    pub fn next_state(&self) -> NextState {
        let days_ago = |event: &Event| self.today.days_since(event.day);
        let owes_debrief = self.player.events.iter().any(|event| {
            let ago = self.today.days_since(event.day);
            (1..=DEBRIEF_DAYS).contains(&ago)
                && !self.events.iter().any(|fact| {
                    fact.day >= event.day && matches!(fact.fact, Fact::Debrief(_) | Fact::Point(_))
                })
        });
        NextState {
            unreadable: self.unreadable.first().cloned(),
            answers_today: self
                .events
                .iter()
                .filter(|event| event.day == self.today)
                .filter(|event| matches!(&event.fact, Fact::Answer(answer) if !answer.is_let))
                .count(),
            rehearsed_lately: self.events.iter().any(|event| {
                matches!(event.fact, Fact::Ball(_)) && days_ago(event) <= REHEARSE_DAYS
            }),
            owes_debrief,
        }
    }

    /// Recall of a pattern on a day, 0 when untried.
    pub fn recall(&self, key: &PatternKey, day: Day) -> f64 {
        self.memories
            .get(key)
            .and_then(|history| {
                let day = day.number().max(history.last_day()?);
                history.recall_on(&Model::default(), f64::from(day)).ok()
            })
            .unwrap_or(0.0)
    }
}
