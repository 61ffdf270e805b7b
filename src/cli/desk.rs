//! What a command knows of the home: every file is read when it is first asked for, and once.

use std::cell::{Cell, OnceCell};
use std::hash::BuildHasher as _;
use std::path::PathBuf;

use crate::agenda::progress::Answers;
use crate::agenda::{Agenda, Known, Lately, NextState, agenda};
use crate::base::{Day, Finding, Moment};
use crate::cli::board::Record;
use crate::cli::{Failure, World};
use crate::deck::{Deck, Player};
use crate::game::PatternKey;
use crate::journal::{Event, Fact};
use crate::memory::{History, Memories, Model};
use crate::store::{Device, Home, Trouble, strangers};

/// Days for which an event without a debrief is still worth asking about.
const DEBRIEF_DAYS: i64 = 14;
/// Days after which the table has waited long enough.
const REHEARSE_DAYS: i64 = 7;

/// The home of one run of the program.
pub struct Desk {
    root: PathBuf,
    device_root: PathBuf,
    now: Moment,
    home: OnceCell<Home>,
    player: OnceCell<Player>,
    decks: OnceCell<Decks>,
    journal: OnceCell<Journal>,
    is_told: Cell<bool>,
}

/// Every deck of the home.
struct Decks {
    /// Those that can be read, by file stem.
    read: Vec<(String, Deck)>,
    /// The files of the others.
    unreadable: Vec<String>,
    findings: Vec<Finding>,
}

/// What happened, without plain answers of before the last thirty days: only their memories are needed.
pub struct Journal {
    /// The memory of every pattern.
    pub memories: Memories,
    /// In the journal's order.
    pub events: Vec<Event>,
    /// The timed answers, as pictures of how it has gone need them.
    pub answers: Answers,
    /// Events before the last thirty days.
    earlier: usize,
    findings: Vec<Finding>,
}

impl Journal {
    /// The events of the last thirty days.
    pub fn recent(&self) -> &[Event] {
        &self.events[self.earlier..]
    }
}

impl From<Record> for Journal {
    fn from(record: Record) -> Self {
        let Record { memories, earlier: mut events, answers, recent, findings, .. } = record;
        let earlier = events.len();
        events.extend(recent);
        Self { memories, events, answers, earlier, findings }
    }
}

/// The home as a whole, as it is today.
#[derive(Clone, Copy)]
pub struct Overview<'d> {
    /// Its files.
    pub home: &'d Home,
    /// The player.
    pub player: &'d Player,
    /// Every deck that could be read, with its file stem.
    pub decks: &'d [(String, Deck)],
    /// Files of decks that could not be read.
    pub unreadable: &'d [String],
    /// The memory of every pattern.
    pub memories: &'d Memories,
    /// What happened, in the journal's order, without plain answers of before the last thirty days.
    pub events: &'d [Event],
    /// What happened in the last thirty days.
    pub recent: &'d [Event],
    /// The player's day.
    pub today: Day,
}

/// The value of a cell, read when it is not there yet.
fn once<T>(cell: &OnceCell<T>, read: impl FnOnce() -> Result<T, Failure>) -> Result<&T, Failure> {
    if let Some(value) = cell.get() {
        return Ok(value);
    }
    let value = read()?;
    Ok(cell.get_or_init(|| value))
}

impl Desk {
    /// The desk of a run; nothing is read yet.
    pub fn new(world: &World<'_>) -> Self {
        Self::at(world.home_root.clone(), world.device_root.clone(), world.now)
    }

    fn at(root: PathBuf, device_root: PathBuf, now: Moment) -> Self {
        Self {
            root,
            device_root,
            now,
            home: OnceCell::new(),
            player: OnceCell::new(),
            decks: OnceCell::new(),
            journal: OnceCell::new(),
            is_told: Cell::new(false),
        }
    }

    /// The same home after it was changed: everything is read again.
    #[must_use]
    pub fn again(&self) -> Self {
        Self::at(self.root.clone(), self.device_root.clone(), self.now)
    }

    /// The home, whether it is there or not.
    ///
    /// # Errors
    /// [`Failure`] when this device cannot be remembered.
    pub fn home_unchecked(&self) -> Result<&Home, Failure> {
        once(&self.home, || {
            // Never from the seed: two devices must not get one name because both were run with `--seed 1`.
            let random = std::hash::RandomState::new().hash_one(self.now.epoch_ms());
            let device = Device::remembered(&self.device_root, random)?;
            // The player's own rollover hour is not known yet; a day's difference is forgiven anyway.
            Ok(Home::at(self.root.clone(), device).on(self.now.day(0)))
        })
    }

    /// The home, which must be there.
    ///
    /// # Errors
    /// [`Failure`] when there is none, or this device cannot be remembered.
    pub fn home(&self) -> Result<&Home, Failure> {
        let home = self.home_unchecked()?;
        if home.exists() {
            return Ok(home);
        }
        Err(Failure::request(
            format!("no home in `{}` yet", self.root.display()),
            "make one with `secondball init`, or name yours with `--home DIR`",
        ))
    }

    /// The player.
    ///
    /// # Errors
    /// [`Failure`] when there is no home or the player file has a mistake.
    pub fn player(&self) -> Result<&Player, Failure> {
        once(&self.player, || Ok(self.home()?.player()?))
    }

    /// The player's day.
    ///
    /// # Errors
    /// As [`Desk::player`].
    pub fn today(&self) -> Result<Day, Failure> {
        Ok(self.now.day(self.player()?.rollover_hour))
    }

    /// The deck of an opponent by name, or the only one there is.
    ///
    /// # Errors
    /// [`Failure`] when there is none of that name, or none is named and there are several.
    pub fn opponent(&self, named: Option<&str>) -> Result<(String, Deck), Failure> {
        let home = self.home()?;
        if let Some(named) = named {
            return Ok(home.find_deck(named)?);
        }
        let stems = home.deck_stems()?;
        match stems.as_slice() {
            [only] => Ok((only.clone(), home.deck(only)?)),
            [] => Err(Failure::request(
                "no opponent yet",
                "write one down with `secondball scout \"their name\"`",
            )),
            several => Err(Failure::request(
                "which opponent?",
                format!("name one of: {}", several.join(", ")),
            )),
        }
    }

    /// What happened.
    ///
    /// # Errors
    /// [`Failure`] when the journal is of a newer form or cannot be read.
    pub fn journal(&self) -> Result<&Journal, Failure> {
        once(&self.journal, || Ok(Record::read(self.home()?, self.today()?)?.into()))
    }

    fn decks(&self) -> Result<&Decks, Failure> {
        once(&self.decks, || {
            let home = self.home()?;
            let (mut read, mut unreadable, mut findings) = (Vec::new(), Vec::new(), Vec::new());
            for stem in home.deck_stems()? {
                match home.judged_deck(&stem) {
                    Ok(parsed) => read.push((stem, parsed.value)),
                    Err(Trouble::Findings(found)) => {
                        unreadable.push(format!("decks/{stem}.ron"));
                        findings.extend(found);
                    }
                    Err(trouble) => return Err(trouble.into()),
                }
            }
            Ok(Decks { read, unreadable, findings })
        })
    }

    /// Everything, for who says elsewhere what could not be read.
    ///
    /// # Errors
    /// [`Failure`] when there is no home, the player file has a mistake, or the journal cannot be read.
    pub fn overview_untold(&self) -> Result<Overview<'_>, Failure> {
        let (home, player) = (self.home()?, self.player()?);
        let (decks, journal) = (self.decks()?, self.journal()?);
        Ok(Overview {
            home,
            player,
            decks: &decks.read,
            unreadable: &decks.unreadable,
            memories: &journal.memories,
            events: &journal.events,
            recent: journal.recent(),
            today: self.today()?,
        })
    }

    /// Everything; what could not be read is said once on the standard error, and left out.
    ///
    /// # Errors
    /// As [`Desk::overview_untold`].
    pub fn overview(&self, world: &mut World<'_>) -> Result<Overview<'_>, Failure> {
        if !self.is_told.replace(true) {
            let (home, player) = (self.home()?, self.player()?);
            world.tell(&self.decks()?.findings)?;
            if player.next_event(self.today()?).is_some() {
                world.tell(&strangers(player, &home.deck_stems()?))?;
            }
            world.tell(&self.journal()?.findings)?;
        }
        self.overview_untold()
    }
}

impl Overview<'_> {
    /// Today's list and forecast, from the plan kept in the home where the question is still the same.
    ///
    /// # Errors
    /// [`Failure`] for a memory out of range.
    pub fn agenda(&self) -> Result<Agenda, Failure> {
        const NAME: &str = "plan";
        let known: Option<Known> = self.home.kept(NAME);
        let lately = Lately::from_events(self.recent, self.player, self.today);
        let (agenda, left) =
            agenda(self.player, self.decks, self.memories, self.today, known.as_ref(), &lately);
        if let Some(left) = left.filter(|left| known.as_ref() != Some(left)) {
            self.home.keep(NAME, &left);
        }
        Ok(agenda)
    }

    /// Fails, without another word, when a deck could not be read: that was told before.
    ///
    /// # Errors
    /// [`Failure`] with nothing more to say.
    pub fn must_be_whole(&self) -> Result<(), Failure> {
        if self.unreadable.is_empty() { Ok(()) } else { Err(Failure::Findings(Vec::new())) }
    }

    /// The day recall is asked for: the next event, else today.
    pub fn match_day(&self) -> Day {
        self.player.next_event(self.today).map_or(self.today, |event| event.day)
    }

    /// What has been done besides the list.
    pub fn next_state(&self) -> NextState {
        let days_ago = |event: &Event| self.today.days_since(event.day);
        let owes_debrief = self.player.events.iter().any(|event| {
            let ago = self.today.days_since(event.day);
            (1..=DEBRIEF_DAYS).contains(&ago)
                && !self.recent.iter().any(|fact| {
                    fact.day >= event.day && matches!(fact.fact, Fact::Debrief(_) | Fact::Point(_))
                })
        });
        NextState {
            unreadable: self.unreadable.first().cloned(),
            answers_today: self
                .recent
                .iter()
                .filter(|event| event.day == self.today)
                .filter(|event| matches!(&event.fact, Fact::Answer(answer) if !answer.is_let))
                .count(),
            rehearsed_lately: self.recent.iter().any(|event| {
                matches!(event.fact, Fact::Ball(_)) && days_ago(event) <= REHEARSE_DAYS
            }),
            owes_debrief,
        }
    }

    /// Recall of a pattern on a day, 0 when untried.
    pub fn recall(&self, key: &PatternKey, day: Day) -> f64 {
        let recall =
            |history: &History| history.recall_on(&Model::default(), f64::from(day.number()));
        self.memories.get(key).map_or(0.0, recall)
    }
}
