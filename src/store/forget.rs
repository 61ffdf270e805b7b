//! Forgetting an opponent: the deck's file and every event about them go from this device, and a
//! tombstone makes every other device's copy count no more.

use std::fs;

use crate::base::{Day, Moment};
use crate::deck::Player;
use crate::journal::{Fact, read_line};
use crate::store::{Home, Trouble, disk};

/// What forgetting an opponent did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Forgotten {
    /// Events deleted from this device's journal.
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

impl Home {
    /// Deletes the deck `stem` and everything that happened with it.
    ///
    /// # Errors
    /// No such deck, or mistakes in it or in the player file; another process is writing; the
    /// machine's own trouble.
    pub fn forget(&self, stem: &str, now: Moment, day: Day) -> Result<Forgotten, Trouble> {
        let deck = self.deck(stem)?;
        // Read before anything is deleted: the events at which they may be met stand in it.
        let player = if self.exists() { Some(self.player()?) } else { None };
        let mut writer = self.writer(now, day)?;
        // The tombstone first: whatever is cut off after it, the opponent is forgotten.
        writer.append(now, day, Fact::Forget { deck: deck.key.clone() })?;
        let own = format!("journal/{}.jsonl", self.device().id());
        let mut forgotten = Forgotten::default();
        for name in disk::stems(&self.journal_folder(), ".jsonl")? {
            let file = format!("journal/{name}.jsonl");
            let (kept, dropped) = self.without(&file, &deck.key)?;
            if dropped > 0 && file == own {
                disk::write_whole(&self.root().join(&file), &kept)?;
                forgotten.events = dropped;
            } else if dropped > 0 {
                forgotten.elsewhere.push(file);
            }
        }
        drop(writer);
        let path = self.root().join(format!("decks/{stem}.ron"));
        fs::remove_file(&path).map_err(|error| Trouble::machine("cannot delete", &path, error))?;
        disk::sync_folder(&self.root().join("decks"))
            .map_err(|error| Trouble::machine("cannot delete", &path, error))?;
        self.clear_cache()?;
        if let Some(player) = player {
            self.take_from_events(player, stem, &mut forgotten);
        }
        Ok(forgotten)
    }

    /// Takes the opponent from the events of the player file; an event stays, be it without
    /// opponents.
    fn take_from_events(&self, mut player: Player, stem: &str, forgotten: &mut Forgotten) {
        let mut taken = Vec::new();
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
        match self.save_player(&player) {
            Ok(()) => forgotten.taken_from = taken,
            Err(_) => forgotten.named_at = taken.into_iter().map(|(name, _)| name).collect(),
        }
    }

    /// The bytes of a journal without the events of a deck, and how many those are.
    fn without(&self, file: &str, key: &str) -> Result<(Vec<u8>, usize), Trouble> {
        let path = self.root().join(file);
        let bytes = fs::read(&path).map_err(Trouble::reading(&path))?;
        let named = format!("\"deck\":\"{key}\"");
        let is_of_deck = |line: &[u8]| match read_line("", line.trim_ascii_end()) {
            Ok(event) => {
                !matches!(event.fact, Fact::Forget { .. }) && event.fact.deck() == Some(key)
            }
            // A torn line may hold the key as well.
            Err(_) => String::from_utf8_lossy(line).contains(&named),
        };
        let (dropped, kept): (Vec<&[u8]>, Vec<&[u8]>) =
            bytes.split_inclusive(|byte| *byte == b'\n').partition(|line| is_of_deck(line));
        Ok((kept.concat(), dropped.len()))
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
