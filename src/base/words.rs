//! Closed vocabularies: one declaration gives an enumeration, the word written in files, the words
//! shown to people, and an error that offers the closest word.

use crate::base::text;

/// A word that a closed vocabulary does not hold.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{given}` is not {} {what}; {}", text::article(what), text::one_of(known))]
pub struct UnknownWord {
    /// What the vocabulary is about, for example `motion`.
    pub what: &'static str,
    /// The word as it was given.
    pub given: String,
    /// Every word the vocabulary holds, in its own order.
    pub known: Vec<&'static str>,
}

impl UnknownWord {
    /// The word probably meant, when one is close.
    pub fn closest(&self) -> Option<&'static str> {
        text::closest(&self.given, &self.known)
    }
}

/// A word of any closed vocabulary, for what treats all of them alike.
pub(crate) trait Word: Copy + std::str::FromStr<Err = UnknownWord> + 'static {
    /// Every word, in the vocabulary's own order.
    const EVERY: &'static [Self];

    /// The word as it stands in files and flags.
    fn in_files(self) -> &'static str;

    /// The words as a person reads them.
    fn for_people(self) -> &'static str;
}

/// Declares vocabularies: `Variant = "word_in_files" "words for people"`.
macro_rules! words {
    ($(
        $(#[$about:meta])*
        pub enum $name:ident : $what:literal {
            $( $(#[$doc:meta])* $variant:ident = $word:literal $shown:literal, )+
        }
    )+) => { $(
        $(#[$about])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash,
            serde::Serialize, serde::Deserialize,
        )]
        pub enum $name {
            $( $(#[$doc])* #[serde(rename = $word)] $variant, )+
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
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                out.pad(self.shown())
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::base::UnknownWord;

            /// Reads the word in any of its spellings: spaces, hyphens or underscores, any case.
            fn from_str(given: &str) -> Result<Self, Self::Err> {
                let plain = $crate::base::text::plain_word(given);
                Self::ALL.iter().copied().find(|known| known.word() == plain).ok_or_else(|| {
                    $crate::base::UnknownWord {
                        what: $what,
                        given: given.trim().to_owned(),
                        known: Self::WORDS.to_vec(),
                    }
                })
            }
        }
    )+ };
}
pub(crate) use words;

#[cfg(test)]
mod tests {
    words! {
        /// A vocabulary for the test.
        pub enum Place : "place" {
            /// Here.
            HalfLong = "half_long" "half-long",
            /// There.
            Short = "short" "short",
        }
    }

    #[test]
    fn every_spelling_of_a_word_is_read() {
        for spelling in ["half_long", "half-long", " Half long "] {
            assert_eq!(spelling.parse::<Place>(), Ok(Place::HalfLong), "{spelling}");
        }
    }

    #[test]
    fn a_misspelt_word_names_the_vocabulary_and_offers_the_closest() {
        let error = "shrt".parse::<Place>().unwrap_err();
        assert_eq!(error.to_string(), "`shrt` is not a place; one of `half_long`, `short`");
        assert_eq!(error.closest(), Some("short"));
    }
}
