//! What a calibration learned, as text: constants and curves with how sure they are, ball by ball,
//! warnings.

use minijinja::context;
use minijinja::value::Serde;
use serde::{Serialize, Serializer};

use crate::flight::Constants;
use crate::launcher::{Learned, Warning};
use crate::page::text_page::filled_text;

/// The text, at most `width` columns wide.
pub fn shown(learned: &Learned, launcher: &str, width: usize) -> String {
    let curves = learned.calibrated.curves.iter();
    let curves: Vec<_> =
        curves.map(|curve| (curve, curve.sets.shown(), curve.sets.unit())).collect();
    let usual = Constants::default();
    let page =
        context! { launcher, usual => Serde(usual), curves => Serde(curves), ..Serde(learned) };
    filled_text(include_str!("templates/launcher/learned.txt"), &page, width)
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
        Warning::MoreScatter => {
            "the balls differ more than the launcher's scatter on file: measure it, or read more carefully"
                .to_owned()
        }
    }
}
