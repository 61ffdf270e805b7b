//! The decks of a home: found by name, read, written.

use std::collections::BTreeMap;

use crate::base::{Finding, text};
use crate::deck::Deck;
use crate::journal::Renames;
use crate::store::lock::Lock;
use crate::store::parse::{Parsed, judge_deck};
use crate::store::{Home, Trouble, disk};

/// What a new deck says of itself.
const DECK_HEADER: &str = "\
// One opponent: their serves, your receive for each, and the switches you hold in reserve.
// Edit it as you like; comments stay. Leave `key` as it is: your history is kept under it.";

impl Home {
    /// The names of the decks' files without their ending, sorted.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn deck_stems(&self) -> Result<Vec<String>, Trouble> {
        disk::stems(&self.root().join("decks"), ".ron")
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

    /// The deck meant by a file's stem, a key or an opponent's name, or by the beginning of any
    /// word of only one of them: `north` is enough for "Left-hander, north hall".
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

    /// The decks a player may mean by these words: those that are called exactly so, else those in
    /// whose names a word begins so.
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

    /// Every deck that can be read; the mistakes of one do not hide the others, [`Home::check`]
    /// tells of them.
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
        disk::make_folder(&self.root().join("decks"))?;
        let _lock = Lock::take(&self.root().join("decks/.lock"), None)?;
        let stems = self.deck_stems()?;
        for stem in &stems {
            if self.deck(stem).is_ok_and(|known| known.key == deck.key) {
                return Err(Trouble::finding(same_key(&deck.key, std::slice::from_ref(stem))));
            }
        }
        let wanted = text::file_stem(&deck.opponent);
        let wanted: String = wanted.chars().take(60).collect();
        let is_free = |stem: &String| !self.root().join(deck_file(stem)).exists();
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
    /// Mistakes in the file as it is; a change that cannot be made without losing a comment, with
    /// the lines to add by hand; the machine's own trouble.
    pub fn save_deck(&self, stem: &str, deck: &Deck) -> Result<(), Trouble> {
        let _lock = Lock::take(&self.root().join("decks/.lock"), None)?;
        self.save(&deck_file(stem), DECK_HEADER, deck, |file, text| {
            judge_deck(file, text).map(|parsed| parsed.value)
        })
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
