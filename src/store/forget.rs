//! Forgetting an opponent: a tombstone makes every device's events about them count no more, and
//! the deck goes into a bin for a month, from which both come back. What is swept out of the bin is
//! deleted, with the events on this device.
//!
//! The deck moves last, so that whatever is cut off can be asked for again.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use crate::base::{Day, Finding, Moment};
use crate::deck::{Deck, Player};
use crate::journal::{EventId, Fact, Head, read_head, read_line, write_gone};
use crate::store::sources::sources;
use crate::store::undone::Undone;
use crate::store::{Decks, Home, Trouble, disk};

/// The folder of forgotten decks: `bin/2026-11-25_north.ron`.
const BIN: &str = "bin";
/// Days for which they lie there.
pub const DAYS_IN_BIN: u32 = 30;

/// What forgetting an opponent did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Forgotten {
    /// Events in this device's journal.
    pub events: usize,
    /// Files of other devices that still hold events about the opponent; they count no more, and go
    /// when that device forgets too.
    pub elsewhere: Vec<String>,
    /// Events of the player file from which the opponent was taken, and whether anybody is left
    /// there.
    pub taken_from: Vec<(String, bool)>,
    /// Events of the player file at which the opponent still stands, because it could not be
    /// changed.
    pub named_at: Vec<String>,
}

/// A journal's lines, with and without those about a deck before it was forgotten.
struct Sorted {
    kept: Vec<u8>,
    dropped: usize,
    /// Whether a tombstone of the deck is there, and whether it is the last line.
    is_told: bool,
    is_last: bool,
}

impl Home {
    /// Puts the deck `stem` into the bin; what happened with it counts no more.
    ///
    /// # Errors
    /// No such deck, or mistakes in it or in the player file; another process is writing; the
    /// machine's own trouble.
    pub fn forget(&self, stem: &str, now: Moment, day: Day) -> Result<Forgotten, Trouble> {
        let deck = self.deck(stem)?;
        // Read before anything is changed: the events at which they may be met stand in it.
        let player = if self.exists() { Some(self.player()?) } else { None };
        let mut writer = self.writer(now, day)?;
        // Cut off and asked for again, it is told already.
        if !self.sorted(&self.own_journal(), &deck.key)?.is_last {
            writer.append(now, day, Fact::Forget { deck: deck.key.clone() })?;
        }
        let mut forgotten = Forgotten::default();
        for name in disk::stems(&self.journal_folder(), ".jsonl")? {
            let file = format!("journal/{name}.jsonl");
            let dropped = self.sorted(&file, &deck.key)?.dropped;
            if file == self.own_journal() {
                forgotten.events = dropped;
            } else if dropped > 0 {
                forgotten.elsewhere.push(file);
            }
        }
        drop(writer);
        if let Some(player) = player {
            self.take_from_events(player, stem, &mut forgotten);
        }
        disk::make_folder(&self.root().join(BIN))?;
        // A copy would be read as the opponent once the deck is gone.
        for copy in self.copies()?.iter().filter(|copy| copy.of == deck_path(stem)) {
            self.put_away(&copy.file, day)?;
        }
        self.move_file(&deck_path(stem), &format!("{BIN}/{day}_{stem}.ron"))?;
        self.clear_cache()?;
        Ok(forgotten)
    }

    /// Takes the deck of this name out of the bin, with everything that happened; the name of its
    /// file.
    ///
    /// # Errors
    /// None of that name in the bin, or another deck has taken its place; another process is
    /// writing; the machine's own trouble.
    pub fn remember(&self, named: &str, now: Moment, day: Day) -> Result<String, Trouble> {
        let mut bin = Decks::default();
        for name in disk::stems(&self.root().join(BIN), ".ron")? {
            bin.read.extend(self.binned(&name)?.map(|deck| (name, deck)));
        }
        let name = bin.find(named)?;
        let stem = name.split_once('_').map_or(&*name, |(_, stem)| stem);
        let (from, to) = (format!("{BIN}/{name}.ron"), deck_path(stem));
        if self.root().join(&to).exists() {
            return Err(Trouble::finding(
                Finding::error(format!("{to} is there already, nothing was changed"))
                    .hint(format!("give one of the two files another name: {to} or {from}")),
            ));
        }
        let mut writer = self.writer(now, day)?;
        for (of, content) in self.tombstones(bin.get(&name).map(|deck| &*deck.key))? {
            writer.append(now, day, Fact::Undo { of, content: Some(content) })?;
        }
        self.move_file(&from, &to)?;
        Ok(stem.to_owned())
    }

    /// Deletes for good what has lain in the bin for its time, or all that is there of this deck.
    ///
    /// # Errors
    /// Another process is writing; the machine's own trouble.
    pub fn sweep_bin(&self, now: Moment, day: Day, stem: Option<&str>) -> Result<(), Trouble> {
        self.sweep_settled(day, stem)?;
        for name in disk::stems(&self.root().join(BIN), ".ron")? {
            let Some((since, of)) = name.split_once('_') else { continue };
            let is_old = since.parse().is_ok_and(|since: Day| since.plus(DAYS_IN_BIN) < day);
            if is_old || stem == Some(of) {
                self.erase(&name, now, day)?;
            }
        }
        Ok(())
    }

    fn erase(&self, name: &str, now: Moment, day: Day) -> Result<(), Trouble> {
        let Some(deck) = self.binned(name)? else { return Ok(()) };
        let _writer = self.writer(now, day)?;
        let sorted = self.sorted(&self.own_journal(), &deck.key)?;
        // Forgotten on another device, it is swept there.
        if !sorted.is_told {
            return Ok(());
        }
        if sorted.dropped > 0 {
            disk::write_whole(&self.root().join(self.own_journal()), &sorted.kept)?;
        }
        let path = self.root().join(format!("{BIN}/{name}.ron"));
        let trouble = |error| Trouble::machine("cannot delete", &path, error);
        fs::remove_file(&path).map_err(trouble)?;
        disk::sync_folder(&self.root().join(BIN)).map_err(trouble)?;
        self.clear_cache()
    }

    fn own_journal(&self) -> String {
        format!("journal/{}.jsonl", self.device().id())
    }

    fn binned(&self, name: &str) -> Result<Option<Deck>, Trouble> {
        self.read_ron(&format!("{BIN}/{name}.ron"))
    }

    /// Moves a file of the home; it is in one of both places whenever this is cut off.
    pub(super) fn move_file(&self, from: &str, to: &str) -> Result<(), Trouble> {
        let (from, to): (PathBuf, PathBuf) = (self.root().join(from), self.root().join(to));
        let folders = [to.parent(), from.parent()];
        fs::rename(&from, &to)
            .and_then(|()| folders.into_iter().flatten().try_for_each(disk::sync_folder))
            .map_err(|error| Trouble::machine("cannot move", &from, error))
    }

    /// The tombstones of a deck that were not taken back, with the hashes of their lines.
    fn tombstones(&self, key: Option<&str>) -> Result<BTreeSet<(EventId, u32)>, Trouble> {
        let (mut told, mut undone) = (BTreeSet::new(), Undone::default());
        for mut source in sources(&self.journal_folder())?.0 {
            let device = source.device.clone();
            source.each_head(0, |_, line, head| {
                let Ok(Head { sum, kind, .. }) = head else { return };
                if !matches!(&*kind, "undo" | "forget") {
                    return;
                }
                let Ok(event) = read_line(&device, line) else { return };
                undone.take(&event.fact);
                if matches!(&event.fact, Fact::Forget { deck } if Some(&**deck) == key) {
                    told.insert((event.id, sum));
                }
            })?;
        }
        told.retain(|(id, sum)| !undone.has(&id.device, id.n, *sum));
        Ok(told)
    }

    /// Takes the opponent from the events of the player file; an event stays, be it without
    /// opponents.
    fn take_from_events(&self, mut player: Player, stem: &str, forgotten: &mut Forgotten) {
        let (was, mut taken) = (player.clone(), Vec::new());
        for event in &mut player.events {
            let before = event.opponents.len();
            event.opponents.retain(|one| one.deck != stem);
            if event.opponents.len() < before {
                taken.push((event.name.clone(), !event.opponents.is_empty()));
            }
        }
        if taken.is_empty() {
            return;
        }
        match self.save_player(&was, &player) {
            Ok(()) => forgotten.taken_from = taken,
            Err(_) => forgotten.named_at = taken.into_iter().map(|(name, _)| name).collect(),
        }
    }

    /// Sorts the lines of a journal: in a file without a tombstone all count as before it.
    fn sorted(&self, file: &str, key: &str) -> Result<Sorted, Trouble> {
        let path = self.root().join(file);
        let bytes = fs::read(&path).map_err(Trouble::reading(&path))?;
        let named = format!("\"deck\":\"{key}\"");
        // Whether a line is about the deck, and whether it is its tombstone.
        let about = |line: &[u8]| match read_line("", line.trim_ascii_end()) {
            Ok(event) => {
                (event.fact.deck() == Some(key), matches!(event.fact, Fact::Forget { .. }))
            }
            // A torn line may hold the key as well.
            Err(_) => (String::from_utf8_lossy(line).contains(&named), false),
        };
        let lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
        let told = lines.iter().rposition(|line| about(line) == (true, true));
        let is_dropped = |place: usize, line: &[u8]| {
            told.is_none_or(|told| place < told) && about(line) == (true, false)
        };
        let (mut dropped, mut kept) = (0, Vec::new());
        for (place, line) in lines.iter().enumerate() {
            if !is_dropped(place, line) {
                kept.extend_from_slice(line);
                continue;
            }
            dropped += 1;
            // Its number stays, or a gap would look like damage.
            let gone = read_head(line.trim_ascii_end()).and_then(|head| write_gone(&head));
            kept.extend(gone.into_iter().flat_map(String::into_bytes));
        }
        Ok(Sorted {
            dropped,
            kept,
            is_told: told.is_some(),
            is_last: told.is_some_and(|told| told + 1 == lines.len()),
        })
    }

    /// Deletes everything that can be made again.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn clear_cache(&self) -> Result<(), Trouble> {
        let cache = self.root().join("cache");
        match fs::remove_dir_all(&cache) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                Err(Trouble::machine("cannot delete", &cache, error))
            }
            _ => Ok(()),
        }
    }
}

fn deck_path(stem: &str) -> String {
    format!("decks/{stem}.ron")
}
