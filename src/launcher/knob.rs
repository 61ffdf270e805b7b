//! What turns a quantity on a launcher while it is trimmed: dials as they stand, the head, or the
//! whole launcher by hand.

use crate::launcher::aiming::AimedBall;
use crate::launcher::dials::{Feature, rounded, without_dust};
use crate::launcher::guess::dial_makes;
use crate::launcher::settings::Quantity;
use crate::launcher::{Dial, Launcher, Span};

/// What a hand turns at once: degrees, and m/s on a knob nobody knows.
const HAND_DEG: f64 = 1.0;
const HAND_M_S: f64 = 0.2;
/// A head that goes less far than this does not turn, degrees.
const STILL_DEG: f64 = 3.0;
/// Something that can be turned.
#[derive(Debug, Clone)]
pub(super) struct Knob {
    pub(super) what: Quantity,
    /// In the unit of the quantity.
    pub(super) notch: f64,
    /// The dials that set it; none when it is turned by hand.
    pub(super) dials: Vec<DialAt>,
    /// By hand: the head stays, the launcher is turned.
    pub(super) is_whole: bool,
}

/// A dial as it stands.
#[derive(Debug, Clone)]
pub(super) struct DialAt {
    pub(super) dial: Dial,
    pub(super) value: f64,
    /// +1 when turning up makes more.
    pub(super) way: f64,
}

impl Knob {
    /// What turns a quantity on this launcher; none when nothing does.
    pub(super) fn find(what: Quantity, launcher: &Launcher, ball: &AimedBall) -> Option<Self> {
        let machine = launcher.machine.as_ref()?;
        let feature = Feature::find(what, &launcher.dials, machine.wheels);
        let start = ball.settings.start();
        let at = |&(place, _): &(usize, f64)| {
            let dial = launcher.dials[place].clone();
            let value = start.iter().find(|set| set.name == dial.name)?.value;
            Some(DialAt { dial, value, way: 1.0 })
        };
        let dials = feature.iter().flat_map(|feature| feature.0.iter().map(at));
        let mut dials: Vec<DialAt> = dials.collect::<Option<_>>().unwrap_or_default();
        let by_hand = |notch, is_whole| Self { what, notch, dials: Vec::new(), is_whole };
        let Some(first) = dials.first() else {
            let is_still = |span: Span| span.most - span.least <= STILL_DEG;
            return match what {
                Quantity::Elevation => {
                    (!is_still(machine.elevation_deg)).then(|| by_hand(HAND_DEG, false))
                }
                Quantity::Azimuth => Some(by_hand(HAND_DEG, is_still(machine.azimuth_deg))),
                // Without a dial on file its own knob is turned, nobody knows how far.
                _ => launcher.dials.is_empty().then(|| by_hand(HAND_M_S, false)),
            };
        };
        let curve = launcher.calibrated.as_ref().and_then(|own| own.curve(what));
        let makes = match curve {
            Some(curve) => curve.makes(first.value + first.dial.notch) - curve.makes(first.value),
            None => dial_makes(&first.dial, machine, first.value),
        };
        for at in &mut dials {
            at.way = makes.signum();
        }
        Some(Self { what, notch: makes.abs().max(1e-3), dials, is_whole: false })
    }

    /// A dial has ends, and no half notches.
    pub(super) fn can_turn(&self, way: f64) -> bool {
        self.dials.iter().all(|DialAt { dial, value, way: up }| {
            let there = value + way * up * dial.notch;
            way.abs() >= 1.0 && rounded(dial, there) == without_dust(there)
        })
    }
}
