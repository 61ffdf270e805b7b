//! What a command knows of the home: every file is read when it is first asked for, and once.

use std::cell::{Cell, OnceCell};
use std::hash::BuildHasher as _;
use std::path::{Path, PathBuf};

use crate::base::{Day, Moment};
use crate::cli::dossier::{Dossier, Dossiers};
use crate::cli::journal::Journal;
use crate::cli::overview::Overview;
use crate::cli::{Failure, Result, World};
use crate::deck::{Deck, Player};
use crate::store::{Decks, Device, Home, Trouble, Writer, failed, strangers};

/// The home of one run of the program.
pub struct Desk {
    root: PathBuf,
    device_root: PathBuf,
    now: Moment,
    home: OnceCell<Home>,
    player: OnceCell<Player>,
    decks: OnceCell<Decks>,
    journal: OnceCell<Journal>,
    dossiers: OnceCell<Dossiers>,
    is_told: Cell<bool>,
    only_reads: bool,
}

/// The value of a cell, read when it is not there yet.
fn once<T>(cell: &OnceCell<T>, read: impl FnOnce() -> Result<T>) -> Result<&T> {
    if let Some(value) = cell.get() {
        return Ok(value);
    }
    let value = read()?;
    Ok(cell.get_or_init(|| value))
}

impl Desk {
    /// The desk of a run, or of the rest of it after the home was changed; nothing is read yet.
    pub fn new(world: &World<'_>) -> Self {
        Self {
            root: world.home_root.clone(),
            device_root: world.device_root.clone(),
            now: world.now,
            home: OnceCell::new(),
            player: OnceCell::new(),
            decks: OnceCell::new(),
            journal: OnceCell::new(),
            dossiers: OnceCell::new(),
            is_told: Cell::new(false),
            only_reads: false,
        }
    }

    /// The desk of another home, in which nothing is written.
    pub fn only_reading(root: &Path, world: &World<'_>) -> Self {
        Self { root: root.to_owned(), only_reads: true, ..Self::new(world) }
    }

    /// The home, whether it is there or not.
    ///
    /// # Errors
    /// [`Failure`] when this device cannot be remembered.
    pub fn home_unchecked(&self) -> Result<&Home> {
        once(&self.home, || {
            // Never from the seed: two devices must not get one name because both were run with
            // `--seed 1`.
            let random = std::hash::RandomState::new().hash_one(self.now.epoch_ms());
            let device = Device::remembered(&self.device_root, random)?;
            // The hour at which the player's day begins is not known yet; a day's difference is
            // forgiven anyway.
            let home = Home::at(self.root.clone(), device).on(self.now.day(0));
            Ok(if self.only_reads { home.only_read() } else { home })
        })
    }

    /// The home, which must be there.
    ///
    /// # Errors
    /// [`Failure`] when there is none, or this device cannot be remembered.
    pub fn home(&self) -> Result<&Home> {
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
    pub fn player(&self) -> Result<&Player> {
        once(&self.player, || Ok(self.home()?.player()?))
    }

    /// The player's day.
    ///
    /// # Errors
    /// As [`Desk::player`].
    pub fn today(&self) -> Result<Day> {
        Ok(self.now.day(self.player()?.day_begins))
    }

    /// The deck of an opponent by name, or the only one there is.
    ///
    /// # Errors
    /// [`Failure`] when there is none of that name, or none is named and there are several.
    pub fn opponent(&self, named: Option<&str>) -> Result<(String, Deck)> {
        let decks = self.decks()?;
        let stems = decks.stems();
        let stem = match (named, stems.as_slice()) {
            (Some(named), _) => decks.find(named)?,
            (None, [only]) => only.clone(),
            (None, several) => return Err(which(several)),
        };
        match decks.get(&stem) {
            Some(deck) => Ok((stem, deck.clone())),
            // Read once more for its mistakes.
            None => Ok((stem.clone(), self.home()?.deck(&stem)?)),
        }
    }

    /// What happened.
    ///
    /// # Errors
    /// [`Failure`] when the journal is of a newer form or cannot be read.
    pub fn journal(&self) -> Result<&Journal> {
        once(&self.journal, || Journal::read(self.home()?, self.today()?, &self.decks()?.renames()))
    }

    /// The journal of this device, to be written to; what is to be said before that is said.
    ///
    /// # Errors
    /// [`Failure`] when another process writes, or the disk refuses.
    pub fn writer(&self, world: &mut World<'_>) -> Result<Writer> {
        let (home, today) = (self.home()?, self.today()?);
        // What cannot be swept now is swept later.
        drop(home.sweep_bin(world.now, today, None));
        let writer = home.writer(world.now, today)?;
        world.tell(writer.findings())?;
        Ok(writer)
    }

    /// Every deck.
    ///
    /// # Errors
    /// [`Failure`] when there is no home.
    pub fn decks(&self) -> Result<&Decks> {
        once(&self.decks, || Ok(self.home()?.read_decks()?))
    }

    /// Everything, for who says elsewhere what could not be read.
    ///
    /// # Errors
    /// [`Failure`] when there is no home, the player file has a mistake, or the journal cannot be
    /// read.
    pub fn overview_untold(&self) -> Result<Overview<'_>> {
        let (home, player) = (self.home()?, self.player()?);
        let (decks, journal) = (self.decks()?, self.journal()?);
        Ok(Overview {
            home,
            player,
            decks: &decks.read,
            unread: &decks.unread,
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
    pub fn overview(&self, world: &mut World<'_>) -> Result<Overview<'_>> {
        if !self.is_told.replace(true) {
            let player = self.player()?;
            for (_, trouble) in &self.decks()?.unread {
                match trouble {
                    Trouble::Findings(findings) => world.tell(findings)?,
                    Trouble::Machine { what, source } => world.tell([&failed(what, source)])?,
                }
            }
            if player.next_event(self.today()?).is_some() {
                world.tell(&strangers(player, &self.decks()?.stems()))?;
            }
            world.tell(&self.journal()?.findings)?;
        }
        self.overview_untold()
    }

    /// Every opponent with the points against them.
    ///
    /// # Errors
    /// As [`Desk::overview_untold`].
    pub(crate) fn dossiers(&self, world: &mut World<'_>) -> Result<Vec<Dossier<'_>>> {
        let home = self.overview(world)?;
        let dossiers = self.dossiers.get_or_init(|| Dossiers::read(&home));
        Ok(dossiers.each(home).collect())
    }

    /// One opponent with everything known about them.
    ///
    /// # Errors
    /// [`Failure`] when there is no such opponent or the home cannot be read.
    pub(crate) fn dossier(
        &self,
        named: Option<&str>,
        world: &mut World<'_>,
    ) -> Result<Dossier<'_>> {
        let (stem, _) = self.opponent(named)?;
        let known = self.dossiers(world)?.into_iter().find(|dossier| dossier.stem == stem);
        known.ok_or_else(|| {
            Failure::request(format!("decks/{stem}.ron was changed meanwhile"), "try it once more")
        })
    }
}

/// Nobody said which of these opponents.
fn which(stems: &[String]) -> Failure {
    if stems.is_empty() {
        let hint = "write one down with `secondball scout \"their name\"`";
        return Failure::request("no opponent yet", hint);
    }
    Failure::request("which opponent?", format!("name one of: {}", stems.join(", ")))
}
