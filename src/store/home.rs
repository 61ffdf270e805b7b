//! A player's home: the one door to everything on disk.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::base::finding::Place;
use crate::base::{Day, Finding, Moment, text};
use crate::deck::{Deck, Player};
use crate::journal::{Event, Renames};
use crate::launcher::Launcher;
use crate::store::lock::Lock;
use crate::store::merge::{Begin, Merge};
use crate::store::parse::{Parsed, judge_deck, judge_launcher, judge_player, parse_ron};
use crate::store::writing::Plain;
use crate::store::{Device, Trouble, Writer, disk, editing};

/// The file of the player.
const PLAYER: &str = "player.ron";

/// What a new player file says of itself.
const PLAYER_HEADER: &str = "\
// Your player file: who you are, how you practise, what you own, where you play next.
// Edit it as you like; comments stay. `secondball check` reads it and says what is not right.
// For example, receives you own (of ten, how many land where you meant) and the events ahead:
//     repertoire: [(wing: forehand, stroke: push, of_ten: 8)],
//     events: [(name: \"Club open\", day: \"2026-12-20\", opponents: [(deck: \"north-hall\")])],";

/// What a new deck says of itself.
const DECK_HEADER: &str = "\
// One opponent: their serves, your receive for each, and the switches you hold in reserve.
// Edit it as you like; comments stay. Leave `key` as it is: your history is kept under it.";

/// What a new launcher file says of itself.
const LAUNCHER_HEADER: &str = "\
// One launcher: what it can do, its dials, its calibration. Its own manual comes first.
// Edit it as you like; comments stay.";

/// What any other new file says of itself.
const OTHER_HEADER: &str = "// Edit it as you like; comments stay.";

/// A player's folder.
#[derive(Debug, Clone)]
pub struct Home {
    root: PathBuf,
    device: Device,
    today: Option<Day>,
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
        Self { root, device, today: None }
    }

    /// The same home, with events later than the day after `today` set aside when it is read.
    #[must_use]
    pub fn on(self, today: Day) -> Self {
        Self { today: Some(today), ..self }
    }

    /// Its folder.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The device that writes to it.
    pub const fn device(&self) -> &Device {
        &self.device
    }

    /// True when there is a player file.
    pub fn exists(&self) -> bool {
        self.root.join(PLAYER).is_file()
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
        let text = self.text(PLAYER)?.ok_or_else(|| {
            Trouble::finding(
                Finding::error(format!("no home at {}", self.root.display()))
                    .hint("make one with `secondball init`, or name yours with `--home`"),
            )
        })?;
        judge_player(PLAYER, &text).map_err(Trouble::Findings)
    }

    /// Changes the player file where it differs; every comment stays.
    ///
    /// # Errors
    /// Mistakes in the file as it is; a change that cannot be made without losing a comment; the
    /// machine's own trouble.
    pub fn save_player(&self, player: &Player) -> Result<(), Trouble> {
        self.save(PLAYER, PLAYER_HEADER, player, |file, text| {
            judge_player(file, text).map(|parsed| parsed.value)
        })
    }

    /// The names of the decks' files without their ending, sorted.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn deck_stems(&self) -> Result<Vec<String>, Trouble> {
        disk::stems(&self.root.join("decks"), ".ron")
    }

    /// The deck in the file `decks/<stem>.ron`.
    ///
    /// # Errors
    /// No such file, with what is there; mistakes in it; the machine's own trouble.
    pub fn deck(&self, stem: &str) -> Result<Deck, Trouble> {
        self.judged_deck(stem).map(|parsed| parsed.value)
    }

    /// A deck, with warnings and advice about it.
    ///
    /// # Errors
    /// As [`Home::deck`].
    pub fn judged_deck(&self, stem: &str) -> Result<Parsed<Deck>, Trouble> {
        let file = deck_file(stem);
        match self.text(&file)? {
            Some(text) => judge_deck(&file, &text).map_err(Trouble::Findings),
            None => Err(Self::no_deck(stem, &self.deck_stems()?)),
        }
    }

    /// The deck meant by a file's stem, a key or an opponent's name, or by the beginning of any word
    /// of only one of them: `north` is enough for "Left-hander, north hall".
    ///
    /// # Errors
    /// None or several are meant, with what is there; mistakes in it; the machine's own trouble.
    pub fn find_deck(&self, named: &str) -> Result<(String, Deck), Trouble> {
        let stems = self.deck_stems()?;
        // A file's own name needs no other file to be right.
        if let Some(stem) = stems.iter().find(|stem| *stem == named) {
            let deck = self.deck(stem)?;
            self.only_one_with(&deck.key, stem)?;
            return Ok((stem.clone(), deck));
        }
        let meant = self.decks_meant(named)?;
        match meant[..] {
            [ref stem] => Ok((stem.clone(), self.deck(stem)?)),
            [] => Err(Self::no_deck(named, &stems)),
            _ => {
                // Two files with one key are no choice.
                self.decks()?;
                let several = Finding::error(format!("`{named}` may be {} opponents", meant.len()));
                let hint = format!("say which: {}", text::one_of(&meant));
                Err(Trouble::finding(several.hint(hint)))
            }
        }
    }

    /// The decks a player may mean by these words: those that are called exactly so, else those in whose
    /// names a word begins so.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn decks_meant(&self, named: &str) -> Result<Vec<String>, Trouble> {
        let wanted = text::plain_word(named);
        let (mut whole, mut begun) = (Vec::new(), Vec::new());
        for stem in self.deck_stems()? {
            let deck = self.deck(&stem).ok();
            let names = [
                Some(stem.as_str()),
                deck.as_ref().map(|deck| deck.key.as_str()),
                deck.as_ref().map(|deck| deck.opponent.as_str()),
            ];
            let names: Vec<_> = names.into_iter().flatten().map(text::plain_word).collect();
            if names.contains(&wanted) {
                whole.push(stem);
            } else if names.iter().any(|name| text::begins_a_word(name, &wanted)) {
                begun.push(stem);
            }
        }
        Ok(if whole.is_empty() { begun } else { whole })
    }

    /// Every deck that can be read; the mistakes of one do not hide the others, [`Home::check`] tells
    /// of them.
    ///
    /// # Errors
    /// Two files with one key; the machine's own trouble.
    pub fn decks(&self) -> Result<Vec<(String, Deck)>, Trouble> {
        let mut decks = Vec::new();
        for stem in self.deck_stems()? {
            match self.deck(&stem) {
                Ok(deck) => decks.push((stem, deck)),
                Err(Trouble::Findings(_)) => {}
                Err(trouble) => return Err(trouble),
            }
        }
        let clashes = one_key(&decks);
        if clashes.is_empty() { Ok(decks) } else { Err(Trouble::Findings(clashes)) }
    }

    /// Writes a new deck and gives the name of its file without the ending.
    ///
    /// # Errors
    /// Another deck has this key; the machine's own trouble.
    pub fn add_deck(&self, deck: &Deck) -> Result<String, Trouble> {
        disk::make_folder(&self.root.join("decks"))?;
        let _lock = Lock::take(&self.root.join("decks/.lock"), None)?;
        let stems = self.deck_stems()?;
        for stem in &stems {
            if self.deck(stem).is_ok_and(|known| known.key == deck.key) {
                return Err(Trouble::finding(same_key(&deck.key, std::slice::from_ref(stem))));
            }
        }
        let wanted = text::file_stem(&deck.opponent);
        let wanted: String = wanted.chars().take(60).collect();
        let is_free = |stem: &String| !self.root.join(deck_file(stem)).exists();
        let mut stem = wanted.clone();
        let mut number = 2;
        while !is_free(&stem) {
            stem = format!("{wanted}-{number}");
            number += 1;
        }
        self.write_new(&deck_file(&stem), DECK_HEADER, deck)?;
        Ok(stem)
    }

    /// Changes a deck's file where it differs; every comment stays.
    ///
    /// # Errors
    /// Mistakes in the file as it is; a change that cannot be made without losing a comment, with the
    /// lines to add by hand; the machine's own trouble.
    pub fn save_deck(&self, stem: &str, deck: &Deck) -> Result<(), Trouble> {
        let _lock = Lock::take(&self.root.join("decks/.lock"), None)?;
        self.save(&deck_file(stem), DECK_HEADER, deck, |file, text| {
            judge_deck(file, text).map(|parsed| parsed.value)
        })
    }

    /// The names of the launchers' files without their ending, sorted.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn launcher_stems(&self) -> Result<Vec<String>, Trouble> {
        disk::stems(&self.root.join("launchers"), ".ron")
    }

    /// The launcher in the file `launchers/<stem>.ron`; nothing when it is not there.
    ///
    /// # Errors
    /// Mistakes in it; the machine's own trouble.
    pub fn judged_launcher(&self, stem: &str) -> Result<Option<Parsed<Launcher>>, Trouble> {
        let file = format!("launchers/{stem}.ron");
        match self.text(&file)? {
            Some(text) => judge_launcher(&file, &text).map(Some).map_err(Trouble::Findings),
            None => Ok(None),
        }
    }

    /// The value in a RON file of the home, for example `launchers/hall.ron`; nothing when it is not
    /// there.
    ///
    /// # Errors
    /// Mistakes in it; the machine's own trouble.
    pub fn read_ron<T: DeserializeOwned>(&self, file: &str) -> Result<Option<T>, Trouble> {
        match self.text(file)? {
            Some(text) => parse_ron(file, &text).map(Some).map_err(Trouble::Findings),
            None => Ok(None),
        }
    }

    /// Writes a value to a RON file of the home: a new one, or the one that is there changed where it
    /// differs.
    ///
    /// # Errors
    /// As [`Home::save_deck`].
    pub fn write_ron<T>(&self, file: &str, value: &T) -> Result<(), Trouble>
    where
        T: Serialize + DeserializeOwned + PartialEq,
    {
        if let Some(folder) = self.root.join(file).parent() {
            disk::make_folder(folder)?;
        }
        let header = if file.starts_with("launchers/") { LAUNCHER_HEADER } else { OTHER_HEADER };
        self.save(file, header, value, |file, text| parse_ron(file, text))
    }

    /// Writes a value to a file only the tool writes, for example in `cache/`, whatever was there.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn replace_ron<T: Serialize>(&self, file: &str, value: &T) -> Result<(), Trouble> {
        if let Some(folder) = self.root.join(file).parent() {
            disk::make_folder(folder)?;
        }
        self.write_new(file, "// Written by the tool; safe to delete.", value)
    }

    /// Everything that happened, in memory, with today's ids of renamed serves.
    ///
    /// # Errors
    /// A journal of a newer format; the machine's own trouble.
    pub fn journal(&self) -> Result<Ledger, Trouble> {
        let renames = self.renames()?;
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
        Ok(merge.told())
    }

    /// The journals of all devices in one order; events later than tomorrow are set aside where the
    /// day is known.
    fn merged(&self) -> Result<Merge, Trouble> {
        let last = self.today.map(|today| today.plus(1));
        Merge::scan(&self.journal_folder(), last, Begin::default())
    }

    /// The writer of this device's journal. It holds the lock until it is dropped.
    ///
    /// # Errors
    /// Another process holds the lock, said which; the machine's own trouble.
    pub fn writer(&self, now: Moment, day: Day) -> Result<Writer, Trouble> {
        Writer::open(&self.journal_folder(), &self.device, now, day)
    }

    /// What the serves of every deck that can be read were once called.
    pub(crate) fn renames(&self) -> Result<Renames, Trouble> {
        let mut renames = Renames::default();
        for stem in self.deck_stems()? {
            // A deck with mistakes is told of where it is used; its history waits until then.
            let Ok(deck) = self.deck(&stem) else { continue };
            for serve in &deck.serves {
                for was in serve.was.iter().filter(|was| deck.serve(was).is_none()) {
                    renames.note(&deck.key, was, &serve.id);
                }
            }
        }
        Ok(renames)
    }

    pub(crate) fn journal_folder(&self) -> PathBuf {
        self.root.join("journal")
    }

    fn text(&self, file: &str) -> Result<Option<String>, Trouble> {
        disk::read_text(&self.root.join(file), file)
    }

    fn write_new<T: Serialize>(&self, file: &str, header: &str, value: &T) -> Result<(), Trouble> {
        let document = Plain::from_value(file, value)?.document(header);
        disk::write_whole(&self.root.join(file), document.as_bytes())
    }

    /// Changes a file where its value differs from `value`, or writes a new one.
    fn save<T: Serialize + PartialEq>(
        &self,
        file: &str,
        header: &str,
        value: &T,
        parse: impl Fn(&str, &str) -> Result<T, Vec<Finding>>,
    ) -> Result<(), Trouble> {
        let Some(text) = self.text(file)? else {
            return self.write_new(file, header, value);
        };
        match editing::edited(file, &text, value, parse)? {
            Some(changed) => disk::write_whole(&self.root.join(file), changed.as_bytes()),
            None => Ok(()),
        }
    }

    fn no_deck(named: &str, stems: &[String]) -> Trouble {
        let known: Vec<&str> = stems.iter().map(String::as_str).collect();
        let hint = match (text::closest(named, &known), &known[..]) {
            (_, []) => "there is none yet; `secondball scout` makes one".to_owned(),
            (Some(meant), _) => format!("did you mean `{meant}`?"),
            (None, known) => format!("there is {}", text::and_list(known)),
        };
        Trouble::finding(Finding::error(format!("no opponent `{named}`")).hint(hint))
    }

    /// Refuses a key that another file has too.
    fn only_one_with(&self, key: &str, stem: &str) -> Result<(), Trouble> {
        for other in self.deck_stems()? {
            if other != stem && self.deck(&other).is_ok_and(|deck| deck.key == key) {
                return Err(Trouble::finding(same_key(key, &[stem.to_owned(), other])));
            }
        }
        Ok(())
    }
}

fn deck_file(stem: &str) -> String {
    format!("decks/{stem}.ron")
}

/// A finding for each key that two files have.
pub(super) fn one_key(decks: &[(String, Deck)]) -> Vec<Finding> {
    let mut by_key: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for (stem, deck) in decks {
        by_key.entry(&deck.key).or_default().push(stem.clone());
    }
    by_key
        .into_iter()
        .filter(|(_, stems)| stems.len() > 1)
        .map(|(key, stems)| same_key(key, &stems))
        .collect()
}

fn same_key(key: &str, stems: &[String]) -> Finding {
    let files: Vec<_> = stems.iter().map(|stem| format!("`{}`", deck_file(stem))).collect();
    let what = match &files[..] {
        [only] => format!("{only} has the key `{key}` already"),
        files => format!("{} have one key, `{key}`", text::and_list(files)),
    };
    Finding::error(what).hint(
        "a sync may have left a copy: look at both and keep one; a deck of its own needs its own key",
    )
}
