//! The settings of a deck for a launcher, as text and as the JSON of `launcher aim`.
//!
//! Lengths are metres in the launcher's frame. One document, made by `launcher`; here it is only
//! shown, what is lost and what to mind of each ball as `launcher_words` says it.

use minijinja::context;
use minijinja::value::Serde as Filled;
use serde::Serialize;

use crate::base::{Units, text};
use crate::deck::Deck;
use crate::flight::Constants;
use crate::flight::constants::{LANDING_OFF_M, NEXT_OFF_M};
use crate::launcher::{
    Cannot, ChairNeeded, DeckAim, Launcher, LauncherKind, ServeAim, SetUp, SetUpGroup,
};
use crate::page::launcher_by_eye::{
    dial_values, order_of_dials, set_by_eye, set_in_a_list, unlearned,
};
use crate::page::launcher_words::{cm_below, dials_words, move_words, set_up_words, stand_words};
use crate::page::rehearsal::{cautions, short_cautions};
use crate::page::text_page::filled_text;
use crate::page::worded::{CalledServe, Worded};

/// More dials than this are named once, in their order.
pub const MOST_NAMED: usize = 3;
/// The widest that the names of the serves may be, columns.
const WIDEST_NAME: usize = 24;
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
    #[serde(skip)]
    pub kind: LauncherKind,
    #[serde(skip)]
    pub units: Units,
    /// Whether each dial is named where it is set: a few are.
    #[serde(skip)]
    pub has_names: bool,
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
            cautions: cautions(launcher.kind),
            kind: launcher.kind,
            units,
            has_names: launcher.dials.len() <= MOST_NAMED,
        }
    }

    /// Where it stands and what is set for each serve, at most `width` columns wide.
    pub fn text(&self, width: usize) -> String {
        let first = self.groups.first().map(|group| &group.set_up);
        let settings = || {
            let balls = self.groups.iter().flat_map(|group| &group.serves);
            balls.map(|one| &one.data.ball.settings)
        };
        let all = self.groups.iter().flat_map(|group| &group.serves);
        let names = all.map(|one| text::width(&one.words.called));
        let serve = |one: &Worded<&ServeAim, SetWords>| {
            let set = set_in_a_list(&one.data.ball.settings, self.units, self.has_names);
            // What was found at the table has its day in a line of its own.
            let last = one.data.ball.settings.last.as_ref();
            let entered = match last {
                Some(last) if self.has_names => dials_words(&last.dials),
                Some(last) => dial_values(&last.dials),
                None => set.entered.unwrap_or(set.physics),
            };
            let found = last.map(|last| format!("as on {}", last.on.spoken()));
            let turned = [found, set.wheels, set.head].into_iter().flatten().collect::<Vec<_>>();
            context! {
                called => one.words.called.clone(),
                first => set.first,
                lands => set.lands,
                entered => entered.strip_prefix("about ").unwrap_or(&entered),
                turned => turned.join("; "),
                limits => Filled(one.data.limits.clone()),
            }
        };
        let group = |group: &SetUpShown<'_>| {
            let moved = first.filter(|first| **first != group.set_up);
            let moved = moved.map(|first| move_words(&group.set_up, first, self.units));
            let stand = moved.map_or_else(
                || format!("nozzle {}", stand_words(&group.set_up, self.units)),
                |it| format!("as stand 1, but {it}"),
            );
            context! { stand, serves => group.serves.iter().map(serve).collect::<Vec<_>>() }
        };
        let document = context! {
            groups => self.groups.iter().map(group).collect::<Vec<_>>(),
            columns => names.max().unwrap_or_default().min(WIDEST_NAME),
            order => order_of_dials(settings()).filter(|_| !self.has_names),
            unlearned => unlearned(settings()),
            trust => &self.trust,
            cautions => short_cautions(self.kind),
            opponent => self.opponent,
            launcher => self.launcher,
            height => &self.height,
            cannot => Filled(&self.cannot),
        };
        filled_text(include_str!("templates/launcher/aim.txt"), &document, width)
    }

    /// All there is to say of each ball.
    pub fn all_text(&self, width: usize) -> String {
        filled_text(include_str!("templates/launcher/aim_all.txt"), self, width)
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
