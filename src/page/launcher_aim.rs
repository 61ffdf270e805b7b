//! The settings of a deck for a launcher, as text and as the JSON of `launcher aim`.
//!
//! Lengths are metres in the launcher's frame. One document, made by `launcher`; here it is only
//! shown, what is lost and what to mind of each ball as `launcher_words` says it.

use serde::Serialize;

use crate::base::{Units, text};
use crate::deck::Deck;
use crate::flight::Constants;
use crate::flight::constants::{LANDING_OFF_M, NEXT_OFF_M};
use crate::launcher::{Cannot, ChairNeeded, DeckAim, Launcher, ServeAim, SetUp, SetUpGroup};
use crate::page::launcher_by_eye::set_by_eye;
use crate::page::launcher_words::{cm_below, set_up_words};
use crate::page::text_page::filled_text;
use crate::page::worded::{CalledServe, Worded};

/// The version of the JSON form.
pub const FORMAT: u32 = 1;

/// The settings of a deck, every word said.
#[derive(Debug, Serialize)]
pub struct AimDocument<'a> {
    /// The version of this form.
    pub format: u32,
    pub opponent: &'a str,
    pub launcher: &'a str,
    /// How far a landing may be off, metres.
    pub trust_m: f64,
    /// The same in words.
    pub trust: String,
    /// The ball, air and table the settings were computed for.
    pub constants: Constants,
    /// Set-ups, the one with most serves first.
    pub groups: Vec<SetUpShown<'a>>,
    pub(crate) cannot: Vec<Worded<&'a Cannot, CalledServe>>,
    /// Why it stands on a chair, where it does.
    pub height: Option<String>,
    pub cautions: Vec<String>,
}

/// Serves thrown from one set-up.
#[derive(Debug, Serialize)]
pub struct SetUpShown<'a> {
    pub set_up: SetUp,
    pub words: String,
    pub(crate) serves: Vec<Worded<&'a ServeAim, SetWords>>,
}

/// What a serve is called and how it is set by eye: labels and words.
#[derive(Debug, Serialize)]
pub struct SetWords {
    pub called: String,
    pub set: Vec<(&'static str, String)>,
}

impl<'a> AimDocument<'a> {
    pub fn tell(
        deck: &'a Deck,
        launcher: &'a Launcher,
        (constants, is_own_table): (Constants, bool),
        aim: &'a DeckAim,
        cautions: Vec<String>,
        units: Units,
    ) -> Self {
        let (trust_m, trust) = trust(launcher, is_own_table);
        let shown = |SetUpGroup { set_up, serves }: &'a SetUpGroup| {
            let words = set_up_words(set_up, units);
            let shown = |one: &'a ServeAim| {
                let set = set_by_eye(&one.ball.settings, units);
                Worded { data: one, words: SetWords { called: deck.called(&one.serve), set } }
            };
            SetUpShown { set_up: *set_up, words, serves: serves.iter().map(shown).collect() }
        };
        let cannot = |data: &'a Cannot| Worded {
            data,
            words: CalledServe { called: Some(deck.called(&data.serve)) },
        };
        Self {
            format: FORMAT,
            opponent: &deck.opponent,
            launcher: &launcher.name,
            trust_m,
            trust,
            constants,
            groups: aim.groups.iter().map(shown).collect(),
            cannot: aim.cannot.iter().map(cannot).collect(),
            height: aim.chair.as_ref().map(chair_words),
            cautions,
        }
    }

    /// The text, at most `width` columns wide.
    pub fn text(&self, width: usize) -> String {
        filled_text(include_str!("templates/launcher/aim.txt"), self, width)
    }
}

/// How far to trust the settings: half of the landings are off by less, and the same in words.
fn trust(launcher: &Launcher, is_own_table: bool) -> (f64, String) {
    let cm = |metres: f64| format!("{:.0} cm", metres * 100.0);
    if let Some(own) = launcher.calibrated.as_ref().filter(|_| is_own_table) {
        let words = format!(
            "19 of 20 landings are off by at most {}: so it was with {} at calibration. Another table, \
             ball or hall counts as not calibrated.",
            cm(own.landing_within_m()),
            text::count(own.balls, "ball"),
        );
        return (own.landing_off_m, words);
    }
    let [half_m, most_m] = LANDING_OFF_M;
    let off = format!(
        "half of the landings within {}, four of five within {} (the next bounce {} and {})",
        cm(half_m),
        cm(most_m),
        cm(NEXT_OFF_M[0]),
        cm(NEXT_OFF_M[1])
    );
    let words = match (&launcher.calibrated, is_own_table) {
        (Some(_), _) => format!("{off}: the dials are calibrated, this table is not. Trim first."),
        (None, true) => {
            "the table is calibrated, the dials are not, and nobody knows how far they are off. \
                         Set them by the first bounce, then trim."
                .to_owned()
        }
        (None, false) => format!(
            "{off}, if the ball leaves as computed: nothing is calibrated. This is where to start; then \
             `secondball launcher trim --help`, and once `secondball launcher calibrate --help`."
        ),
    };
    (half_m, words)
}

/// Why it stands on a chair.
fn chair_words(chair: &ChairNeeded) -> String {
    let ChairNeeded { lowest_m, would_do_m, chair_m } = *chair;
    let can = would_do_m.map_or_else(String::new, |m| format!(", from {} it can", cm_below(m)));
    format!(
        "From a nozzle at {:.0} cm no ball flies as low as a serve{can}: hence the short legs on a wedged \
         chair ({:.0} cm).",
        lowest_m * 100.0,
        chair_m * 100.0
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_high_launcher_says_why_it_stands_on_a_chair() {
        let chair = ChairNeeded { lowest_m: 0.40, would_do_m: Some(0.333), chair_m: 0.28 };
        let said = chair_words(&chair);
        assert!(said.contains("40 cm") && said.contains("chair (28 cm)"), "{said}");
        assert!(said.contains("from 33 cm it can"), "{said}");
    }
}
