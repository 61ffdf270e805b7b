//! The settings of a deck for a launcher, as text and as the JSON of `launcher aim`.
//!
//! Lengths are metres in the launcher's frame. One document, made by `launcher`; here it is only
//! shown, what is lost and what to mind of each ball as `launcher_words` says it.

use serde::Serialize;

use crate::base::{Units, text};
use crate::flight::Constants;
use crate::launcher::{
    Cannot, DeckAim, Launcher, LowOutlet, LowWay, ServeAim, SetUp, SetUpGroup,
    TRUST_WITHOUT_CALIBRATION_M,
};
use crate::page::launcher_words::set_up_words;
use crate::page::text_page::filled_text;

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
    pub cannot: &'a [Cannot],
    /// Why the outlet has to be low, when this launcher makes it matter.
    pub height: Option<String>,
    pub cautions: Vec<String>,
}

/// Serves thrown from one set-up.
#[derive(Debug, Serialize)]
pub struct SetUpShown<'a> {
    pub set_up: SetUp,
    pub words: String,
    pub serves: &'a [ServeAim],
}

impl<'a> AimDocument<'a> {
    pub fn tell(
        opponent: &'a str,
        launcher: &'a Launcher,
        (constants, is_own_table): (Constants, bool),
        aim: &'a DeckAim,
        cautions: Vec<String>,
    ) -> Self {
        let (trust_m, trust) = trust(launcher, is_own_table);
        let shown = |SetUpGroup { set_up, serves }: &'a SetUpGroup| {
            let words = set_up_words(set_up, Units::Metric);
            SetUpShown { set_up: *set_up, words, serves }
        };
        Self {
            format: FORMAT,
            opponent,
            launcher: &launcher.name,
            trust_m,
            trust,
            constants,
            groups: aim.groups.iter().map(shown).collect(),
            cannot: &aim.cannot,
            height: aim.low_outlet.as_ref().map(low_outlet_words),
            cautions,
        }
    }

    /// The text, at most `width` columns wide.
    pub fn text(&self, width: usize) -> String {
        filled_text(include_str!("templates/launcher/aim.txt"), self, width)
    }
}

/// How far to trust the settings.
fn trust(launcher: &Launcher, is_own_table: bool) -> (f64, String) {
    let off_m = match &launcher.calibrated {
        Some(own) if is_own_table => own.landing_off_m,
        _ => TRUST_WITHOUT_CALIBRATION_M,
    };
    let cm = format!("about {:.0} cm", off_m * 100.0);
    let words = match (&launcher.calibrated, is_own_table) {
        (Some(own), true) => format!(
            "landings are off by {cm}: so it was with {} at calibration. Another table, ball or hall counts \
             as not calibrated.",
            text::count(own.balls, "ball"),
        ),
        (Some(_), false) => {
            format!("{cm}: the dials are calibrated, this table is not. Trim first.")
        }
        (None, true) => format!(
            "{cm}: the table is calibrated, the dials are not. Set them by the first bounce, then trim."
        ),
        (None, false) => format!(
            "{cm} in the landing, nothing is calibrated. This is where to start; then `secondball launcher \
             trim --help`, and once `secondball launcher calibrate --help`."
        ),
    };
    (off_m, words)
}

/// Why the outlet has to be low.
fn low_outlet_words(low: &LowOutlet) -> String {
    let way = match low.way {
        LowWay::Chair { chair_m } => {
            format!("hence the short legs on a wedged chair ({:.0} cm)", chair_m * 100.0)
        }
        LowWay::OnTable => "hence balls that bounce once, thrown from the table".to_owned(),
        LowWay::ShorterLegs => "shorter legs on a wedged chair would do it".to_owned(),
    };
    format!(
        "A serve peaks 18 to 25 cm above the table between its bounces; from an outlet at {:.0} cm no ball \
         does, from 30 cm or lower it can: {way}.",
        low.lowest_m * 100.0
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_high_launcher_says_why_it_stands_on_a_chair() {
        let low = LowOutlet { lowest_m: 0.40, way: LowWay::Chair { chair_m: 0.28 } };
        let said = low_outlet_words(&low);
        assert!(said.contains("40 cm") && said.contains("chair (28 cm)"), "{said}");
    }
}
