//! Laws the model has to obey whatever its constants are.

use proptest::prelude::*;
use secondball::flight::bounce::bounced;
use secondball::flight::constants::Constants;
use secondball::flight::path::{STEP_S, follow, follow_sampled};
use secondball::flight::{BallMotion, Launch, SpinRate, Until, fly};

use super::{ball, reference};

fn launches() -> impl Strategy<Value = Launch> {
    (
        (-1.5..0.6, -0.7..0.7, 0.05..0.6),
        (1.5..14.0, -40.0..60.0, -35.0..35.0),
        (-70.0..70.0, -60.0..60.0, -40.0..40.0),
    )
        .prop_map(|((x, y, z), (speed_m_s, elevation_deg, azimuth_deg), (top, side, gyro))| {
            Launch {
                outlet_m: [x, y, z],
                speed_m_s,
                elevation_deg,
                azimuth_deg,
                spin: SpinRate { top_rev_s: top, side_rev_s: side, gyro_rev_s: gyro },
            }
        })
}

/// Kinetic, spin and height energy per mass of ball, J/kg; thin shell, I = 2/3 m R^2.
fn energy(constants: &Constants, motion: &BallMotion) -> f64 {
    let square = |v: [f64; 3]| v.iter().map(|c| c * c).sum::<f64>();
    let radius = constants.ball.radius_m;
    0.5 * square(motion.velocity_m_s)
        + radius * radius / 3.0 * square(motion.spin_rad_s)
        + constants.air.gravity_m_s2 * motion.position_m[2]
}

/// The same ball seen in a mirror along the table's length.
fn mirrored(launch: Launch) -> Launch {
    let [x, y, z] = launch.outlet_m;
    let SpinRate { top_rev_s, side_rev_s, gyro_rev_s } = launch.spin;
    Launch {
        outlet_m: [x, -y, z],
        azimuth_deg: -launch.azimuth_deg,
        spin: SpinRate { top_rev_s, side_rev_s: -side_rev_s, gyro_rev_s: -gyro_rev_s },
        ..launch
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_mirrored_launch_flies_the_mirrored_path(launch in launches()) {
        let constants = reference();
        let here = fly(&launch, &constants, Until::default()).unwrap();
        let there = fly(&mirrored(launch), &constants, Until::default()).unwrap();
        prop_assert_eq!(here.bounces.len(), there.bounces.len());
        for (a, b) in here.bounces.iter().zip(&there.bounces) {
            prop_assert!((a.time_s - b.time_s).abs() < 1e-12);
            prop_assert!((a.x_m() - b.x_m()).abs() < 1e-10);
            prop_assert!((a.y_m() + b.y_m()).abs() < 1e-10);
            prop_assert!((a.after.spin_rad_s[1] - b.after.spin_rad_s[1]).abs() < 1e-8);
            prop_assert!((a.after.spin_rad_s[2] + b.after.spin_rad_s[2]).abs() < 1e-8);
        }
    }

    #[test]
    fn energy_never_rises(launch in launches()) {
        let constants = reference();
        let path = fly(&launch, &constants, Until::default()).unwrap();
        let mut before = energy(&constants, &launch.motion());
        for bounce in &path.bounces {
            for motion in [&bounce.before, &bounce.after] {
                let now = energy(&constants, motion);
                prop_assert!(now <= before + 1e-8, "{} after {}", now, before);
                before = now;
            }
        }
    }

    #[test]
    fn what_a_bounce_cannot_change_stays(
        v in (-12.0..12.0, -6.0..6.0, -8.0..-0.1),
        w in (-400.0..400.0, -400.0..400.0, -400.0..400.0),
        friction in 0.0..1.0,
        restitution in 0.3..1.0,
    ) {
        let mut constants = reference();
        constants.surface.friction = friction;
        constants.surface.restitution = restitution;
        let before = ball([1.0, 0.0, 0.02], v.into(), w.into());
        let (after, _) = bounced(&constants, &before);
        let kept = |m: &BallMotion| {
            let ([v_x, v_y, _], [w_x, w_y, w_z]) = (m.velocity_m_s, m.spin_rad_s);
            let share = 2.0 / 3.0 * constants.ball.radius_m;
            [v_x + share * w_y, v_y - share * w_x, w_z]
        };
        for (a, b) in kept(&before).iter().zip(kept(&after)) {
            prop_assert!((a - b).abs() < 1e-9, "{} {}", a, b);
        }
        prop_assert!((after.velocity_m_s[2] + restitution * before.velocity_m_s[2]).abs() < 1e-12);
        prop_assert!(energy(&constants, &after) <= energy(&constants, &before) + 1e-9);
    }

    #[test]
    fn without_air_the_path_is_a_parabola(launch in launches()) {
        let mut constants = reference();
        constants.air.density_kg_m3 = 0.0;
        let start = launch.motion();
        let path = fly(&launch, &constants, Until { bounces: 1, time_s: 5.0 }).unwrap();
        let ([x, y, z], [v_x, v_y, v_z]) = (start.position_m, start.velocity_m_s);
        let g = constants.air.gravity_m_s2;
        let t = (v_z + (v_z * v_z + 2.0 * g * (z - 0.02)).sqrt()) / g;
        let bounce = &path.bounces[0];
        prop_assert!((bounce.time_s - t).abs() < 1e-10);
        prop_assert!((bounce.x_m() - x - v_x * t).abs() < 1e-9);
        prop_assert!((bounce.y_m() - y - v_y * t).abs() < 1e-9);
        if v_z > 0.0 {
            let apex = bounce.apex.unwrap();
            prop_assert!((apex.time_s - v_z / g).abs() < 1e-10);
            prop_assert!((apex.height_m - z - v_z * v_z / (2.0 * g)).abs() < 1e-10);
        }
    }
}

/// Where a spinning service bounces the third time, for one length of the step.
fn third_bounce_x_m(step_s: f64) -> f64 {
    let launch = Launch {
        outlet_m: [-0.1, 0.6, 0.2],
        speed_m_s: 6.732,
        elevation_deg: -13.228,
        azimuth_deg: -29.89,
        spin: SpinRate { top_rev_s: -20.0, side_rev_s: 30.0, gyro_rev_s: 5.0 },
    };
    let path = follow(&launch.motion(), &reference(), Until::default(), step_s);
    path.bounces[2].x_m()
}

#[test]
fn halving_the_step_divides_the_error_by_about_sixteen() {
    let exact = third_bounce_x_m(2e-4);
    let error = |step_s| (third_bounce_x_m(step_s) - exact).abs();
    let (coarse, middle, fine) = (error(0.04), error(0.02), error(0.01));
    for ratio in [coarse / middle, middle / fine] {
        assert!((10.0..26.0).contains(&ratio), "{coarse:e} {middle:e} {fine:e}");
    }
}

#[test]
fn five_milliseconds_are_good_to_two_nanometres() {
    let apart = (third_bounce_x_m(STEP_S) - third_bounce_x_m(2e-4)).abs();
    assert!(apart < 2e-9, "{apart:e}");
}

#[test]
fn keeping_the_points_in_between_changes_nothing() {
    let start = ball([-0.1, 0.0, 0.2], [5.0, 0.3, -1.4], [10.0, -200.0, 30.0]);
    let constants = reference();
    let bare = follow(&start, &constants, Until::default(), STEP_S);
    let full = follow_sampled(&start, &constants, Until::default(), STEP_S);
    assert_eq!(bare.bounces, full.bounces);
    assert!(bare.samples.is_empty() && full.samples.len() > 100);
}

#[test]
fn lift_saturates_where_the_linear_law_would_go_on() {
    let mut linear = reference();
    linear.air.lift_b = 0.0;
    let lift = |constants: &Constants, rev_s: f64| {
        let motion = ball([0.0; 3], [7.0, 0.0, 0.0], [0.0, -std::f64::consts::TAU * rev_s, 0.0]);
        secondball::flight::motion::acceleration_m_s2(constants, &motion)[2] + 9.81
    };
    let growth = |constants: &Constants| lift(constants, 70.0) / lift(constants, 35.0);
    assert!((growth(&linear) - 2.0).abs() < 1e-12);
    assert!(growth(&reference()) < 1.25);
}
