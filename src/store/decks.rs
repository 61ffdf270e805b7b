//! The decks of a home: found by name, read, written.

use std::collections::BTreeMap;

use rayon::iter::Either;
use rayon::prelude::*;

use crate::base::{Finding, text};
use crate::deck::Deck;
use crate::journal::Renames;
use crate::receive;
use crate::store::parse::Parsed;
use crate::store::{Home, Trouble};

/// What a new deck says of itself.
const DECK_HEADER: &str = "\
// One opponent: their serves, your receive for each, and the switches you hold in reserve.
// Edit it as you like; comments stay. Leave `key` as it is: your history is kept under it.";

/// Every deck, by file stem.
#[derive(Debug, Default)]
pub struct Decks {
    /// Those that could be read.
    pub read: Vec<(String, Deck)>,
    /// The others, and why.
    pub unread: Vec<(String, Trouble)>,
}

impl Decks {
    /// The file stems, sorted.
    pub fn stems(&self) -> Vec<String> {
        let read = self.read.iter().map(|(stem, _)| stem);
        let mut stems: Vec<String> =
            read.chain(self.unread.iter().map(|(stem, _)| stem)).cloned().collect();
        stems.sort();
        stems
    }

    /// The deck of a file; nothing when it is not among those that could be read.
    pub fn get(&self, stem: &str) -> Option<&Deck> {
        self.read.iter().find(|(known, _)| known == stem).map(|(_, deck)| deck)
    }

    /// What the serves of these decks were once called. The history of a deck with mistakes waits
    /// until it can be read.
    pub fn renames(&self) -> Renames {
        let mut renames = Renames::default();
        for (_, deck) in &self.read {
            for serve in &deck.serves {
                for was in serve.was.iter().filter(|was| deck.serve(was).is_none()) {
                    renames.note(&deck.key, was, &serve.id);
                }
            }
        }
        renames
    }

    /// The file of the deck meant by its stem, a key or an opponent's name, or by the beginning of
    /// any word of only one of them: `north` is enough for "Left-hander, north hall".
    ///
    /// # Errors
    /// None or several are meant, with what is there; another file has its key.
    pub fn find(&self, named: &str) -> Result<String, Trouble> {
        let stems = self.stems();
        // A file's own name needs no other file to be right.
        let is_file = stems.iter().any(|stem| stem == named);
        let meant = if is_file { vec![named.to_owned()] } else { self.meant(named) };
        let clashes = one_key(&self.read);
        match meant.as_slice() {
            [] => Err(Home::no_deck(named, &stems)),
            [stem] => {
                let key = self.get(stem).map(|deck| deck.key.as_str());
                let mut others = self.read.iter().filter(|(other, _)| other != stem);
                match others.find(|(_, deck)| Some(&*deck.key) == key) {
                    Some((other, deck)) => {
                        Err(Trouble::finding(same_key(&deck.key, &[stem.clone(), other.clone()])))
                    }
                    None => Ok(stem.clone()),
                }
            }
            _ if !clashes.is_empty() => Err(Trouble::Findings(clashes)),
            several => Err(Trouble::finding(
                Finding::error(format!("`{named}` may be {} opponents", several.len()))
                    .hint(format!("say which: {}", text::one_of(several))),
            )),
        }
    }

    /// The decks a player may mean by these words: those that are called exactly so, else those in
    /// whose names a word begins so.
    pub fn meant(&self, named: &str) -> Vec<String> {
        let wanted = text::plain_word(named);
        let (mut whole, mut begun) = (Vec::new(), Vec::new());
        for stem in self.stems() {
            let deck = self.get(&stem).map(|deck| [deck.key.as_str(), deck.opponent.as_str()]);
            let names = std::iter::once(stem.as_str()).chain(deck.into_iter().flatten());
            let names: Vec<_> = names.map(text::plain_word).collect();
            if names.contains(&wanted) {
                whole.push(stem);
            } else if names.iter().any(|name| text::begins_a_word(name, &wanted)) {
                begun.push(stem);
            }
        }
        if whole.is_empty() { begun } else { whole }
    }
}

impl Home {
    /// The names of the decks' files without their ending, sorted.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn deck_stems(&self) -> Result<Vec<String>, Trouble> {
        self.stems_read("decks")
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
        match self.judged(&deck_file(stem), receive::of_deck)? {
            Some(parsed) => Ok(parsed),
            None => Err(Self::no_deck(stem, &self.deck_stems()?)),
        }
    }

    /// Every deck, also those with mistakes.
    ///
    /// # Errors
    /// The machine's own trouble with the folder.
    pub fn read_decks(&self) -> Result<Decks, Trouble> {
        let read = |stem: String| match self.deck(&stem) {
            Ok(deck) => Either::Left((stem, deck)),
            Err(trouble) => Either::Right((stem, trouble)),
        };
        let (read, unread) = self.deck_stems()?.into_par_iter().partition_map(read);
        Ok(Decks { read, unread })
    }

    /// Every deck that can be read; the mistakes of one do not hide the others, [`Home::check`]
    /// tells of them.
    ///
    /// # Errors
    /// Two files with one key; the machine's own trouble.
    pub fn decks(&self) -> Result<Vec<(String, Deck)>, Trouble> {
        let Decks { read, .. } = self.read_decks()?;
        let clashes = one_key(&read);
        if clashes.is_empty() { Ok(read) } else { Err(Trouble::Findings(clashes)) }
    }

    /// Writes a new deck and gives the name of its file without the ending.
    ///
    /// # Errors
    /// Another deck has this key; the machine's own trouble.
    pub fn add_deck(&self, deck: &Deck) -> Result<String, Trouble> {
        let _lock = self.lock()?;
        let stems = self.deck_stems()?;
        for stem in &stems {
            if self.deck(stem).is_ok_and(|known| known.key == deck.key) {
                return Err(Trouble::finding(same_key(&deck.key, std::slice::from_ref(stem))));
            }
        }
        let wanted: String = text::file_stem(&deck.opponent).chars().take(60).collect();
        let (mut stem, mut numbers) = (wanted.clone(), 2..);
        while self.root().join(deck_file(&stem)).exists() {
            stem = format!("{wanted}-{}", numbers.next().unwrap_or(u32::MAX));
        }
        self.write_new(&deck_file(&stem), DECK_HEADER, deck)?;
        Ok(stem)
    }

    /// Makes the change from one deck to another in a deck's file; every comment stays, and so does
    /// what others have changed there meanwhile.
    ///
    /// # Errors
    /// Mistakes in the file as it is; a change that cannot be made without losing a comment, with
    /// the lines to add by hand; another change of the same; the machine's own trouble.
    pub fn save_deck(&self, stem: &str, was: &Deck, now: &Deck) -> Result<(), Trouble> {
        self.save(&deck_file(stem), DECK_HEADER, Some(was), now, receive::of_deck)
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
    Finding::error(what).hint("look at both and keep one; a deck of its own needs its own key")
}
