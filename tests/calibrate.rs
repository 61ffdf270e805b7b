//! Calibration against launchers whose constants and dials are known, because they are made up.

#![expect(clippy::unwrap_used, reason = "a broken fixture ends the test")]

use std::fmt::Write as _;

use secondball::flight::Constants;
use secondball::launcher::{
    CalibrationError, Control, Curve, Dial, Learned, Quantity, SeenBall, Tied, Warning, Wheels,
    calibrate,
};

#[path = "support/throwers.rs"]
#[allow(dead_code, reason = "a test helper, of which not all is used everywhere")]
mod throwers;
use throwers::{Held, Kept, OUTLET_M, Thrower};

/// Everything the calibration says that is not so, where dials set one thing each.
fn wrong(thrower: &Thrower, learned: &Learned) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut hold = |what: String, said: f64, give_or_take: f64, is: f64| {
        if (said - is).abs() > give_or_take {
            wrong.push(format!("{what}: {said:.3} +- {give_or_take:.3}, is {is:.3}"));
        }
    };
    let Constants { surface, air, .. } = thrower.constants;
    for (what, sure, is) in [
        ("friction", learned.friction, surface.friction),
        ("restitution", learned.restitution, surface.restitution),
        ("drag", learned.drag, air.drag),
    ] {
        hold(what.to_owned(), sure.value, sure.give_or_take, is);
    }
    for (&quantity, makes) in Quantity::ALL.iter().zip(thrower.makes) {
        let Some(curve) = learned.calibrated.curve(quantity) else { continue };
        for point in &curve.points {
            let what = format!("{quantity} at {}", point.dial);
            hold(what, point.makes, point.give_or_take, makes(point.dial));
        }
    }
    wrong
}

fn curve(learned: &Learned, of: Quantity) -> &Curve {
    learned.calibrated.curve(of).unwrap()
}

#[test]
fn ranges_hold_on_dials_that_are_straight_saturate_jump_or_move_one_another() {
    // One calibration a kind; examples/calibrations.rs throws enough to tell the kinds apart.
    let some = ["straight", "speed saturates", "height jumps 3 degrees", "bent and coupled"];
    let kinds: Vec<_> =
        Thrower::kinds().into_iter().filter(|(name, _)| some.contains(name)).collect();
    let kept = |kinds: &[(&str, Thrower)]| -> Vec<Kept> {
        kinds.iter().filter_map(|(_, kind)| Some(Kept::of(kind, 9, 1)?.0)).collect()
    };
    let (one, other) = kinds.split_at(kinds.len() / 2);
    let all: Vec<Kept> = std::thread::scope(|scope| {
        let halves = [one, other].map(|half| scope.spawn(|| kept(half)));
        halves.into_iter().flat_map(|half| half.join().unwrap()).collect()
    });
    assert_eq!(all.len(), kinds.len());
    let sum = |of: &dyn Fn(&Kept) -> Held| all.iter().map(of).fold(Held::default(), Held::with);
    let landings = sum(&|kept| kept.landings).percent();
    assert!(landings > 80.0, "{landings}");
    for (at, quantity) in Quantity::ALL.iter().enumerate() {
        let held = sum(&|kept| kept.numbers[at]).percent();
        assert!(held > 85.0, "{quantity}: {held}");
    }
    // Worth having: a range of half the table would hold as well.
    let widest = all.iter().map(|kept| kept.landing_m).fold(0.0, f64::max);
    assert!(widest < 0.7, "{widest}");
}

#[test]
fn a_dial_that_is_not_straight_and_one_that_moves_another_are_told() {
    let kinds = Thrower::kinds();
    let told = |name: &str, balls: usize| {
        let thrower = &kinds.iter().find(|(kind, _)| *kind == name).unwrap().1;
        let learned =
            calibrate(&thrower.launcher, OUTLET_M, &[], &thrower.balls(balls, 3)).unwrap();
        let odd =
            |warning: &Warning| matches!(warning, Warning::Bent { .. } | Warning::Moves { .. });
        (learned.warnings.iter().copied().filter(odd).collect::<Vec<_>>(), learned)
    };
    assert_eq!(told("straight", 20).0, []);
    let (bent, learned) = told("speed bent", 20);
    assert!(
        matches!(bent[..], [Warning::Bent { quantity: Quantity::Speed, at: [one, two] }, ..]
            if (2.0..=11.0).contains(&one) && one < two && two <= 11.0),
        "{bent:?}"
    );
    assert_eq!(curve(&learned, Quantity::Speed).points.len(), 5);
    let (moves, learned) = told("side moves the direction", 20);
    assert!(
        matches!(
            moves[..],
            [Warning::Moves { dial: Quantity::SideSpin, other: Quantity::Azimuth, .. }, ..]
        ),
        "{moves:?}"
    );
    let moved = curve(&learned, Quantity::Azimuth).moved[0];
    assert!((moved.each - 0.5).abs() < 0.2, "{moved:?}");
}

#[test]
fn the_stated_error_is_worth_having() {
    let truth = Thrower::straight();
    let learned = calibrate(&truth.launcher, OUTLET_M, &[], &truth.balls(12, 3)).unwrap();
    // Narrower than what was known before, and good for a landing within a hand's width and a half.
    assert!(learned.friction.give_or_take < 1.96 * 0.05, "{:?}", learned.friction);
    for point in &curve(&learned, Quantity::Speed).points {
        assert!(point.give_or_take < 2.0, "{point:?}");
    }
    assert!(learned.calibrated.landing_off_m < 0.15, "{}", learned.calibrated.landing_off_m);
    let next = learned.next.unwrap();
    assert_eq!(next.dials.len(), 5);
    assert!(next.narrows_percent > 0.0, "{next:?}");
}

#[test]
fn a_dial_that_runs_the_other_way_is_found() {
    let mut truth = Thrower::straight();
    truth.makes[3] = |dial| 26.0 - 1.0 * dial;
    let learned = calibrate(&truth.launcher, OUTLET_M, &[], &truth.balls(14, 5)).unwrap();
    let points = &curve(&learned, Quantity::Elevation).points;
    assert!(points[0].makes > points[2].makes + 20.0, "{points:?}");
    assert_eq!(wrong(&truth, &learned), Vec::<String>::new());
}

#[test]
fn a_stepped_dial_gets_a_value_for_each_step() {
    let mut truth = Thrower::straight();
    truth.launcher.dials[0] =
        Dial { name: "speed".to_owned(), sets: Control::Speed, least: 1.0, most: 3.0, notch: 1.0 };
    truth.makes[0] = |dial| match dial {
        dial if dial < 1.5 => 5.0,
        dial if dial < 2.5 => 5.8,
        _ => 8.5,
    };
    let balls = truth.balls(16, 8);
    let learned = calibrate(&truth.launcher, OUTLET_M, &[Quantity::Speed], &balls).unwrap();
    assert_eq!(curve(&learned, Quantity::Speed).points.len(), 3);
    assert_eq!(wrong(&truth, &learned), Vec::<String>::new());
}

#[test]
fn one_wheel_learns_how_its_spin_follows_its_speed() {
    let mut truth = Thrower::straight();
    let machine = truth.launcher.machine.as_mut().unwrap();
    machine.wheels = Wheels::One;
    machine.tied =
        vec![Tied { speed_m_s: 3.0, spin_rev_s: 0.0 }, Tied { speed_m_s: 20.0, spin_rev_s: 60.0 }];
    truth
        .launcher
        .dials
        .retain(|dial| matches!(dial.sets, Control::Speed | Control::Elevation | Control::Azimuth));
    truth.makes = [
        |dial| 2.5 + 0.75 * dial,
        |dial| 4.0 + 1.9 * dial,
        |_| 0.0,
        |dial| -24.0 + 1.1 * dial,
        |dial| 0.5 + 1.8 * dial,
    ];
    truth.dial_of = [0, 0, 0, 1, 2];
    let learned = calibrate(&truth.launcher, OUTLET_M, &[], &truth.balls(12, 2)).unwrap();
    // Of some twenty numbers one may be outside.
    assert!(wrong(&truth, &learned).len() <= 1, "{:?}", wrong(&truth, &learned));
    let applied = learned.applied(&truth.launcher);
    let machine = applied.machine.unwrap();
    // At 10 m/s the dial stands at 10, which makes 23 rev/s.
    let spin = machine.tied_spin(10.0).unwrap();
    let sure = curve(&learned, Quantity::TopSpin).points.last().unwrap().give_or_take;
    assert!((spin - 23.0).abs() < sure && sure < 20.0, "{spin} +- {sure}");
}

#[test]
fn too_few_and_contradictory_balls_are_told_apart() {
    let truth = Thrower::straight();
    let balls = truth.balls(12, 1);
    let few = calibrate(&truth.launcher, OUTLET_M, &[], &balls[..4]).unwrap_err();
    assert!(few.to_string().starts_with("4 balls cannot teach"), "{few}");
    let mut odd = balls;
    // The same dials as the ball before, half a table away.
    odd[5] = SeenBall { line: 7, land_m: [1.5, 0.6], next_x_m: Some(3.6), ..odd[4].clone() };
    odd[5].first_x_m = Some(1.2);
    let said = calibrate(&truth.launcher, OUTLET_M, &[], &odd).unwrap_err();
    assert!(matches!(said, CalibrationError::Contradiction { worst: 6 | 7, .. }), "{said}");
}

/// A list of balls of the made-up launcher, as a player would write it down.
pub fn list_of_balls() -> String {
    let mut list =
        "speed,spin,side,height,direction,first_cm,land_cm,across_cm,next_cm\n".to_owned();
    for ball in Thrower::straight().balls(14, 4) {
        let cm =
            |metres: Option<f64>| metres.map_or(String::new(), |m| format!("{:.0}", m * 100.0));
        let dials: Vec<String> = ball.dials.iter().map(ToString::to_string).collect();
        let [land, across] = ball.land_m.map(|metres| cm(Some(metres)));
        let (first, next) = (cm(ball.first_x_m), cm(ball.next_x_m));
        writeln!(list, "{},{first},{land},{across},{next}", dials.join(",")).unwrap();
    }
    list
}
