//! The one coaching line of a block, and the cautions that travel with every sheet.
//!
//! All of it is common practice, said short.

use crate::game::Depth;
use crate::launcher::{Kind, Thrown};
use crate::rehearsal::Variation;

/// Cautions for everybody, short and concrete.
pub const CAUTIONS: &[&str] = &[
    "Table locked; leads and balls off the floor; sweat wiped.",
    "Mind knee and thigh at the table's edge when stepping in.",
    "Hard returns come back: a catch net, and nobody in their line.",
    "Eye protection for close work. Breaks; stop at pain.",
];

/// Cautions for a machine.
const MACHINE: &[&str] = &[
    "Launcher clamped or wedged; a chair tips.",
    "Nobody within two metres of the outlet; watch the first ball after each change from the side.",
    "Hair, sleeves and lanyards off the wheels.",
    "Unplug before clearing a jam; never a child's job.",
];

/// Cautions for the person who feeds.
const FEEDER: &[&str] = &["The feeder stands beside the line of return, basket at the side."];

/// Cautions for the person who serves.
const PARTNER: &[&str] = &["The server steps out of the line of return once the ball is served."];

/// What stands above all of these.
const FIRST: &str =
    "The launcher's manual, the hall's rules, a coach, physiotherapist or doctor come first.";

/// The same where no machine stands at the table.
const FIRST_OF_PEOPLE: &str = "The hall's rules, a coach, physiotherapist or doctor come first.";

/// The cautions for a kind of launcher.
pub fn cautions(kind: Kind) -> Vec<String> {
    let (own, first) = match kind {
        Kind::Feeder => (FEEDER, FIRST_OF_PEOPLE),
        Kind::Partner => (PARTNER, FIRST_OF_PEOPLE),
        _ => (MACHINE, FIRST),
    };
    own.iter().chain(CAUTIONS).chain([&first]).map(|&line| line.to_owned()).collect()
}

/// The coaching line of a block.
pub(crate) fn line(variation: Variation, thrown: &Thrown) -> &'static str {
    match (variation, thrown.depth) {
        (Variation::OneServe, Depth::Long) => {
            "Racket in front; do not move before the ball is out."
        }
        (Variation::OneServe, _) => "Clean technique first, getting it back second.",
        (Variation::ThreeTargets | Variation::Mixed, _) => "Do not move before the ball is out.",
        (Variation::ThreeDepths, _) => "Step in or stay out: decide that first, then the stroke.",
        (Variation::UntilLong, _) => "Come back after every step in; the long one is coming.",
        (Variation::OddSlow, _) => "Racket in front; let the slow one come to you.",
        (Variation::MostOfTheTable, _) => "Feet first; do not move before the ball is out.",
        (Variation::DeadAmongLoaded, _) => "Watch how the ball leaves the bounce, not your hand.",
        (Variation::FarThenClose, _) => "Use the time you have: the same swing far and close.",
        (Variation::ChangeTheAnswer, _) => "Say the receive before the ball is out.",
        (Variation::Sweep, _) => "Wait for the lane; racket in front.",
        (Variation::SwitchRound, _) => "After the call think only of the serve that changed.",
        (Variation::Pairs, _) => "Full reset: step away, look up, then be ready.",
    }
}
