//! Calibration against launchers whose constants and dials are known, because they are made up here.
//!
//! A ball is thrown with the true constants and dials, the scatter of a good launcher and marks read to a
//! centimetre; the calibration sees the marks only.

#![expect(clippy::unwrap_used, reason = "a broken fixture ends the test")]

use std::fmt::Write as _;

use secondball::base::Dice;
use secondball::flight::aim::Scatter;
use secondball::flight::aim::scatter::scattered;
use secondball::flight::constants::Surface;
use secondball::flight::{Constants, Launch, Path, SpinRate, Throw, Until, fly};
use secondball::launcher::{
    CalibrationError, Control, Curve, Dial, Launcher, Learned, Quantity, SeenBall, Tied, Wheels,
    calibrate,
};
use secondball::store::judge_launcher;

const OUTLET_M: [f64; 3] = [-0.2, 0.0, 0.25];

/// Where on the dials of the shipped launcher somebody looks for balls: speed, spin, side, height, direction.
const REACH: [(f64, f64); 5] = [(2.0, 11.0), (-10.0, 10.0), (-6.0, 6.0), (5.0, 36.0), (-9.0, 9.0)];

/// What a made-up dial makes.
type Makes = fn(f64) -> f64;

/// A made-up launcher.
struct Truth {
    launcher: Launcher,
    constants: Constants,
    /// One for each of speed, topspin, side spin, elevation, azimuth; read at the dial of that place.
    makes: [Makes; 5],
    /// The dial each is read at.
    dial_of: [usize; 5],
}

fn truth() -> Truth {
    let text = include_str!("../demo/launchers/per-ball.ron");
    let mut constants = Constants {
        surface: Surface { restitution: 0.915, friction: 0.22 },
        ..Constants::default()
    };
    constants.air.drag = 0.51;
    Truth {
        launcher: judge_launcher("per-ball.ron", text).unwrap().value,
        constants,
        makes: [
            |dial| 2.5 + 0.75 * dial,
            |dial| 1.0 + 4.2 * dial,
            |dial| 3.5 * dial,
            |dial| -24.0 + 1.1 * dial,
            |dial| 0.5 + 1.8 * dial,
        ],
        dial_of: [0, 1, 2, 3, 4],
    }
}

impl Truth {
    fn launch(&self, dials: &[f64]) -> Launch {
        let [speed, top, side, elevation, azimuth]: [f64; 5] =
            std::array::from_fn(|at| (self.makes[at])(dials[self.dial_of[at]]));
        Launch {
            outlet_m: OUTLET_M,
            speed_m_s: speed,
            elevation_deg: elevation,
            azimuth_deg: azimuth,
            spin: SpinRate { top_rev_s: top, side_rev_s: side, gyro_rev_s: 0.0 },
        }
    }

    /// Bounces of a launch and how it was thrown, when it is legal.
    fn thrown(&self, launch: &Launch) -> Option<(Path, Throw)> {
        let path = fly(launch, &self.constants, Until::default()).ok()?;
        let is_service = path.bounces.first()?.x_m() < 1.37;
        let throw = if is_service { Throw::Serve } else { Throw::Feed };
        path.fault(throw).is_none().then_some((path, throw))
    }

    /// So many legal balls at random dial values, every second one like a serve.
    fn balls(&self, count: usize, seed: u64) -> Vec<SeenBall> {
        let mut dice = Dice::for_part(seed, "balls");
        let scatter = Scatter::default();
        let mut balls: Vec<SeenBall> = Vec::new();
        while balls.len() < count {
            let dials: Vec<f64> = self
                .launcher
                .dials
                .iter()
                .map(|dial| {
                    let which = [
                        Control::Speed,
                        Control::Spin,
                        Control::SideSpin,
                        Control::Elevation,
                        Control::Azimuth,
                    ];
                    let which = which.iter().position(|control| *control == dial.sets).unwrap();
                    let (least, most) = REACH[which];
                    let (least, most) =
                        if dial.most <= 3.0 { (dial.least, dial.most) } else { (least, most) };
                    let steps = ((most - least) / dial.notch * dice.unit()).round();
                    least + steps * dial.notch
                })
                .collect();
            let wanted = if balls.len().is_multiple_of(2) { Throw::Serve } else { Throw::Feed };
            let even = self.thrown(&self.launch(&dials));
            if !even.is_some_and(|(path, throw)| throw == wanted && is_safe(&path, throw)) {
                continue;
            }
            let Some((path, throw)) =
                self.thrown(&scattered(&self.launch(&dials), &scatter, &mut dice))
            else {
                continue;
            };
            if throw != wanted {
                continue;
            }
            let mut mark = |metres: f64| metres + 0.01 * dice.normal();
            let lands = path.receiver_bounce(throw).unwrap();
            balls.push(SeenBall {
                line: balls.len() + 2,
                dials,
                first_x_m: path.own_bounce(throw).map(|own| mark(own.x_m())),
                land_m: [mark(lands.x_m()), mark(lands.y_m())],
                next_x_m: path.next_bounce(throw).map(|next| mark(next.x_m())),
            });
        }
        balls
    }

    /// Everything the calibration says that is not so.
    fn wrong(&self, learned: &Learned) -> Vec<String> {
        let mut wrong = Vec::new();
        let mut hold = |what: String, said: f64, give_or_take: f64, is: f64| {
            if (said - is).abs() > give_or_take {
                wrong.push(format!("{what}: {said:.3} +- {give_or_take:.3}, is {is:.3}"));
            }
        };
        let Constants { surface, air, .. } = self.constants;
        for (what, sure, is) in [
            ("friction", learned.friction, surface.friction),
            ("restitution", learned.restitution, surface.restitution),
            ("drag", learned.drag, air.drag),
        ] {
            hold(what.to_owned(), sure.value, sure.give_or_take, is);
        }
        for (&quantity, makes) in Quantity::ALL.iter().zip(self.makes) {
            let Some(curve) = learned.calibrated.curve(quantity) else { continue };
            for point in &curve.points {
                let what = format!("{quantity} at {}", point.dial);
                hold(what, point.makes, point.give_or_take, makes(point.dial));
            }
        }
        wrong
    }
}

/// Whether somebody would throw such a ball to learn from: not one that clips the net or an edge now and then.
fn is_safe(path: &Path, throw: Throw) -> bool {
    let lands = path.receiver_bounce(throw).unwrap();
    path.net_clearance_m().is_some_and(|air| air > 0.03)
        && (1.5..2.6).contains(&lands.x_m())
        && lands.y_m().abs() < 0.65
        && path.own_bounce(throw).is_none_or(|own| (0.1..1.25).contains(&own.x_m()))
}

fn curve(learned: &Learned, of: Quantity) -> &Curve {
    learned.calibrated.curve(of).unwrap()
}

#[test]
fn twelve_balls_find_a_made_up_launcher_within_the_stated_error_in_ninety_of_a_hundred() {
    let wrong = |seeds: std::ops::Range<u64>| -> Vec<String> {
        let truth = truth();
        seeds
            .filter_map(|seed| {
                let balls = truth.balls(12, seed);
                match calibrate(&truth.launcher, OUTLET_M, &[], &balls) {
                    Ok(learned) => {
                        let wrong = truth.wrong(&learned);
                        (!wrong.is_empty()).then(|| format!("seed {seed}: {}", wrong.join("; ")))
                    }
                    Err(error) => Some(format!("seed {seed}: {error}")),
                }
            })
            .collect()
    };
    let all: Vec<String> = std::thread::scope(|scope| {
        let halves = [0..50, 50..100].map(|seeds| scope.spawn(|| wrong(seeds)));
        halves.into_iter().flat_map(|half| half.join().unwrap()).collect()
    });
    assert!(all.len() <= 10, "{} of 100 wrong:\n{}", all.len(), all.join("\n"));
}

#[test]
fn the_stated_error_is_worth_having() {
    let truth = truth();
    let learned = calibrate(&truth.launcher, OUTLET_M, &[], &truth.balls(12, 3)).unwrap();
    // Narrower than what was known before, and good for a landing within a hand's width and a half.
    assert!(learned.friction.give_or_take < 2.8 * 0.05, "{:?}", learned.friction);
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
    let mut truth = truth();
    truth.makes[3] = |dial| 26.0 - 1.0 * dial;
    let learned = calibrate(&truth.launcher, OUTLET_M, &[], &truth.balls(14, 5)).unwrap();
    let points = &curve(&learned, Quantity::Elevation).points;
    assert!(points[0].makes > points[1].makes + 20.0, "{points:?}");
    assert_eq!(truth.wrong(&learned), Vec::<String>::new());
}

#[test]
fn a_stepped_dial_gets_a_value_for_each_step() {
    let mut truth = truth();
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
    assert_eq!(truth.wrong(&learned), Vec::<String>::new());
}

#[test]
fn one_wheel_learns_how_its_spin_follows_its_speed() {
    let mut truth = truth();
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
    assert_eq!(truth.wrong(&learned), Vec::<String>::new());
    let applied = learned.applied(&truth.launcher);
    let machine = applied.machine.unwrap();
    // At 10 m/s the dial stands at 10, which makes 23 rev/s.
    let spin = machine.tied_spin(10.0).unwrap();
    assert!((spin - 23.0).abs() < 8.0, "{spin}");
}

#[test]
fn too_few_and_contradictory_balls_are_told_apart() {
    let truth = truth();
    let balls = truth.balls(12, 1);
    let few = calibrate(&truth.launcher, OUTLET_M, &[], &balls[..4]).unwrap_err();
    assert!(few.to_string().starts_with("4 balls cannot teach"), "{few}");
    let mut wrong = balls;
    // The same dials as the ball before, half a table away.
    wrong[5] = SeenBall { line: 7, land_m: [1.5, 0.6], next_x_m: Some(3.6), ..wrong[4].clone() };
    wrong[5].first_x_m = Some(1.2);
    let said = calibrate(&truth.launcher, OUTLET_M, &[], &wrong).unwrap_err();
    assert!(matches!(said, CalibrationError::Contradiction { worst: 6 | 7, .. }), "{said}");
}

/// A list of balls of the made-up launcher, as a player would write it down.
pub fn list_of_balls() -> String {
    let mut list =
        "speed,spin,side,height,direction,first_cm,land_cm,across_cm,next_cm\n".to_owned();
    for ball in truth().balls(14, 4) {
        let cm =
            |metres: Option<f64>| metres.map_or(String::new(), |m| format!("{:.0}", m * 100.0));
        let dials: Vec<String> = ball.dials.iter().map(ToString::to_string).collect();
        let [land, across] = ball.land_m.map(|metres| cm(Some(metres)));
        let (first, next) = (cm(ball.first_x_m), cm(ball.next_x_m));
        writeln!(list, "{},{first},{land},{across},{next}", dials.join(",")).unwrap();
    }
    list
}
