//! What a calibration learned, as text: constants and curves with how sure they are, ball by ball,
//! warnings.

use minijinja::context;
use minijinja::value::Serde;
use serde::{Serialize, Serializer};

use crate::flight::Constants;
use crate::launcher::{Curve, Learned, Moved, Warning};
use crate::page::text_page::filled_text;

/// The text, at most `width` columns wide.
pub fn shown(learned: &Learned, launcher: &str, width: usize) -> String {
    let curves = learned.calibrated.curves.iter();
    let curves: Vec<_> =
        curves.map(|curve| (curve, curve.sets.shown(), curve.sets.unit(), moved(curve))).collect();
    let (usual, landing_m) = (Constants::default(), learned.calibrated.landing_within_m());
    let page = context! {
        launcher, landing_m, usual => Serde(usual), curves => Serde(curves), ..Serde(learned)
    };
    filled_text(include_str!("templates/launcher/learned.txt"), &page, width)
}

/// What other dials add to a quantity.
fn moved(curve: &Curve) -> Vec<String> {
    let words = |Moved { by, from, each }: &Moved| {
        let unit = curve.sets.unit();
        format!("{each:+.2} {unit} for each 1 more than {from:.1} on the dial of the {by}")
    };
    curve.moved.iter().map(words).collect()
}

impl Serialize for Warning {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&warning_words(self))
    }
}

/// What to know about what a calibration learned.
fn warning_words(warning: &Warning) -> String {
    match *warning {
        Warning::NeverMoved(quantity) => format!(
            "{quantity}: every ball had the same value, so the dial is not learned; throw two balls at \
             another"
        ),
        Warning::Narrow { quantity, first, last, least, most } => format!(
            "{quantity}: learned from {first} to {last} only, of {least} to {most}; beyond it is a guess"
        ),
        Warning::Bent { quantity, at: [one, two] } => format!(
            "{quantity}: the dial is not straight; two more balls at about {one:.1} and {two:.1} tell most"
        ),
        Warning::Moves { dial, other, ends: [one, two] } => format!(
            "{dial}: its dial moves the {other} as well; two more balls at about {one:.1} and {two:.1}, \
             the rest alike, tell most"
        ),
        Warning::MoreScatter => {
            "the balls differ more than the launcher's scatter on file: measure it, or read more carefully"
                .to_owned()
        }
    }
}
