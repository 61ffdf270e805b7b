//! Where to start on dials that nobody has calibrated.

use crate::launcher::by_eye::{rims_m_s, wheel_spin};
use crate::launcher::dials::rounded;
use crate::launcher::settings::{DialSetting, Guess, Settings};
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
    let share = |span: Span, value: f64| (value - span.least) / (span.most - span.least).max(1e-9);
    let [upper_m_s, lower_m_s] = rims_m_s(settings.speed_m_s, spin_rev_s);
    let strongest = machine.strongest_rev_s();
    let of_range = match dial.sets {
        Control::Speed => share(machine.speed_m_s, settings.speed_m_s),
        Control::Spin => share(machine.spin_rev_s, spin_rev_s),
        Control::SideSpin => share(Span::new(-strongest, strongest), settings.side_rev_s),
        Control::Elevation => share(machine.elevation_deg, settings.elevation_deg),
        Control::Azimuth => share(machine.azimuth_deg, settings.azimuth_deg),
        Control::UpperWheel => upper_m_s / machine.speed_m_s.most,
        Control::LowerWheel => lower_m_s / machine.speed_m_s.most,
        Control::Height | Control::Rate | Control::ThirdWheel | Control::Head => return None,
    };
    Some(dial.least + of_range.clamp(0.0, 1.0) * (dial.most - dial.least))
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
    fn a_launcher_without_dials_on_file_has_no_guess() {
        assert_eq!(guess(&launcher(LauncherKind::Fixed), 0.0, 0.0), None);
    }
}
