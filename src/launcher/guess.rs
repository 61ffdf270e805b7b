//! Where to start on dials that nobody has calibrated.

use crate::game::BALL_RADIUS_M;
use crate::launcher::by_eye::{rims_m_s, wheel_spin};
use crate::launcher::dials::rounded;
use crate::launcher::settings::{DialSetting, Guess, Quantity, Settings};
use crate::launcher::{Control, Dial, Launcher, Span, ThrowingMachine};

/// Where to start on dials that nobody has calibrated; none when they are calibrated or not on
/// file.
///
/// Each dial's range is shared out over what it does. Real panels are seldom so even; the guess
/// saves the first search, and trimming does the rest. The top speed of a wheel is taken for the
/// end of its dial.
pub fn guess_dials(launcher: &Launcher, settings: &Settings) -> Option<Guess> {
    let machine = launcher.machine.as_ref().filter(|_| launcher.calibrated.is_none())?;
    let spin_rev_s = wheel_spin(launcher, settings);
    let dials = launcher.dials.iter().filter_map(|dial| {
        let value = rounded(dial, start(dial, machine, settings, spin_rev_s)?);
        Some(DialSetting { name: dial.name.clone(), value })
    });
    let dials: Vec<DialSetting> = dials.collect();
    (!dials.is_empty()).then_some(Guess(dials))
}

/// The value of one dial before it is rounded to a notch; none for a dial that does not shape the
/// ball.
fn start(
    dial: &Dial,
    machine: &ThrowingMachine,
    settings: &Settings,
    spin_rev_s: f64,
) -> Option<f64> {
    let [upper_m_s, lower_m_s] = rims_m_s(settings.speed_m_s, spin_rev_s);
    let strongest = machine.strongest_rev_s();
    let rim = Span::new(0.0, machine.speed_m_s.most);
    let (span, value) = match dial.sets {
        Control::Speed => (machine.speed_m_s, settings.speed_m_s),
        Control::Spin => (machine.spin_rev_s, spin_rev_s),
        Control::SideSpin => (Span::new(-strongest, strongest), settings.side_rev_s),
        Control::Elevation => (machine.elevation_deg, settings.elevation_deg),
        Control::Azimuth => (machine.azimuth_deg, settings.azimuth_deg),
        Control::UpperWheel => (rim, upper_m_s),
        Control::LowerWheel => (rim, lower_m_s),
        Control::Height | Control::Rate | Control::ThirdWheel | Control::Head => return None,
    };
    Some(shared_out(dial, span, value))
}

/// A dial's value for a part of what it does: zero is zero on a dial with both signs, else least is
/// least and most is most.
fn shared_out(dial: &Dial, span: Span, value: f64) -> f64 {
    if dial.least < 0.0 && dial.most > 0.0 {
        let (end, of) =
            if value < 0.0 { (-dial.least, -span.least) } else { (dial.most, span.most) };
        return (value / of.max(1e-9)).clamp(-1.0, 1.0) * end;
    }
    let share = (value - span.least) / (span.most - span.least).max(1e-9);
    dial.least + share.clamp(0.0, 1.0) * (dial.most - dial.least)
}

/// What a dial, or wheels together, are supposed to make at a value nobody calibrated.
pub(super) fn supposed(
    launcher: &Launcher,
    machine: &ThrowingMachine,
    quantity: Quantity,
    value: f64,
) -> Option<f64> {
    let dial = |sets| launcher.dials.iter().find(|dial| dial.sets == sets);
    let of = |sets, span: Span| {
        let dial = dial(sets)?;
        let whole = |least: f64, most: f64| (value - least) / (most - least);
        Some(if dial.least < 0.0 && dial.most > 0.0 {
            if value < 0.0 {
                value / dial.least * span.least
            } else {
                value / dial.most * span.most
            }
        } else {
            span.least + whole(dial.least, dial.most) * (span.most - span.least)
        })
    };
    let wheel = dial(Control::UpperWheel).map(|dial| machine.speed_m_s.most / dial.most);
    match quantity {
        Quantity::Speed => of(Control::Speed, machine.speed_m_s).or(wheel.map(|one| one * value)),
        Quantity::TopSpin => of(Control::Spin, machine.spin_rev_s)
            .or(wheel.map(|one| one * value / (2.0 * std::f64::consts::TAU * BALL_RADIUS_M))),
        Quantity::Elevation => of(Control::Elevation, machine.elevation_deg),
        Quantity::Azimuth => of(Control::Azimuth, machine.azimuth_deg),
        Quantity::SideSpin => None,
    }
}

/// What one notch of a dial that nobody calibrated adds where it stands.
pub(super) fn dial_makes(dial: &Dial, machine: &ThrowingMachine, value: f64) -> f64 {
    let rim = Span::new(0.0, machine.speed_m_s.most);
    let span = match dial.sets {
        Control::Elevation => machine.elevation_deg,
        Control::Azimuth => machine.azimuth_deg,
        Control::UpperWheel | Control::LowerWheel => rim,
        _ => machine.speed_m_s,
    };
    let whole = if dial.least < 0.0 && dial.most > 0.0 {
        if value < 0.0 { span.least / dial.least } else { span.most / dial.most }
    } else {
        (span.most - span.least) / (dial.most - dial.least)
    };
    whole * dial.notch
}

/// Where the dial of the rate goes for so many balls a minute; none without one.
pub fn rate_dial(launcher: &Launcher, a_minute: f64) -> Option<DialSetting> {
    let span = launcher.machine.as_ref()?.rate_a_minute;
    let dial = launcher.dials.iter().find(|dial| dial.sets == Control::Rate)?;
    let value = rounded(dial, shared_out(dial, span, a_minute));
    Some(DialSetting { name: dial.name.clone(), value })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::launcher::LauncherKind;
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::dials::tests::{dial, wanted};

    fn two_wheels() -> Launcher {
        let mut launcher = launcher(LauncherKind::Fixed);
        launcher.dials = vec![
            dial("upper", Control::UpperWheel),
            dial("lower", Control::LowerWheel),
            dial("balls", Control::Rate),
        ];
        launcher.machine.as_mut().unwrap().speed_m_s = Span::new(2.0, 10.0);
        launcher
    }

    fn guess(launcher: &Launcher, top_rev_s: f64, side_rev_s: f64) -> Option<Guess> {
        let ball = Settings { speed_m_s: 5.0, top_rev_s, side_rev_s, ..wanted() };
        guess_dials(launcher, &ball)
    }

    #[test]
    fn backspin_starts_with_the_lower_wheel_faster_and_a_dead_ball_with_both_alike() {
        let values = |top_rev_s| -> Vec<f64> {
            let guess = guess(&two_wheels(), top_rev_s, 0.0).unwrap();
            guess.0.iter().map(|dial| dial.value).collect()
        };
        // Rims of 5 -+ 2 pi 0.02 20 = 2.49 and 7.51 m/s, of 10 at the end of the dial.
        assert_eq!(values(-20.0), [2.5, 7.5]);
        assert_eq!(values(0.0), [5.0, 5.0]);
    }

    #[test]
    fn no_spin_is_zero_on_a_dial_with_both_signs_and_each_end_is_the_most_of_its_kind() {
        let spin = Dial { least: -10.0, ..dial("spin", Control::Spin) };
        let of = Span::new(-60.0, 90.0);
        for (rev_s, value) in [(0.0, 0.0), (90.0, 10.0), (-60.0, -10.0), (45.0, 5.0), (-30.0, -5.0)]
        {
            assert_eq!(shared_out(&spin, of, rev_s), value);
        }
    }

    #[test]
    fn a_wheel_always_turns_and_the_rate_has_its_value() {
        // 45 rev/s at 5 m/s would stop the upper rim: 5 - 2 pi 0.02 45 is below nothing.
        let wheels = guess(&two_wheels(), -45.0, 0.0).unwrap();
        assert_eq!(wheels.0[0].value, 0.5);
        // 10 to 80 a minute: 45 is the middle of a dial from 0 to 10.
        assert_eq!(rate_dial(&two_wheels(), 45.0).unwrap().value, 5.0);
    }

    #[test]
    fn a_launcher_without_dials_on_file_has_no_guess() {
        assert_eq!(guess(&launcher(LauncherKind::Fixed), 0.0, 0.0), None);
    }
}
