//! What a calibration learned, as text: constants and curves with how sure they are, ball by ball,
//! warnings.

use minijinja::context;
use minijinja::value::Serde;

use crate::launcher::Learned;
use crate::page::text_page::filled_text;

/// The text, at most `width` columns wide.
pub fn shown(learned: &Learned, launcher: &str, width: usize) -> String {
    let curves = learned.calibrated.curves.iter();
    let curves: Vec<_> =
        curves.map(|curve| (curve, curve.sets.shown(), curve.sets.unit())).collect();
    let page = context! { launcher, curves => Serde(curves), ..Serde(learned) };
    filled_text(include_str!("templates/launcher/learned.txt"), &page, width)
}
