//! A calibration from settings that were trimmed: each says where its dials stood when the ball
//! bounced where it was aimed, as well as that is seen by eye.

use crate::game::Depth;
use crate::launcher::calibrate::{CalibrationError, Learned, SeenBall, calibrate};
use crate::launcher::dials::Feature;
use crate::launcher::settings::{KeptSetting, Quantity};
use crate::launcher::{Control, Dial, Launcher, Span, Wheels};

/// Kept settings that are enough to begin with.
pub const FEWEST_KEPT: usize = 3;
/// What a hand turns where no dial does.
const BY_HAND: [(Quantity, Control); 2] =
    [(Quantity::Elevation, Control::Elevation), (Quantity::Azimuth, Control::Azimuth)];
/// Room on both sides of what a hand was turned to, degrees.
const ROOM_DEG: f64 = 5.0;
/// Beyond this a landing is known no better than by the guess, metres: a judgement.
pub const TOO_VAGUE_M: f64 = 0.40;

/// The settings that teach: a head turned for sidespin shares it as nobody knows.
pub fn find_teaching(launcher: &Launcher) -> impl Iterator<Item = &KeptSetting> {
    let has_dial = launcher.dials.iter().any(|dial| dial.sets == Control::SideSpin);
    launcher.kept.iter().filter(move |kept| has_dial || !kept.ball.spin.is_sideways())
}

/// Learns from the settings kept of the nozzle with most of them.
///
/// # Errors
/// [`CalibrationError`] when they are too few or contradict each other.
pub fn calibrate_kept(launcher: &Launcher) -> Result<Learned, CalibrationError> {
    let at = |nozzle_m| find_teaching(launcher).filter(move |kept| kept.nozzle_m == nozzle_m);
    let nozzles = find_teaching(launcher).map(|kept| kept.nozzle_m);
    let nozzle_m = nozzles.max_by_key(|&nozzle_m| at(nozzle_m).count()).unwrap_or_default();
    let kept: Vec<&KeptSetting> = at(nozzle_m).collect();
    let wheels = launcher.machine.as_ref().map_or(Wheels::Two, |machine| machine.wheels);
    let is_dial = |quantity| Feature::find(quantity, &launcher.dials, wheels).is_some();
    let mut with_hands = launcher.clone();
    let by_hand = BY_HAND.iter().filter(|(quantity, _)| !is_dial(*quantity));
    for &(quantity, sets) in by_hand.clone() {
        let degrees = || kept.iter().map(|kept| kept.hand_deg(quantity));
        let least = (degrees().fold(0.0, f64::min) - ROOM_DEG).floor();
        let most = (degrees().fold(0.0, f64::max) + ROOM_DEG).ceil();
        let name = quantity.shown().to_owned();
        with_hands.dials.push(Dial { name, sets, least, most, notch: 1.0 });
        if let Some(machine) = &mut with_hands.machine {
            let span = if quantity == Quantity::Azimuth {
                &mut machine.azimuth_deg
            } else {
                &mut machine.elevation_deg
            };
            *span = Span::new(span.least.min(least), span.most.max(most));
        }
    }
    let ball = |(place, kept): (usize, &&KeptSetting)| {
        let value = |dial: &Dial| {
            let set = kept.dials.iter().find(|set| set.name == dial.name);
            set.map_or(0.0, |set| set.value)
        };
        let dials = launcher.dials.iter().map(value);
        let hands = by_hand.clone().map(|(quantity, _)| kept.hand_deg(*quantity));
        SeenBall {
            line: place + 1,
            dials: dials.chain(hands).collect(),
            first_x_m: kept.first_x_m,
            land_m: kept.lands_m,
            // Of a long ball nobody sees the second bounce.
            next_x_m: Some(kept.next_x_m).filter(|_| kept.ball.depth != Depth::Long),
            is_by_eye: true,
        }
    };
    let balls: Vec<SeenBall> = kept.iter().enumerate().map(ball).collect();
    let mut learned = calibrate(&with_hands, nozzle_m, &[], &balls)?;
    // A hand has no scale to keep.
    let curves = &mut learned.calibrated.curves;
    curves.retain(|curve| is_dial(curve.sets));
    for curve in curves {
        curve.moved.retain(|moved| is_dial(moved.by));
    }
    Ok(learned)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Day;
    use crate::flight::Constants;
    use crate::game::{Hand, Lane, Serve, Spin};
    use crate::launcher::by_eye::rims_m_s;
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::dials::tests::dial;
    use crate::launcher::{DialSetting, LauncherKind, Table, aim_deck};

    /// A launcher of two wheels, tilted by hand, on which so many serves were trimmed; a mark of
    /// both wheels really makes so many m/s.
    fn trimmed(count: usize, mark_m_s: f64) -> Launcher {
        let mut own = launcher(LauncherKind::Fixed);
        own.dials = vec![dial("upper", Control::UpperWheel), dial("lower", Control::LowerWheel)];
        let (receiver, server) = (Hand::Right, Hand::Right);
        let table = Table { constants: Constants::default(), receiver, server, seed: 1 };
        let balls = [
            (Depth::Short, Spin::Backspin),
            (Depth::HalfLong, Spin::Dead),
            (Depth::Long, Spin::Topspin),
        ];
        for (depth, spin) in balls.into_iter().take(count) {
            let mut serve = Serve::unknown(spin.word().parse().unwrap());
            (serve.lane, serve.depth, serve.spin) = (Some(Lane::Middle), Some(depth), Some(spin));
            let aim = aim_deck(&own, &[&serve], &table);
            let one = &aim.groups[0].serves[0];
            let (launch, outcome) = (one.ball.launch, &one.ball.outcome);
            let rims = rims_m_s(launch.speed_m_s, launch.spin.top_rev_s);
            let set = |(name, rim): (&str, f64)| {
                let value = (rim / mark_m_s * 2.0).round() / 2.0;
                DialSetting { name: name.to_owned(), value }
            };
            own.keep(KeptSetting {
                deck: "north".to_owned(),
                serve: one.serve.clone(),
                on: "2026-11-24".parse::<Day>().unwrap(),
                ball: one.thrown,
                // From one place, whatever suits each best.
                nozzle_m: [-0.2, 0.6, 0.25],
                on_chair: false,
                dials: ["upper", "lower"].into_iter().zip(rims).map(set).collect(),
                aimed_deg: [launch.elevation_deg, launch.azimuth_deg],
                first_x_m: outcome.first_bounce_m.map(|first| first[0]),
                lands_m: outcome.bounce_m,
                next_x_m: outcome.next_bounce_x_m,
            });
        }
        own
    }

    #[test]
    fn three_kept_settings_teach_the_wheels_and_nothing_of_the_hands() {
        // The guess would be 2.0: 20 m/s at the end of a dial of ten marks.
        for mark_m_s in [1.2, 1.6, 2.4] {
            let own = trimmed(3, mark_m_s);
            let learned = calibrate_kept(&own).unwrap();
            let of = |quantity| learned.calibrated.curve(quantity);
            for point in &of(Quantity::Speed).unwrap().points {
                let is = mark_m_s * point.dial;
                assert!((point.makes - is).abs() < 1.0, "{point:?}, is {is}");
                // Wide after three balls, narrower than the 8.5 m/s either way of its range.
                assert!(point.give_or_take < 8.5, "{point:?}");
            }
            for point in &of(Quantity::TopSpin).unwrap().points {
                // The rims differ by 4 pi r n, r 2 cm.
                let is = mark_m_s * point.dial / (4.0 * std::f64::consts::PI * 0.02);
                assert!((point.makes - is).abs() < point.give_or_take, "{point:?}, is {is}");
            }
            assert_eq!((of(Quantity::Elevation), of(Quantity::Azimuth)), (None, None));
            assert_eq!(learned.applied(&own).kept, own.kept);
        }
    }

    #[test]
    fn two_kept_settings_are_too_few() {
        let few = calibrate_kept(&trimmed(2, 1.2)).unwrap_err();
        assert!(matches!(few, CalibrationError::TooFew { need: 3, .. }), "{few}");
    }
}
