//! A phrase of words of the trade, read from its front: `forehand push, early, short to the
//! middle`.

use crate::base::words::Word;

/// Most words in one word of a vocabulary, articles aside: `top of bounce`.
const LONGEST: usize = 3;

/// What is still to be read of a phrase.
pub(super) struct Phrase {
    words: Vec<String>,
}

impl Phrase {
    /// The words of a text, whatever stands between them, without those that say nothing.
    pub(super) fn read(text: &str, fillers: &[&str]) -> Self {
        let plain = text.to_lowercase().replace([',', ';', '_', '-'], " ");
        let words = plain.split_whitespace().filter(|word| !fillers.contains(word));
        Self { words: words.map(str::to_owned).collect() }
    }

    /// The next word; none at the end.
    pub(super) fn first(&self) -> Option<String> {
        self.words.first().cloned()
    }

    /// Leaves the next word out.
    pub(super) fn skip(&mut self) {
        self.words.drain(..1);
    }

    /// Takes the longest word of a vocabulary that stands next, or a shorter way to say one.
    pub(super) fn take<T: Word>(&mut self, short: &[(&str, T)]) -> Option<T> {
        (1..=self.words.len().min(LONGEST)).rev().find_map(|length| {
            let said = self.words[..length].join("_");
            let named = T::EVERY.iter().find(|word| word.in_files().replace("_the_", "_") == said);
            let word = named.or_else(|| short.iter().find(|(way, _)| *way == said).map(|(_, w)| w));
            word.inspect(|_| drop(self.words.drain(..length))).copied()
        })
    }

    /// Fills an empty place with what stands next; false when it is full or something else stands
    /// there.
    pub(super) fn fill<T: Word>(&mut self, place: &mut Option<T>, short: &[(&str, T)]) -> bool {
        if place.is_some() {
            return false;
        }
        *place = self.take(short);
        place.is_some()
    }
}
