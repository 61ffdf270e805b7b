//! Closed vocabularies: one declaration gives an enumeration, the word written in files, the words
//! shown to people, and an error that offers the closest word.

use std::collections::HashMap;

use crate::base::text;

/// A word that a closed vocabulary does not hold.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{given}` is not {} {what}; {}", text::article(what), text::one_of(known))]
pub struct UnknownWord {
    /// What the vocabulary is about, for example `motion`.
    pub what: &'static str,
    /// The word as it was given.
    pub given: String,
    /// Every word the vocabulary holds as it is shown, in its own order.
    pub known: Vec<&'static str>,
    /// The same as files write them.
    pub words: &'static [&'static str],
    /// The word probably meant, when one is close, in the spelling that is close.
    pub closest: Option<&'static str>,
}

/// Everything that says a word of a vocabulary, as it would be written in a file.
pub(crate) fn spellings<T: Word>() -> impl Iterator<Item = &'static str> {
    T::EVERY.iter().flat_map(|word| word.also().iter().copied().chain([word.in_files()]))
}

/// A word as it is written in files: lower case, underscores between parts, the wings written out.
pub(crate) fn spelled(given: &str) -> String {
    let whole = |part: &str| match part {
        "fh" => "forehand".to_owned(),
        "bh" => "backhand".to_owned(),
        _ => part.to_owned(),
    };
    text::plain_word(given).split('_').map(whole).collect::<Vec<_>>().join("_")
}

/// A word of any closed vocabulary, for what treats all of them alike.
pub(crate) trait Word: Copy + std::str::FromStr<Err = UnknownWord> + 'static {
    /// Every word, in the vocabulary's own order.
    const EVERY: &'static [Self];

    /// The word as it stands in files and flags.
    fn in_files(self) -> &'static str;

    /// The words as a person reads them.
    fn for_people(self) -> &'static str;

    /// What else is understood, as it would be written in a file.
    fn also(self) -> &'static [&'static str];

    /// What it means, in a sentence.
    fn meaning(self) -> String;

    /// The word that these letters say in any of its ways ([`letters`]).
    fn said(letters: &str) -> Option<Self>;
}

/// Words that say nothing of their own.
pub(crate) const ARTICLES: [&str; 5] = ["the", "a", "an", "at", "of"];

/// The letters that count: whether a word is written as one or two, and its articles, say nothing.
pub(crate) fn letters(given: &str) -> String {
    spelled(given).split('_').filter(|part| !ARTICLES.contains(part)).collect()
}

/// Every way to say a word of a vocabulary, by its letters; of two words the first.
pub(crate) fn by_letters<T: Word>() -> HashMap<String, T> {
    let ways = |word: &T| {
        let kept = [word.in_files(), word.for_people()].into_iter();
        let word = *word;
        kept.chain(word.also().iter().copied()).map(move |way| (letters(way), word))
    };
    // What comes last is kept.
    T::EVERY.iter().rev().flat_map(ways).collect()
}

/// Declares vocabularies: `Variant = "word_in_files" "words for people" | "understood_too"`. What
/// stands above a word is shown as its meaning.
macro_rules! words {
    ($(
        $(#[$about:meta])*
        pub enum $name:ident : $what:literal {
            $(
                $(#[doc = $doc:literal])* $(#[default $($default:tt)?])?
                $variant:ident = $word:literal $shown:literal $(| $also:literal)*,
            )+
        }
    )+) => { $(
        $(#[$about])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash,
            serde::Serialize, serde::Deserialize,
        )]
        pub enum $name {
            $( $(#[doc = $doc])* $(#[default $($default)?])? #[serde(rename = $word $(, alias = $also)*)] $variant, )+
        }

        impl $name {
            /// Every word of this vocabulary, in its own order.
            pub const ALL: &'static [Self] = &[ $( Self::$variant, )+ ];

            /// The same words as they stand in files.
            pub(crate) const WORDS: &'static [&'static str] = &[ $( $word, )+ ];

            /// What this vocabulary is about.
            #[allow(dead_code, reason = "not every vocabulary is named in a message")]
            pub const WHAT: &'static str = $what;

            /// The word as it stands in files and flags.
            pub const fn word(self) -> &'static str {
                Self::WORDS[self as usize]
            }

            /// The words as a person reads them.
            pub const fn shown(self) -> &'static str {
                match self { $( Self::$variant => $shown, )+ }
            }
        }

        impl $crate::base::words::Word for $name {
            const EVERY: &'static [Self] = Self::ALL;

            fn in_files(self) -> &'static str {
                self.word()
            }

            fn for_people(self) -> &'static str {
                self.shown()
            }

            fn also(self) -> &'static [&'static str] {
                match self { $( Self::$variant => &[ $($also),* ], )+ }
            }

            fn said(letters: &str) -> Option<Self> {
                static WAYS: std::sync::OnceLock<std::collections::HashMap<String, $name>> =
                    std::sync::OnceLock::new();
                let ways = WAYS.get_or_init($crate::base::words::by_letters::<Self>);
                ways.get(letters).copied()
            }

            fn meaning(self) -> String {
                match self { $( Self::$variant => concat!($($doc),*).trim().to_owned(), )+ }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                out.pad(self.shown())
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::base::UnknownWord;

            /// Reads the word as it is written, shown or said otherwise: spaces, hyphens or
            /// underscores, any case.
            fn from_str(given: &str) -> Result<Self, Self::Err> {
                use $crate::base::{text, words};
                words::Word::said(&words::letters(given)).ok_or_else(|| {
                    let every = [ $( $word, $($also,)* )+ ];
                    $crate::base::UnknownWord {
                        what: $what,
                        given: given.trim().to_owned(),
                        known: vec![ $( $shown, )+ ],
                        words: Self::WORDS,
                        closest: text::closest(given, &every),
                    }
                })
            }
        }
    )+ };
}
pub(crate) use words;

#[cfg(test)]
mod tests {
    use super::Word as _;

    words! {
        /// A vocabulary for the test.
        pub enum Place : "place" {
            /// Here.
            HalfLong = "half_long" "half-long" | "tweener",
            /// There,
            /// or nearer.
            Short = "short" "over the net",
        }
    }

    #[test]
    fn every_spelling_of_a_word_is_read() {
        for spelling in ["half_long", "half-long", " Half long ", "Tweener"] {
            assert_eq!(spelling.parse::<Place>(), Ok(Place::HalfLong), "{spelling}");
        }
    }

    #[test]
    fn a_misspelt_word_names_the_vocabulary_and_offers_the_closest() {
        let error = "shrt".parse::<Place>().unwrap_err();
        assert_eq!(error.to_string(), "`shrt` is not a place; one of `half-long`, `over the net`");
        assert_eq!(error.closest, Some("short"));
        assert_eq!("tweaner".parse::<Place>().unwrap_err().closest, Some("tweener"));
    }

    #[test]
    fn what_is_shown_is_read() {
        for &place in Place::ALL {
            assert_eq!(place.shown().parse(), Ok(place));
        }
    }

    #[test]
    fn what_stands_above_a_word_is_its_meaning() {
        assert_eq!(Place::Short.meaning(), "There, or nearer.");
    }

    #[test]
    fn a_file_may_hold_what_is_understood_too_and_is_written_with_the_word() {
        let read = |text: &str| serde_json::from_str::<Place>(text).unwrap();
        assert_eq!(read("\"tweener\""), read("\"half_long\""));
        assert_eq!(serde_json::to_string(&Place::HalfLong).unwrap(), "\"half_long\"");
    }
}
