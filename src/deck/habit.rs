//! The habits, embedded as they stand in `decks/`.
//!
//! Each is what many servers do, with frequencies and a sensible first plan: common practice,
//! not a real player. Reading the text is the work of `store`; fitting it to hands that differ, of
//! [`crate::deck::Hands`].

use crate::base::{Finding, text};

/// A habit as it is embedded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Habit {
    /// Its name, as given to `--from-habit`.
    pub name: &'static str,
    /// What habit it is about, in one line.
    pub about: &'static str,
    /// The text of the file.
    pub text: &'static str,
}

/// Names, lines and texts; the name is the file's.
macro_rules! habits {
    ($( $name:literal: $about:literal, )+) => {
        &[ $( Habit {
            name: $name,
            about: $about,
            text: include_str!(concat!("../../decks/", $name, ".ron")),
        }, )+ ]
    };
}

impl Habit {
    /// Every habit.
    pub const ALL: &'static [Self] = habits! {
        "backhand-three-targets": "a backhand server with one swing and three targets",
        "pendulum-pair": "a pendulum and a reverse pendulum that look alike",
        "tomahawk-wide": "a tomahawk that runs away into the wide forehand",
        "short-short-long": "short, short, and then long into the backhand",
        "dead-among-heavy": "heavy backspin, and now and then one with nothing on it",
        "fast-long": "fast long serves, one after the other",
        "defender": "the serves of a defender who chops from a distance",
        "long-pimples": "long pimples on the backhand",
        "penholder": "a penholder with a strong short game",
        "left-hander-wide": "a left-hander who pulls you wide",
        "hook-at-the-body": "hook serves into the body",
        "high-toss-and-scoop": "a high toss with heavy sidespin, and a scooped ball that kicks",
        "short-pimple-blocker": "a blocker with short pimples on the backhand",
        "two-winged-attacker": "an attacker of both wings with a fast hook",
        "veteran-corkscrew": "a veteran with the corkscrew, slow balls and time",
    };

    /// The habit of this name.
    ///
    /// # Errors
    /// A finding with the name probably meant.
    pub fn named(given: &str) -> Result<&'static Self, Finding> {
        let plain = text::file_stem(given);
        let known: Vec<_> = Self::ALL.iter().map(|habit| habit.name).collect();
        Self::ALL.iter().find(|habit| habit.name == plain).ok_or_else(|| {
            let hint = text::meant(given.trim(), &known, "`secondball scout habits` lists them");
            Finding::error(format!("`{given}` is not a habit")).hint(hint)
        })
    }

    /// The file as the repository knows it, for findings.
    pub fn file(&self) -> String {
        format!("decks/{}.ron", self.name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_starter_opens_with_the_line_that_is_said_about_it() {
        for habit in Habit::ALL {
            let first = habit.text.lines().next().unwrap_or_default();
            let said = first.trim_start_matches("// ").trim_end_matches('.').to_lowercase();
            assert_eq!(said, habit.about, "{}", habit.name);
        }
    }

    #[test]
    fn a_misspelt_name_offers_the_closest() {
        assert_eq!(Habit::named("Pendulum pair").unwrap().name, "pendulum-pair");
        let error = Habit::named("pendulm-pair").unwrap_err();
        assert_eq!(error.hint.as_deref(), Some("did you mean `pendulum-pair`?"));
    }

    #[test]
    fn the_files_say_that_nobody_is_meant() {
        for habit in Habit::ALL {
            assert!(habit.text.contains("source: \"common practice, not a real player\""));
        }
    }
}
