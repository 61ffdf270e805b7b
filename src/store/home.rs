//! A player's home: the one door to everything on disk.

use std::collections::BTreeMap;
use std::io::ErrorKind::{NotADirectory, NotFound};
use std::path::{Path, PathBuf};

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::base::finding::Place;
use crate::base::{Day, Finding, Moment};
use crate::deck::Player;
use crate::deck::advice::{self, Judged};
use crate::journal::{Event, EventId, Head};
use crate::launcher::Launcher;
use crate::store::disk::Over;
use crate::store::launcher_file::judge_launcher_file;
use crate::store::merge::{Begin, Merge};
use crate::store::parse::{Parsed, parse};
use crate::store::sources::sources;
use crate::store::writing::Plain;
use crate::store::{Device, Trouble, Writer, disk};

/// The file of the player.
pub(super) const PLAYER: &str = "player.ron";

/// What a new player file says of itself.
const PLAYER_HEADER: &str = "\
// Your player file: who you are, how you practise, what you own, where you play next.
// Edit it as you like; comments stay. `secondball check` reads it and says what is not right.
// For example, receives you own (of ten, how many land where you meant) and the events ahead:
//     repertoire: [(wing: forehand, stroke: push, of_ten: 8)],
//     events: [(name: \"Club open\", day: \"2026-12-20\", opponents: [(deck: \"north-hall\")])],";

/// What a new launcher file says of itself.
const LAUNCHER_HEADER: &str = "\
// One launcher: what it can do, its dials, its calibration. Its own manual comes first.
// Edit it as you like; comments stay.";

/// What any other new file says of itself.
const OTHER_HEADER: &str = "// Edit it as you like; comments stay.";

/// The file in which a result is kept.
fn kept_file(name: &str) -> String {
    format!("cache/{name}.json")
}

/// A player's folder.
#[derive(Debug, Clone)]
pub struct Home {
    root: PathBuf,
    device: Device,
    today: Option<Day>,
    keeps: bool,
}

/// Everything that happened, merged from every device's file, in the order of day, instant and id;
/// what was taken back or forgotten is left out.
///
/// All of it in memory: for a home of many years use [`Home::fold`].
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ledger {
    /// The events.
    pub events: Vec<Event>,
    /// What was set aside, and why.
    pub findings: Vec<Finding>,
}

impl Home {
    /// The home at `root`, written to as `device`. Nothing is read yet.
    pub const fn at(root: PathBuf, device: Device) -> Self {
        Self { root, device, today: None, keeps: true }
    }

    /// The same home, with events later than the day after `today` set aside when it is read.
    #[must_use]
    pub fn on(self, today: Day) -> Self {
        Self { today: Some(today), ..self }
    }

    /// The same home, in which no results are kept.
    #[must_use]
    pub fn only_read(self) -> Self {
        Self { keeps: false, ..self }
    }

    /// Its folder.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The device that writes to it.
    pub const fn device(&self) -> &Device {
        &self.device
    }

    /// True when there is a player file, be it one that may not be read.
    pub fn exists(&self) -> bool {
        let about = self.root.join(PLAYER).symlink_metadata();
        !about.is_err_and(|error| matches!(error.kind(), NotFound | NotADirectory))
    }

    /// Makes the folders and the player file.
    ///
    /// # Errors
    /// There is a player file already; the machine's own trouble.
    pub fn create(&self, player: &Player) -> Result<(), Trouble> {
        for folder in ["decks", "launchers", "journal"] {
            disk::make_folder(&self.root.join(folder))?;
        }
        if self.exists() {
            return Err(Trouble::finding(
                Finding::error("there is a player file already")
                    .at(Place::file(PLAYER))
                    .hint(format!("edit it, or choose another home than {}", self.root.display())),
            ));
        }
        self.write_new(PLAYER, PLAYER_HEADER, player)
    }

    /// The player.
    ///
    /// # Errors
    /// No player file; mistakes in it; the machine's own trouble.
    pub fn player(&self) -> Result<Player, Trouble> {
        self.judged_player().map(|parsed| parsed.value)
    }

    /// The player, with warnings and advice about the file.
    ///
    /// # Errors
    /// As [`Home::player`].
    pub fn judged_player(&self) -> Result<Parsed<Player>, Trouble> {
        self.judged(PLAYER, advice::of_player)?.ok_or_else(|| {
            Trouble::finding(
                Finding::error(format!("no home at {}", self.root.display()))
                    .hint("make one with `secondball init`, or name yours with `--home`"),
            )
        })
    }

    /// Makes the change from one player to another in the player file; every comment stays.
    ///
    /// # Errors
    /// As [`Home::save_deck`].
    pub fn save_player(&self, was: &Player, now: &Player) -> Result<(), Trouble> {
        self.save(PLAYER, PLAYER_HEADER, Some(was), now, advice::of_player)
    }

    /// The launcher in the file `launchers/<stem>.ron`; nothing when it is not there.
    ///
    /// # Errors
    /// Mistakes in it; the machine's own trouble.
    pub fn judged_launcher(&self, stem: &str) -> Result<Option<Parsed<Launcher>>, Trouble> {
        self.judged(&format!("launchers/{stem}.ron"), judge_launcher_file)
    }

    /// The value in a RON file of the home, for example `launchers/hall.ron`; nothing when it is
    /// not there.
    ///
    /// # Errors
    /// Mistakes in it; the machine's own trouble.
    pub fn read_ron<T: DeserializeOwned>(&self, file: &str) -> Result<Option<T>, Trouble> {
        Ok(self.judged(file, |_| Vec::new())?.map(|parsed| parsed.value))
    }

    /// Writes a value to a RON file of the home: a new one where none was read, or the one that is
    /// there changed where it differs.
    ///
    /// # Errors
    /// As [`Home::save_deck`].
    pub fn write_ron<T>(&self, file: &str, was: Option<&T>, now: &T) -> Result<(), Trouble>
    where
        T: Serialize + DeserializeOwned + PartialEq,
    {
        let header = if file.starts_with("launchers/") { LAUNCHER_HEADER } else { OTHER_HEADER };
        self.save(file, header, was, now, |_| Vec::new())
    }

    /// Writes a value to a file only the tool writes, for example in `cache/`, whatever was there.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn replace_ron<T: Serialize>(&self, file: &str, value: &T) -> Result<(), Trouble> {
        let header = "// Written by the tool; safe to delete.";
        let document = Plain::from_value(file, value)?.document(header);
        disk::write_inside(&self.root, file, document.as_bytes(), Over::Anything).map(drop)
    }

    /// Everything that happened, in memory, with today's ids of renamed serves.
    ///
    /// # Errors
    /// A journal of a newer format; the machine's own trouble.
    pub fn journal(&self) -> Result<Ledger, Trouble> {
        let renames = self.read_decks()?.renames();
        let mut merge = self.merged()?;
        let mut events = Vec::with_capacity(merge.marks.len());
        merge.each(|_, mut event| {
            renames.apply(&mut event);
            events.push(event);
        })?;
        Ok(Ledger { events, findings: merge.told() })
    }

    /// What is set aside in the journals of all devices. Every line is read, and none is kept.
    ///
    /// # Errors
    /// As [`Home::journal`].
    pub fn journal_findings(&self) -> Result<Vec<Finding>, Trouble> {
        let mut merge = self.merged()?;
        merge.each(|_, _| ())?;
        merge.tell_missing(&self.device)?;
        Ok(merge.told())
    }

    /// Every origin in the journal with the event it became: what makes importing the same answers
    /// twice change nothing. Every line counts here, also one that was taken back or whose opponent
    /// is forgotten: it was imported.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn origins(&self) -> Result<BTreeMap<String, EventId>, Trouble> {
        let mut origins = BTreeMap::new();
        let (sources, unread) = sources(&self.journal_folder())?;
        // One that is not seen would be taken in twice.
        if !unread.is_empty() {
            return Err(Trouble::Findings(unread));
        }
        for mut source in sources {
            let device = source.device.clone();
            source.each_head(0, |_, _, head| {
                if let Ok(Head { origin: Some(origin), n, .. }) = head {
                    origins.insert(origin.into_owned(), EventId { device: device.clone(), n });
                }
            })?;
        }
        Ok(origins)
    }

    /// The journals of all devices in one order; events later than tomorrow are set aside where the
    /// day is known.
    pub(super) fn merged(&self) -> Result<Merge, Trouble> {
        let last = self.today.map(|today| today.plus(1));
        Merge::scan(&self.journal_folder(), last, Begin::default())
    }

    /// The writer of this device's journal. It holds the lock until it is dropped.
    ///
    /// # Errors
    /// Another process holds the lock, said which; the machine's own trouble.
    pub fn writer(&self, now: Moment, day: Day) -> Result<Writer, Trouble> {
        self.device.must_be_kept()?;
        self.sweep();
        Writer::open(&self.journal_folder(), &self.device, now, day)
    }

    /// A small result kept under this name so that it need not be worked out again, if it is there
    /// and still of this form. What is kept may be deleted at any time.
    pub fn kept<T: DeserializeOwned>(&self, name: &str) -> Option<T> {
        let text = std::fs::read_to_string(self.root.join(kept_file(name))).ok()?;
        serde_json::from_str(&text).ok()
    }

    /// Keeps a result under this name; one that cannot be written is worked out again.
    pub fn keep<T: Serialize>(&self, name: &str, result: &T) {
        if self.keeps
            && let Ok(text) = serde_json::to_string(result)
        {
            let file = kept_file(name);
            drop(disk::write_inside(&self.root, &file, text.as_bytes(), Over::Anything));
        }
    }

    pub(crate) fn journal_folder(&self) -> PathBuf {
        self.root.join("journal")
    }

    pub(super) fn text(&self, file: &str) -> Result<Option<String>, Trouble> {
        disk::read_text(&self.root.join(file), file)
    }

    /// The value in a file and what there is to say of it; nothing when the file is not there.
    ///
    /// # Errors
    /// Mistakes in it; the machine's own trouble.
    pub fn judged<T: DeserializeOwned>(
        &self,
        file: &str,
        judge: impl Fn(&T) -> Vec<Judged>,
    ) -> Result<Option<Parsed<T>>, Trouble> {
        let text = self.text(file)?;
        text.map(|text| parse(file, &text, judge)).transpose().map_err(Trouble::Findings)
    }
}
