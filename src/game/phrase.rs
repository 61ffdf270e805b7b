//! A phrase of words of the trade, read from its front: `forehand push, on the rise, short to the
//! middle`.

use crate::base::words::{ARTICLES, Word, spelled};

/// Most words in one word of a vocabulary, articles aside: `top of bounce`.
const LONGEST: usize = 3;

/// What is still to be read of a phrase.
pub(crate) struct Phrase {
    words: Vec<String>,
}

impl Phrase {
    /// The words of a text, whatever stands between them, without those that say nothing.
    pub(crate) fn read(text: &str, fillers: &[&str]) -> Self {
        let plain = text.replace([',', ';', '_', '-'], " ");
        let says = |word: &String| !fillers.iter().chain(&ARTICLES).any(|filler| word == filler);
        Self { words: plain.split_whitespace().map(spelled).filter(says).collect() }
    }

    /// The next word; none at the end.
    pub(crate) fn first(&self) -> Option<&str> {
        self.words.first().map(String::as_str)
    }

    /// Takes the next word when it is one of these.
    pub(crate) fn skip(&mut self, any: &[&str]) -> bool {
        let is_next = self.first().is_some_and(|next| any.contains(&next));
        if is_next {
            self.words.drain(..1);
        }
        is_next
    }

    /// The longest word of a vocabulary that stands next, in any of its spellings, and how many
    /// words of the phrase it takes.
    fn next<T: Word>(&self) -> Option<(T, usize)> {
        (1..=self.words.len().min(LONGEST))
            .rev()
            .find_map(|length| T::said(&self.words[..length].concat()).map(|word| (word, length)))
    }

    /// Takes the longest word of a vocabulary that stands next.
    pub(crate) fn take<T: Word>(&mut self) -> Option<T> {
        let (word, length) = self.next()?;
        self.words.drain(..length);
        Some(word)
    }

    /// Takes a word of a vocabulary together with the noun behind it: `backhand motion`.
    pub(crate) fn take_before<T: Word>(&mut self, nouns: &[&str]) -> Option<T> {
        let (word, length) = self.next()?;
        let noun = self.words.get(length).filter(|noun| nouns.contains(&noun.as_str()));
        noun.is_some().then(|| self.words.drain(..=length)).map(|_| word)
    }

    /// Fills an empty place with what stands next; false when it is full or something else stands
    /// there.
    pub(crate) fn fill<T: Word>(&mut self, place: &mut Option<T>) -> bool {
        if place.is_some() {
            return false;
        }
        *place = self.take();
        place.is_some()
    }
}
