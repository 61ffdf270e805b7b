//! Where to start on dials that nobody has calibrated: a guess, each dial's range shared out over what it
//! does.
//!
//! Real panels are seldom so even; the guess saves the first search, and trimming does the rest. Wheels carry
//! the ball between them, so their rims run as fast as the ball's own two sides:
//!
//! rim = v +- 2 pi r n
//!
//! with the ball's speed v, its radius r and its spin n, topspin on the upper wheel; a head that is turned
//! shares the same spin between top and side. The top speed of a wheel is taken for the end of its dial.

use crate::base::text;
use crate::game::BALL_RADIUS_M;
use crate::launcher::dials::rounded;
use crate::launcher::{Control, Dial, Launcher, Machine, Settings, Span};

/// The dials to start from, in entry order and in words; none when they are calibrated or not on file.
pub fn starting_dials(launcher: &Launcher, settings: &Settings) -> Option<String> {
    let machine = launcher.machine.as_ref()?;
    if launcher.calibrated.is_some() {
        return None;
    }
    let has = |control| launcher.dials.iter().any(|dial| dial.sets == control);
    // Without a dial of its own side spin is made by turning the head, out of the same spin.
    let is_turned = settings.side_rev_s.abs() >= 0.5 && !has(Control::SideSpin);
    let spin_rev_s = if is_turned {
        settings.top_rev_s.hypot(settings.side_rev_s).copysign(settings.top_rev_s)
    } else {
        settings.top_rev_s
    };
    let mut parts: Vec<String> = launcher
        .dials
        .iter()
        .filter_map(|dial| {
            let value = rounded(dial, start(dial, machine, settings, spin_rev_s)?);
            Some(format!("{} {value}", text::one_line(&dial.name)))
        })
        .collect();
    if parts.is_empty() {
        return None;
    }
    if is_turned {
        let turn_deg = settings.side_rev_s.abs().atan2(settings.top_rev_s.abs()).to_degrees();
        let side = if settings.side_rev_s > 0.0 { "left" } else { "right" };
        parts.push(format!("the head turned {turn_deg:.0} degrees, until the ball bends {side}"));
    }
    Some(parts.join(", "))
}

/// The value of one dial before it is rounded to a notch; none for a dial that does not shape the ball.
fn start(dial: &Dial, machine: &Machine, settings: &Settings, spin_rev_s: f64) -> Option<f64> {
    let share = |span: Span, value: f64| (value - span.least) / (span.most - span.least).max(1e-9);
    let rim_m_s = std::f64::consts::TAU * BALL_RADIUS_M * spin_rev_s;
    let strongest = machine.spin_rev_s.most.max(-machine.spin_rev_s.least);
    let of_range = match dial.sets {
        Control::Speed => share(machine.speed_m_s, settings.speed_m_s),
        Control::Spin => share(machine.spin_rev_s, spin_rev_s),
        Control::SideSpin => share(Span::new(-strongest, strongest), settings.side_rev_s),
        Control::Elevation => share(machine.elevation_deg, settings.elevation_deg),
        Control::Azimuth => share(machine.azimuth_deg, settings.azimuth_deg),
        Control::UpperWheel => (settings.speed_m_s + rim_m_s) / machine.speed_m_s.most,
        Control::LowerWheel => (settings.speed_m_s - rim_m_s) / machine.speed_m_s.most,
        Control::Height | Control::Rate | Control::ThirdWheel | Control::Head => return None,
    };
    Some(dial.least + of_range.clamp(0.0, 1.0) * (dial.most - dial.least))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::launcher::Kind;
    use crate::launcher::capability::tests::launcher;

    fn two_wheels() -> Launcher {
        let mut launcher = launcher(Kind::Fixed);
        let dial = |name: &str, sets| Dial {
            name: name.to_owned(),
            sets,
            least: 0.0,
            most: 10.0,
            notch: 0.5,
        };
        launcher.dials = vec![
            dial("upper", Control::UpperWheel),
            dial("lower", Control::LowerWheel),
            dial("balls", Control::Rate),
        ];
        launcher
    }

    fn ball(top_rev_s: f64, side_rev_s: f64) -> Settings {
        Settings {
            speed_m_s: 5.0,
            elevation_deg: -15.0,
            azimuth_deg: 0.0,
            top_rev_s,
            side_rev_s,
            dials: Vec::new(),
            guess: None,
        }
    }

    #[test]
    fn backspin_starts_with_the_lower_wheel_faster_and_a_dead_ball_with_both_alike() {
        let mut launcher = two_wheels();
        launcher.machine.as_mut().unwrap().speed_m_s = Span::new(2.0, 10.0);
        // Rims of 5 -+ 2 pi 0.02 20 = 2.49 and 7.51 m/s, of 10 at the end of the dial.
        assert_eq!(starting_dials(&launcher, &ball(-20.0, 0.0)).unwrap(), "upper 2.5, lower 7.5");
        assert_eq!(starting_dials(&launcher, &ball(0.0, 0.0)).unwrap(), "upper 5, lower 5");
    }

    #[test]
    fn side_spin_without_a_dial_turns_the_head_and_shares_the_spin() {
        let said = starting_dials(&two_wheels(), &ball(-20.0, 20.0)).unwrap();
        assert!(said.ends_with("the head turned 45 degrees, until the ball bends left"), "{said}");
    }

    #[test]
    fn a_launcher_without_dials_on_file_has_no_guess() {
        assert_eq!(starting_dials(&launcher(Kind::Fixed), &ball(0.0, 0.0)), None);
    }
}
