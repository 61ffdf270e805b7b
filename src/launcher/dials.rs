//! Dials to physics and back.
//!
//! A curve is read at a *feature* of the dials: a dial itself, or for wheels their mean (speed) and
//! their difference (spin). On a machine with one wheel the spin is read at the speed dial, because
//! it follows it.

use crate::launcher::curves::Curve;
use crate::launcher::settings::{DialSetting, Quantity, Settings};
use crate::launcher::{Control, Dial, Launcher, Wheels};

/// Where a quantity's curve is read: one dial, or the mean or the difference of two wheels; dials
/// by their places, each with what it counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Feature(pub(super) Vec<(usize, f64)>);

impl Feature {
    /// The feature of a quantity among these dials; none when no dial sets it.
    pub(crate) fn find(quantity: Quantity, dials: &[Dial], wheels: Wheels) -> Option<Self> {
        let place = |control| dials.iter().position(|dial| dial.sets == control);
        let one = |control| Some(vec![(place(control)?, 1.0)]);
        let both = |upper, lower| {
            Some(vec![(place(Control::UpperWheel)?, upper), (place(Control::LowerWheel)?, lower)])
        };
        let read = match quantity {
            Quantity::Speed => one(Control::Speed).or_else(|| both(0.5, 0.5)),
            Quantity::TopSpin if wheels == Wheels::One => one(Control::Speed),
            Quantity::TopSpin => one(Control::Spin).or_else(|| both(1.0, -1.0)),
            Quantity::SideSpin => one(Control::SideSpin),
            Quantity::Elevation => one(Control::Elevation),
            Quantity::Azimuth => one(Control::Azimuth),
        };
        read.map(Self)
    }

    pub(crate) fn value(&self, values: &[f64]) -> f64 {
        self.0
            .iter()
            .map(|&(at, counts)| counts * values.get(at).copied().unwrap_or_default())
            .sum()
    }

    pub(crate) fn range(&self, dials: &[Dial]) -> (f64, f64) {
        self.0.iter().fold((0.0, 0.0), |(least, most), &(at, counts)| {
            let Dial { least: low, most: high, .. } = dials[at];
            let (low, high) = if counts > 0.0 { (low, high) } else { (high, low) };
            (least + counts * low, most + counts * high)
        })
    }

    fn notch(&self, dials: &[Dial]) -> f64 {
        let notches = self.0.iter().map(|&(at, counts)| counts.abs() * dials[at].notch);
        notches.fold(f64::INFINITY, f64::min)
    }
}

/// The dials, by their places, that set something a calibration learns.
pub fn physical_dials(launcher: &Launcher) -> Vec<usize> {
    let wheels = launcher.machine.as_ref().map_or(Wheels::Two, |machine| machine.wheels);
    let features = Quantity::ALL.iter().map(|&of| Feature::find(of, &launcher.dials, wheels));
    let mut places: Vec<usize> =
        features.flatten().flat_map(|feature| feature.0).map(|(place, _)| place).collect();
    places.sort_unstable();
    places.dedup();
    places
}

/// Dials as they are entered, what they then make, and what to know about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Entered {
    /// Dial by dial, in entry order.
    pub dials: Vec<DialSetting>,
    /// The physics the notches really make; what no dial sets stays as it was wanted.
    pub makes: Settings,
    pub beyond: Vec<Beyond>,
}

/// A value outside the ends of what was calibrated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beyond {
    pub quantity: Quantity,
    pub value: f64,
    pub first: f64,
    pub last: f64,
}

/// The most notches of a dial that are tried; more cannot be told apart by hand anyway.
const MOST_NOTCHES: u32 = 4000;

/// How often dials that move one another are set anew: each time the rest is a share of the last.
const SETTLING: usize = 4;

/// A quantity whose curve is known, and where it is read.
struct Known<'a> {
    quantity: Quantity,
    feature: Feature,
    curve: &'a Curve,
}

/// The dial values nearest to these physics, when the launcher is calibrated.
pub fn enter(launcher: &Launcher, wanted: &Settings) -> Option<Entered> {
    let calibrated = launcher.calibrated.as_ref()?;
    let machine = launcher.machine.as_ref()?;
    let known = Quantity::ALL.iter().filter_map(|&quantity| {
        let feature = Feature::find(quantity, &launcher.dials, machine.wheels)?;
        Some(Known { quantity, feature, curve: calibrated.curve(quantity)? })
    });
    let known: Vec<Known<'_>> = known.collect();
    let moved = |of: &Known<'_>, dials: &[f64]| {
        let by = |by| known.iter().find(|other| other.quantity == by);
        of.curve.moves(|other| by(other).map_or(0.0, |by| by.feature.value(dials)))
    };
    let mut alone = wanted.clone();
    let (mut values, mut beyond) = notches(launcher, &known, &alone);
    for _ in 0..SETTLING {
        let dials: Vec<f64> = values.iter().map(|value| value.unwrap_or_default()).collect();
        for of in known.iter().filter(|of| !of.curve.moved.is_empty()) {
            *alone.physics_mut(of.quantity) = wanted.physics(of.quantity) - moved(of, &dials);
        }
        (values, beyond) = notches(launcher, &known, &alone);
    }
    let dials =
        launcher.dials.iter().zip(&values).filter_map(|(dial, &value)| {
            Some(DialSetting { name: dial.name.clone(), value: value? })
        });
    let all: Vec<f64> = values.iter().map(|value| value.unwrap_or_default()).collect();
    let mut makes = wanted.clone();
    for of in &known {
        *makes.physics_mut(of.quantity) = of.curve.makes(of.feature.value(&all)) + moved(of, &all);
    }
    Some(Entered { dials: dials.collect(), makes, beyond })
}

/// The value of each dial that its own curve asks for, and what lies outside one.
fn notches(
    launcher: &Launcher,
    known: &[Known<'_>],
    wanted: &Settings,
) -> (Vec<Option<f64>>, Vec<Beyond>) {
    let is_one_wheel = launcher.machine.as_ref().is_some_and(|own| own.wheels == Wheels::One);
    let mut values: Vec<Option<f64>> = vec![None; launcher.dials.len()];
    let mut shared = Vec::new();
    let mut beyond = Vec::new();
    for Known { quantity, feature, curve } in known {
        let quantity = *quantity;
        if quantity == Quantity::TopSpin && is_one_wheel {
            continue;
        }
        let value = nearest(curve, feature, &launcher.dials, wanted.physics(quantity));
        let ends = curve.points.first().zip(curve.points.last());
        if let Some((first, last)) = ends.filter(|_| !curve.covers(value)) {
            let (first, last) = (first.dial, last.dial);
            beyond.push(Beyond { quantity, value, first, last });
        }
        match feature.0[..] {
            [(dial, _)] => values[dial] = Some(value),
            _ => shared.push((value, feature)),
        }
    }
    // Speed comes before spin: the mean of the wheels, then their difference.
    if let [(mean, _), (difference, wheels)] = shared[..] {
        let (upper, lower) = (wheels.0[0].0, wheels.0[1].0);
        let wheels = [(upper, mean + 0.5 * difference), (lower, mean - 0.5 * difference)];
        let [high, low] = round_wheels(launcher, known, wanted, wheels);
        (values[upper], values[lower]) = (Some(high), Some(low));
    }
    (values, beyond)
}

/// The notches of an upper and a lower wheel, each with the value wanted of it, that come nearest
/// together: rounding both the same way would move the speed by a whole notch.
fn round_wheels(
    launcher: &Launcher,
    known: &[Known<'_>],
    wanted: &Settings,
    wheels: [(usize, f64); 2],
) -> [f64; 2] {
    let miss = |quantity, value: f64, scale: f64| {
        let own = known.iter().find(|own| own.quantity == quantity);
        own.map_or(0.0, |own| (own.curve.makes(value) - wanted.physics(quantity)).abs() / scale)
    };
    let off = |[high, low]: [f64; 2]| {
        miss(Quantity::Speed, 0.5 * (high + low), SPEED_SCALE_M_S)
            + miss(Quantity::TopSpin, high - low, SPIN_SCALE_REV_S)
    };
    let [high, low] = wheels.map(|(wheel, value)| {
        let dial = &launcher.dials[wheel];
        [-0.5, 0.5].map(|side| rounded(dial, value + side * dial.notch))
    });
    let pairs = [[high[0], low[0]], [high[0], low[1]], [high[1], low[0]], [high[1], low[1]]];
    pairs.into_iter().min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or_default()
}

/// Half a metre a second matters about as much as five revolutions a second (common practice).
const SPEED_SCALE_M_S: f64 = 0.5;
const SPIN_SCALE_REV_S: f64 = 5.0;

/// The dial's value at the nearest notch, inside its scale; at nothing a wheel does not turn.
pub(crate) fn rounded(dial: &Dial, value: f64) -> f64 {
    let is_wheel = matches!(
        dial.sets,
        Control::Speed | Control::UpperWheel | Control::LowerWheel | Control::ThirdWheel
    );
    let first = if is_wheel && dial.least <= 0.0 { dial.notch } else { dial.least };
    let steps = ((value.max(first) - dial.least) / dial.notch).round();
    without_dust((dial.least + steps * dial.notch).clamp(dial.least, dial.most))
}

/// Without the dust of binary fractions: 0.30000000000000004 is entered as 0.3.
pub(crate) fn without_dust(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// The feature's value, notch by notch, whose curve comes nearest.
fn nearest(curve: &Curve, feature: &Feature, dials: &[Dial], wanted: f64) -> f64 {
    let (least, most) = feature.range(dials);
    let notch = feature.notch(dials).max((most - least) / f64::from(MOST_NOTCHES));
    let values = (0..=MOST_NOTCHES).map(|step| least + f64::from(step) * notch);
    let values = values.take_while(|value| *value <= most + 1e-9);
    let off = values.map(|value| ((curve.makes(value) - wanted).abs(), value));
    let nearest = off.min_by(|a, b| a.0.total_cmp(&b.0));
    nearest.map_or(least, |(_, value)| without_dust(value))
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::{At, Calibrated, LauncherKind, Moved};

    fn curve(sets: Quantity, points: &[(f64, f64)]) -> Curve {
        let at = |&(dial, makes): &(f64, f64)| At { dial, makes, give_or_take: 0.1 };
        Curve { sets, points: points.iter().map(at).collect(), moved: Vec::new() }
    }

    pub(crate) fn dial(name: &str, sets: Control) -> Dial {
        Dial { name: name.to_owned(), sets, least: 0.0, most: 10.0, notch: 0.5 }
    }

    pub(crate) fn wanted() -> Settings {
        Settings {
            speed_m_s: 5.3,
            elevation_deg: -15.0,
            azimuth_deg: 0.0,
            top_rev_s: -30.0,
            side_rev_s: 0.0,
            dials: Vec::new(),
            guess: None,
            by_eye: None,
            last: None,
        }
    }

    #[test]
    fn an_inverted_dial_falls_and_a_stepped_one_lands_on_a_step() {
        let falling = curve(Quantity::Elevation, &[(0.0, 10.0), (10.0, -20.0)]);
        assert_eq!(falling.makes(5.0), -5.0);
        let stepped = curve(Quantity::Speed, &[(1.0, 4.0), (2.0, 5.5), (3.0, 9.0)]);
        let mut speed = dial("speed", Control::Speed);
        (speed.least, speed.most, speed.notch) = (1.0, 3.0, 1.0);
        assert_eq!(nearest(&stepped, &Feature(vec![(0, 1.0)]), &[speed], 5.3), 2.0);
        assert!(!stepped.covers(4.0));
    }

    #[test]
    fn wheels_share_speed_by_their_mean_and_spin_by_their_difference_in_entry_order() {
        let mut two = launcher(LauncherKind::Fixed);
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
        assert_eq!(entered.beyond, []);
    }

    #[test]
    fn a_dial_that_moves_another_is_allowed_for() {
        let mut one = launcher(LauncherKind::Fixed);
        one.dials = vec![dial("speed", Control::Speed), dial("height", Control::Elevation)];
        let mut height = curve(Quantity::Elevation, &[(0.0, -30.0), (10.0, 30.0)]);
        height.moved = vec![Moved { by: Quantity::Speed, from: 2.0, each: -3.0 }];
        let speed = curve(Quantity::Speed, &[(0.0, 0.3), (10.0, 10.3)]);
        one.calibrated =
            Some(Calibrated { balls: 9, landing_off_m: 0.05, curves: vec![speed, height] });
        let entered = enter(&one, &wanted()).unwrap();
        // 5.3 m/s is 5, which takes 9 degrees off: -6 of its own, so 4.
        assert_eq!(entered.dials.iter().map(|set| set.value).collect::<Vec<_>>(), [5.0, 4.0]);
        assert!((entered.makes.elevation_deg + 15.0).abs() < 1e-9, "{entered:?}");
    }

    #[test]
    fn a_value_beyond_the_thrown_balls_is_said() {
        let mut one = launcher(LauncherKind::Fixed);
        one.dials = vec![dial("speed", Control::Speed)];
        one.calibrated = Some(Calibrated {
            balls: 5,
            landing_off_m: 0.1,
            curves: vec![curve(Quantity::Speed, &[(5.0, 8.0), (8.0, 12.0)])],
        });
        let entered = enter(&one, &wanted()).unwrap();
        let beyond = &entered.beyond[0];
        assert_eq!((beyond.first, beyond.last), (5.0, 8.0), "{beyond:?}");
    }
}
