//! Dials to physics and back: what a calibration knows about a launcher's own scales.
//!
//! Every curve is a line through points, so one form holds a straight dial (two points), an inverted one
//! (falling), and a stepped one (a point for each step). A curve is read at a *feature* of the dials: a dial
//! itself, or for wheels their mean (speed) and their difference (spin). On a machine with one wheel the spin
//! is read at the speed dial, because it follows it. Beyond the calibrated range the end of the
//! line is drawn on, and that is said.

use serde::{Deserialize, Serialize};

use crate::base::words;
use crate::flight::SpinRate;
use crate::launcher::{Control, Dial, DialSetting, Launcher, Settings, Wheels};

words! {
    /// A physical quantity that dials set.
    pub enum Quantity : "quantity" {
        /// Speed at the outlet, m/s.
        Speed = "speed" "speed",
        /// Topspin +, backspin -, rev/s.
        TopSpin = "top_spin" "topspin",
        /// Side spin, rev/s.
        SideSpin = "side_spin" "side spin",
        /// Elevation, degrees.
        Elevation = "elevation" "elevation",
        /// Azimuth, degrees.
        Azimuth = "azimuth" "direction",
    }
}

impl Quantity {
    /// Its unit.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Speed => "m/s",
            Self::TopSpin | Self::SideSpin => "rev/s",
            Self::Elevation | Self::Azimuth => "degrees",
        }
    }
}

/// A point of a curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct At {
    /// The value on the panel, or the mean or difference of the wheels.
    pub dial: f64,
    /// What it makes, in the unit of the quantity.
    pub makes: f64,
    /// How sure: plus or minus so much, all curves of the launcher together in 95 of 100 cases.
    pub give_or_take: f64,
}

/// How one quantity follows the dials.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Curve {
    /// What is set.
    pub sets: Quantity,
    /// By rising dial value, at least two; the first and last are the ends of what was thrown.
    pub points: Vec<At>,
}

impl Curve {
    /// What the dial makes.
    pub fn makes(&self, dial: f64) -> f64 {
        let points = &self.points;
        let place = points.partition_point(|point| point.dial <= dial);
        let (from, to) = match points.as_slice() {
            [] => return f64::NAN,
            [only] => return only.makes,
            _ => {
                let place = place.clamp(1, points.len() - 1);
                (points[place - 1], points[place])
            }
        };
        from.makes + (dial - from.dial) / (to.dial - from.dial) * (to.makes - from.makes)
    }

    /// Whether balls were thrown on both sides of this value.
    pub fn covers(&self, dial: f64) -> bool {
        match (self.points.first(), self.points.last()) {
            (Some(first), Some(last)) => (first.dial - 1e-9..=last.dial + 1e-9).contains(&dial),
            _ => false,
        }
    }
}

/// What was learned about a launcher from thrown balls.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Calibrated {
    /// Balls it rests on.
    pub balls: u32,
    /// How far a landing is off when the ball was not among those learned from: metres, typical.
    pub landing_off_m: f64,
    /// The curves.
    pub curves: Vec<Curve>,
}

impl Calibrated {
    /// The curve of a quantity.
    pub fn curve(&self, of: Quantity) -> Option<&Curve> {
        self.curves.iter().find(|curve| curve.sets == of)
    }
}

/// Where a quantity's curve is read: one dial, or the mean or the difference of two wheels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Feature {
    One(usize),
    Mean(usize, usize),
    Difference(usize, usize),
}

impl Feature {
    /// The feature of a quantity among these dials; none when no dial sets it.
    pub(crate) fn of(quantity: Quantity, dials: &[Dial], wheels: Wheels) -> Option<Self> {
        let place = |control| dials.iter().position(|dial| dial.sets == control);
        let both = || place(Control::UpperWheel).zip(place(Control::LowerWheel));
        match quantity {
            Quantity::Speed => place(Control::Speed)
                .map(Self::One)
                .or_else(|| both().map(|(upper, lower)| Self::Mean(upper, lower))),
            Quantity::TopSpin if wheels == Wheels::One => place(Control::Speed).map(Self::One),
            Quantity::TopSpin => place(Control::Spin)
                .map(Self::One)
                .or_else(|| both().map(|(upper, lower)| Self::Difference(upper, lower))),
            Quantity::SideSpin => place(Control::SideSpin).map(Self::One),
            Quantity::Elevation => place(Control::Elevation).map(Self::One),
            Quantity::Azimuth => place(Control::Azimuth).map(Self::One),
        }
    }

    /// Its value for these dial values.
    pub(crate) fn value(self, values: &[f64]) -> f64 {
        let at = |place: usize| values.get(place).copied().unwrap_or_default();
        match self {
            Self::One(dial) => at(dial),
            Self::Mean(upper, lower) => 0.5 * (at(upper) + at(lower)),
            Self::Difference(upper, lower) => at(upper) - at(lower),
        }
    }

    /// The least and most it can be.
    pub(crate) fn range(self, dials: &[Dial]) -> (f64, f64) {
        match self {
            Self::One(dial) => (dials[dial].least, dials[dial].most),
            Self::Mean(one, two) => (
                0.5 * (dials[one].least + dials[two].least),
                0.5 * (dials[one].most + dials[two].most),
            ),
            Self::Difference(one, two) => {
                (dials[one].least - dials[two].most, dials[one].most - dials[two].least)
            }
        }
    }

    /// Its smallest step.
    fn notch(self, dials: &[Dial]) -> f64 {
        match self {
            Self::One(dial) => dials[dial].notch,
            Self::Mean(one, two) => 0.5 * dials[one].notch.min(dials[two].notch),
            Self::Difference(one, two) => dials[one].notch.min(dials[two].notch),
        }
    }
}

/// Dials as they are entered, what they then make, and what to know about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Entered {
    /// Dial by dial, in entry order.
    pub dials: Vec<DialSetting>,
    /// The physics the notches really make.
    pub makes: Settings,
    /// Values outside what was calibrated, one line each.
    pub warnings: Vec<String>,
}

/// The most notches of a dial that are tried; more cannot be told apart by hand anyway.
const MOST_NOTCHES: u32 = 4000;

/// The dial values nearest to these physics, when the launcher is calibrated.
pub fn enter(launcher: &Launcher, wanted: &Settings) -> Option<Entered> {
    let calibrated = launcher.calibrated.as_ref()?;
    let machine = launcher.machine.as_ref()?;
    let mut values: Vec<Option<f64>> = vec![None; launcher.dials.len()];
    let mut wheels: (Option<f64>, Option<f64>, Option<(usize, usize)>) = (None, None, None);
    let mut warnings = Vec::new();
    for &quantity in Quantity::ALL {
        let Some(feature) = Feature::of(quantity, &launcher.dials, machine.wheels) else {
            continue;
        };
        let Some(curve) = calibrated.curve(quantity) else { continue };
        if quantity == Quantity::TopSpin && machine.wheels == Wheels::One {
            continue;
        }
        let value = nearest(curve, feature, &launcher.dials, physics(wanted, quantity));
        let ends = curve.points.first().zip(curve.points.last());
        if let Some((first, last)) = ends.filter(|_| !curve.covers(value)) {
            let (first, last) = (first.dial, last.dial);
            warnings.push(format!(
                "{quantity}: {value:.1} lies outside the {first:.1} to {last:.1} that was calibrated"
            ));
        }
        match feature {
            Feature::One(dial) => values[dial] = Some(value),
            Feature::Mean(one, two) => (wheels.0, wheels.2) = (Some(value), Some((one, two))),
            Feature::Difference(one, two) => (wheels.1, wheels.2) = (Some(value), Some((one, two))),
        }
    }
    if let (Some(mean), Some(difference), Some((upper, lower))) = wheels {
        let off = |high: f64, low: f64| {
            let miss = |quantity, value: f64, scale: f64| {
                let curve = calibrated.curve(quantity);
                curve.map_or(0.0, |c| (c.makes(value) - physics(wanted, quantity)).abs() / scale)
            };
            miss(Quantity::Speed, 0.5 * (high + low), SPEED_SCALE_M_S)
                + miss(Quantity::TopSpin, high - low, SPIN_SCALE_REV_S)
        };
        // Rounding both wheels the same way would move the speed by a whole notch.
        let around = |wheel: usize, value: f64| {
            let dial = &launcher.dials[wheel];
            [-0.5, 0.5].map(|side| rounded(dial, value + side * dial.notch))
        };
        let mut best = (f64::INFINITY, 0.0, 0.0);
        for high in around(upper, mean + 0.5 * difference) {
            for low in around(lower, mean - 0.5 * difference) {
                let here = off(high, low);
                if here < best.0 {
                    best = (here, high, low);
                }
            }
        }
        values[upper] = Some(best.1);
        values[lower] = Some(best.2);
    }
    let dials = launcher
        .dials
        .iter()
        .zip(&values)
        .filter_map(|(dial, value)| Some(DialSetting { name: dial.name.clone(), value: (*value)? }))
        .collect();
    let all: Vec<f64> = values.iter().map(|value| value.unwrap_or_default()).collect();
    let mut makes = wanted.clone();
    for &quantity in Quantity::ALL {
        if let (Some(feature), Some(curve)) =
            (Feature::of(quantity, &launcher.dials, machine.wheels), calibrated.curve(quantity))
        {
            *place(&mut makes, quantity) = curve.makes(feature.value(&all));
        }
    }
    Some(Entered { dials, makes, warnings })
}

/// Half a metre a second matters about as much as five revolutions a second (common practice).
const SPEED_SCALE_M_S: f64 = 0.5;
const SPIN_SCALE_REV_S: f64 = 5.0;

/// The dial's value at the nearest notch, inside its scale.
pub(crate) fn rounded(dial: &Dial, value: f64) -> f64 {
    let steps = ((value - dial.least) / dial.notch).round();
    clean((dial.least + steps * dial.notch).clamp(dial.least, dial.most))
}

/// Without the dust of binary fractions: 0.30000000000000004 is entered as 0.3.
fn clean(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// The feature's value, notch by notch, whose curve comes nearest.
fn nearest(curve: &Curve, feature: Feature, dials: &[Dial], wanted: f64) -> f64 {
    let (least, most) = feature.range(dials);
    let notch = feature.notch(dials).max((most - least) / f64::from(MOST_NOTCHES));
    let mut best = (f64::INFINITY, least);
    for step in 0..=MOST_NOTCHES {
        let value = least + f64::from(step) * notch;
        if value > most + 1e-9 {
            break;
        }
        let off = (curve.makes(value) - wanted).abs();
        if off < best.0 {
            best = (off, clean(value));
        }
    }
    best.1
}

/// A quantity of a setting.
pub(crate) fn physics(settings: &Settings, quantity: Quantity) -> f64 {
    match quantity {
        Quantity::Speed => settings.speed_m_s,
        Quantity::TopSpin => settings.top_rev_s,
        Quantity::SideSpin => settings.side_rev_s,
        Quantity::Elevation => settings.elevation_deg,
        Quantity::Azimuth => settings.azimuth_deg,
    }
}

/// The place of a quantity in a setting.
pub(crate) const fn place(settings: &mut Settings, quantity: Quantity) -> &mut f64 {
    match quantity {
        Quantity::Speed => &mut settings.speed_m_s,
        Quantity::TopSpin => &mut settings.top_rev_s,
        Quantity::SideSpin => &mut settings.side_rev_s,
        Quantity::Elevation => &mut settings.elevation_deg,
        Quantity::Azimuth => &mut settings.azimuth_deg,
    }
}

impl Settings {
    /// The spin of these settings.
    pub const fn spin(&self) -> SpinRate {
        SpinRate { top_rev_s: self.top_rev_s, side_rev_s: self.side_rev_s, gyro_rev_s: 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::launcher::Kind;
    use crate::launcher::capability::tests::launcher;

    fn curve(sets: Quantity, points: &[(f64, f64)]) -> Curve {
        let at = |&(dial, makes): &(f64, f64)| At { dial, makes, give_or_take: 0.1 };
        Curve { sets, points: points.iter().map(at).collect() }
    }

    fn dial(name: &str, sets: Control) -> Dial {
        Dial { name: name.to_owned(), sets, least: 0.0, most: 10.0, notch: 0.5 }
    }

    fn wanted() -> Settings {
        Settings {
            speed_m_s: 5.3,
            elevation_deg: -15.0,
            azimuth_deg: 0.0,
            top_rev_s: -30.0,
            side_rev_s: 0.0,
            dials: Vec::new(),
            guess: None,
        }
    }

    #[test]
    fn an_inverted_dial_falls_and_a_stepped_one_lands_on_a_step() {
        let falling = curve(Quantity::Elevation, &[(0.0, 10.0), (10.0, -20.0)]);
        assert_eq!(falling.makes(5.0), -5.0);
        let stepped = curve(Quantity::Speed, &[(1.0, 4.0), (2.0, 5.5), (3.0, 9.0)]);
        let mut speed = dial("speed", Control::Speed);
        (speed.least, speed.most, speed.notch) = (1.0, 3.0, 1.0);
        assert_eq!(nearest(&stepped, Feature::One(0), &[speed], 5.3), 2.0);
        assert!(!stepped.covers(4.0));
    }

    #[test]
    fn wheels_share_speed_by_their_mean_and_spin_by_their_difference_in_entry_order() {
        let mut two = launcher(Kind::Fixed);
        two.dials = vec![
            dial("low", Control::LowerWheel),
            dial("balls", Control::Rate),
            dial("up", Control::UpperWheel),
        ];
        two.calibrated = Some(Calibrated {
            balls: 12,
            landing_off_m: 0.05,
            curves: vec![
                curve(Quantity::Speed, &[(2.0, 4.0), (8.0, 16.0)]),
                curve(Quantity::TopSpin, &[(-5.0, -50.0), (5.0, 50.0)]),
            ],
        });
        let entered = enter(&two, &wanted()).unwrap();
        // 5.3 m/s is a mean of 2.65, -30 rev/s a difference of -3: 1.15 and 4.15, to the notch.
        let said: Vec<_> = entered.dials.iter().map(|set| (set.name.as_str(), set.value)).collect();
        assert_eq!(said, [("low", 4.0), ("up", 1.0)]);
        assert_eq!((entered.makes.speed_m_s, entered.makes.top_rev_s), (5.0, -30.0));
        assert_eq!(entered.warnings, Vec::<String>::new());
    }

    #[test]
    fn a_value_beyond_the_thrown_balls_is_said() {
        let mut one = launcher(Kind::Fixed);
        one.dials = vec![dial("speed", Control::Speed)];
        one.calibrated = Some(Calibrated {
            balls: 5,
            landing_off_m: 0.1,
            curves: vec![curve(Quantity::Speed, &[(5.0, 8.0), (8.0, 12.0)])],
        });
        let entered = enter(&one, &wanted()).unwrap();
        assert!(entered.warnings[0].contains("outside the 5.0 to 8.0"), "{:?}", entered.warnings);
    }
}
