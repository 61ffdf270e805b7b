//! Aiming: what is asked comes true, what cannot be is refused, and both quickly.

use std::fmt::Write as _;

use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use secondball::flight::aim::{
    AimError, Aimed, BallOutcome, Band, Family, Measure, Origin, Request, aim, is_possible,
};
use secondball::flight::{Launch, SpinRate, Throw, Until, fly};
use secondball::game::Depth;
use serde_json::Value;

use super::reference;

const BEHIND_THE_LINE: [f64; 3] = [-0.1, 0.0, 0.2];

fn aimed(request: &Request) -> Aimed {
    aim(request, &reference(), 1).unwrap()
}

/// Services a launcher might be asked for: from anywhere near the end line, flat.
fn services() -> impl Strategy<Value = Launch> {
    (
        (-0.6..0.0, -0.7..0.7, 0.15..0.4),
        (4.0..10.0, -24.0..-4.0, -20.0..20.0),
        (-50.0..45.0, -35.0..35.0),
    )
        .prop_map(|((x, y, z), (speed_m_s, elevation_deg, azimuth_deg), (top, side))| Launch {
            outlet_m: [x, y, z],
            speed_m_s,
            elevation_deg,
            azimuth_deg,
            spin: SpinRate { top_rev_s: top, side_rev_s: side, gyro_rev_s: 0.0 },
        })
}

fn feeds() -> impl Strategy<Value = Launch> {
    (
        (-2.0..0.6, -0.7..0.7, 0.15..0.6),
        (3.5..14.0, -8.0..35.0, -20.0..20.0),
        (-50.0..60.0, -35.0..35.0),
    )
        .prop_map(|((x, y, z), (speed_m_s, elevation_deg, azimuth_deg), (top, side))| Launch {
            outlet_m: [x, y, z],
            speed_m_s,
            elevation_deg,
            azimuth_deg,
            spin: SpinRate { top_rev_s: top, side_rev_s: side, gyro_rev_s: 0.0 },
        })
}

/// Draws launches until `wanted` of them are legal, turns what each does into a request, aims, and
/// counts the requests whose aimed ball lands more than a millimetre away.
fn aim_and_fly(launches: &impl Strategy<Value = Launch>, throw: Throw, wanted: usize) {
    let mut runner = TestRunner::deterministic();
    let constants = reference();
    let mut done = 0;
    let mut misses = String::new();
    while done < wanted {
        let launch = launches.new_tree(&mut runner).unwrap().current();
        let path = fly(&launch, &constants, Until::default()).unwrap();
        if path.fault(throw).is_some() {
            continue;
        }
        let bounce = path.receiver_bounce(throw).unwrap();
        let next = path.next_bounce(throw).unwrap();
        let request = match throw {
            // Depth or landing, and clearance or first bounce, in turn.
            Throw::Serve => {
                let request = Request::service(launch.outlet_m, launch.spin).across(bounce.y_m());
                let request = if done % 2 == 0 {
                    request.wish(Measure::NextBounceX, Band::exactly(next.x_m()))
                } else {
                    request.wish(Measure::BounceX, Band::exactly(bounce.x_m()))
                };
                let first = path.own_bounce(throw).unwrap().x_m();
                let clearance = path.net_clearance_m().unwrap();
                if done % 4 < 2 {
                    request.wish(Measure::NetClearance, Band::exactly(clearance))
                } else {
                    request
                        .wish(Measure::FirstBounceX, Band::exactly(first))
                        .wish(Measure::NetClearance, Band::at_least(0.0))
                }
            }
            Throw::Feed => Request::feed(launch.outlet_m, launch.spin)
                .across(bounce.y_m())
                .wish(Measure::BounceX, Band::exactly(bounce.x_m()))
                .wish(Measure::NextBounceX, Band::exactly(next.x_m()))
                .wish(Measure::NetClearance, Band::at_least(0.0)),
        };
        done += 1;
        let answer = match aim(&request, &constants, 1) {
            Ok(answer) => answer,
            Err(refused) => {
                writeln!(misses, "{done}: {launch:?}\n   {refused}").unwrap();
                continue;
            }
        };
        let flown = fly(&answer.launch, &constants, Until::default()).unwrap();
        let got = |measure| match measure {
            Measure::NextBounceX => flown.next_bounce(throw).unwrap().x_m(),
            Measure::BounceX => flown.receiver_bounce(throw).unwrap().x_m(),
            Measure::BounceY => flown.receiver_bounce(throw).unwrap().y_m(),
            Measure::FirstBounceX => flown.own_bounce(throw).unwrap().x_m(),
            Measure::NetClearance => flown.net_clearance_m().unwrap(),
            other => panic!("{other:?} was not asked for"),
        };
        let asked =
            request.wishes.iter().filter(|w| w.origin == Origin::Asked && w.band.is_exact());
        for wish in asked {
            let apart = got(wish.measure) - wish.band.least;
            if apart.abs() > 1e-3 {
                writeln!(misses, "{done}: {launch:?}\n   {:?} off by {apart}", wish.measure)
                    .unwrap();
            }
        }
    }
    assert!(misses.is_empty(), "of {wanted}:\n{misses}");
}

#[test]
fn two_hundred_services_land_within_a_millimetre_of_what_was_asked() {
    aim_and_fly(&services(), Throw::Serve, 200);
}

#[test]
fn a_hundred_feeds_land_within_a_millimetre_of_what_was_asked() {
    aim_and_fly(&feeds(), Throw::Feed, 100);
}

/// Rows where the grid finds nothing like a serve and the solver does: slivers between two of its
/// points (0.05 m/s by 0.5 degrees), of which about every second uneven throw keeps its depth.
/// Outlet height, top spin, depth.
const BETWEEN_GRID_POINTS: [(f64, f64, Depth); 2] =
    [(0.15, 0.0, Depth::Short), (0.15, 40.0, Depth::HalfLong)];

/// 330 rows of an independent grid search (vectorised RK4, cross-checked with DOP853): which
/// serves can be thrown from where, legally, and so that they look like a real serve.
#[test]
fn what_can_be_thrown_from_where_agrees_with_the_grid() {
    let published: Value =
        serde_json::from_str(include_str!("../published/flight_feasibility.json")).unwrap();
    let constants = reference();
    let rows = published["rows"].as_array().unwrap();
    assert_eq!(rows.len(), 330);
    let mut differ = String::new();
    let mut between = 0;
    for row in rows {
        let n = |i: usize| row[i].as_f64().unwrap();
        let spin = SpinRate { top_rev_s: n(4), side_rev_s: n(5), gyro_rev_s: 0.0 };
        let outlet = [n(0), n(1), n(2)];
        let depth: Depth = row[7].as_str().unwrap().parse().unwrap();
        let kind = row[6].as_str().unwrap();
        let request = if kind == "service" {
            Request::service(outlet, spin)
        } else {
            Request::feed(outlet, spin)
        }
        .across(n(3))
        .depth(depth);
        let legal = is_possible(&request, &constants).unwrap();
        let request = request.like_a_serve();
        let realistic = is_possible(&request, &constants).unwrap();
        let published = (row[8].as_bool().unwrap(), row[9].as_bool().unwrap());
        if kind == "service"
            && n(5) == 0.0
            && BETWEEN_GRID_POINTS.contains(&(n(2), n(4), depth))
            && (legal, realistic) == (true, true)
        {
            // The ball is there: every condition of the file's `about`, checked on the path itself.
            let found = aimed(&request);
            looks_like_a_serve(&found, depth);
            assert!(found.keeps.share() < 0.65, "{found:?}");
            between += 1;
        } else if (legal, realistic) != published {
            writeln!(differ, "{legal} {realistic}: {row}").unwrap();
        }
    }
    assert!(differ.is_empty(), "legal, like a serve, then the row:\n{differ}");
    assert_eq!(between, BETWEEN_GRID_POINTS.len());
}

/// The definition of the feasibility file, applied to a flight at full accuracy.
fn looks_like_a_serve(found: &Aimed, depth: Depth) {
    let path = fly(&found.launch, &reference(), Until::default()).unwrap();
    assert_eq!(path.fault(Throw::Serve), None);
    let (first, second, next) = (path.bounces[0], path.bounces[1], path.bounces[2]);
    assert_eq!(Depth::of_next_bounce(next.x_m()), depth);
    let clearance = path.net_clearance_m().unwrap();
    assert!(clearance > 0.02 && clearance < 0.10, "{clearance}");
    assert!(second.time_s <= 0.62 && first.x_m() <= 0.76);
    assert!((0.33..=0.46).contains(&(second.time_s - first.time_s)));
}

/// Settings worked out beforehand, rounded to 0.05 m/s and 0.5 degrees, with what they do rounded
/// to a centimetre (to a millimetre over the net and at the top).
const EXAMPLES: [Example; 8] = [
    Example(BEHIND_THE_LINE, -40.0, 0.0, 5.30, -16.0, 0.0, [0.40, 1.81, 2.51, 0.221, 0.024, 0.526]),
    Example(BEHIND_THE_LINE, -40.0, 0.0, 5.70, -15.0, 0.0, [0.44, 1.98, 2.75, 0.220, 0.041, 0.528]),
    Example(BEHIND_THE_LINE, -40.0, 0.0, 6.55, -13.5, 0.0, [0.52, 2.33, 3.23, 0.219, 0.044, 0.535]),
    Example(BEHIND_THE_LINE, 0.0, 0.0, 5.45, -21.0, 0.0, [0.29, 1.67, 2.55, 0.268, 0.022, 0.512]),
    Example(BEHIND_THE_LINE, 0.0, 0.0, 7.60, -14.0, 0.0, [0.49, 2.31, 3.34, 0.223, 0.049, 0.462]),
    Example(BEHIND_THE_LINE, 40.0, 0.0, 6.25, -14.0, 0.0, [0.42, 2.15, 3.49, 0.220, 0.047, 0.461]),
    Example(BEHIND_THE_LINE, 0.0, 30.0, 5.85, -15.0, -2.3, [0.41, 1.87, 2.72, 0.220, 0.032, 0.490]),
    Example([-0.4, 0.0, 0.2], 0.0, 0.0, 9.2, -11.0, 0.0, [0.34, 2.38, 3.56, 0.196, 0.024, 0.43]),
];

/// Outlet, top and side spin, speed, elevation, azimuth; first bounce, receiver's bounce, next
/// bounce, top, over the net, time to the receiver's bounce.
struct Example([f64; 3], f64, f64, f64, f64, f64, [f64; 6]);

#[test]
fn the_example_settings_do_what_they_say_and_are_found_again() {
    for Example(outlet_m, top, side, speed_m_s, elevation_deg, azimuth_deg, does) in EXAMPLES {
        let spin = SpinRate { top_rev_s: top, side_rev_s: side, gyro_rev_s: 0.0 };
        let launch = Launch { outlet_m, speed_m_s, elevation_deg, azimuth_deg, spin };
        let path = fly(&launch, &reference(), Until::default()).unwrap();
        let outcome = BallOutcome::read_path(&path, Throw::Serve).unwrap();
        let got = [
            outcome.first_bounce_m.unwrap()[0],
            outcome.bounce_m[0],
            outcome.next_bounce_x_m,
            outcome.apex_m,
            outcome.net_clearance_m,
            outcome.release_to_bounce_s,
        ];
        // Half of the last digit written, and the azimuth of the side spin is itself rounded.
        let rounding = [0.0055, 0.0055, 0.0055, 0.0006, 0.0006, 0.0055];
        for ((g, w), within) in got.iter().zip(does).zip(rounding) {
            assert!((g - w).abs() < within, "{launch:?}: {got:?} instead of {does:?}");
        }
        let found = aimed(
            &Request::service(outlet_m, spin)
                .across(outcome.bounce_m[1])
                .wish(Measure::NextBounceX, Band::exactly(does[2]))
                .wish(Measure::NetClearance, Band::exactly(does[4])),
        );
        assert!((found.launch.speed_m_s - speed_m_s).abs() < 0.05, "{found:?}");
        assert!((found.launch.elevation_deg - elevation_deg).abs() < 0.5, "{found:?}");
        assert!((found.launch.azimuth_deg - azimuth_deg).abs() < 0.1, "{found:?}");
    }
}

/// Lowest top between the bounces with the first bounce within 0.76 m, by height of the outlet:
/// why the launcher goes onto a chair. Of the spins tried, side spin peaks highest; backspin stays
/// a centimetre lower.
#[test]
fn a_high_outlet_cannot_throw_a_low_serve() {
    for (height_m, lowest_m) in [(0.30, 0.220), (0.35, 0.256), (0.40, 0.291), (0.50, 0.359)] {
        let below = |apex_m: f64| {
            let request = Request::service([-0.1, 0.0, height_m], SpinRate::side(30.0))
                .wish(Measure::FirstBounceX, Band::at_most(0.76))
                .wish(Measure::Apex, Band::at_most(apex_m));
            is_possible(&request, &reference()).unwrap()
        };
        assert!(below(lowest_m + 0.003), "{height_m} m");
        assert!(!below(lowest_m - 0.003), "{height_m} m");
    }
}

#[test]
fn a_dead_short_serve_from_a_quarter_of_a_metre_peaks_low() {
    let launch = Launch {
        outlet_m: [-0.1, 0.0, 0.25],
        speed_m_s: 5.2,
        elevation_deg: -9.0,
        azimuth_deg: 0.0,
        spin: SpinRate::DEAD,
    };
    let path = fly(&launch, &reference(), Until::default()).unwrap();
    assert_eq!(path.fault(Throw::Serve), None);
    // The setting is rounded to a quarter of a degree, which moves the top by two millimetres.
    assert!((path.bounces[1].apex.unwrap().height_m - 0.196).abs() < 2e-3);
}

#[test]
fn of_several_ways_the_flat_one_is_taken_and_it_keeps_its_depth() {
    for spin in [SpinRate::top(-40.0), SpinRate::top(-15.0), SpinRate::DEAD, SpinRate::side(30.0)] {
        for &depth in Depth::ALL {
            let found = aimed(
                &Request::service(BEHIND_THE_LINE, spin).across(0.0).depth(depth).like_a_serve(),
            );
            assert_eq!(found.family, Family::Flat);
            assert_eq!(found.outcome.depth, depth);
            let least = match (depth, spin == SpinRate::DEAD || spin.side_rev_s != 0.0) {
                // The edge of what is possible: a dead short serve needs a lower, closer outlet.
                (Depth::Short, true) => 0.6,
                (Depth::HalfLong, _) => 0.85,
                _ => 0.9,
            };
            assert!(
                found.keeps.share() > least,
                "{spin:?} {depth}: {:?} {:?}",
                found.keeps,
                found.outcome
            );
        }
    }
}

#[test]
fn the_same_request_and_seed_give_the_same_answer() {
    let request =
        Request::service(BEHIND_THE_LINE, SpinRate::top(-30.0)).across(0.3).depth(Depth::Short);
    assert_eq!(aimed(&request), aimed(&request));
}

#[test]
fn a_mirrored_request_has_the_mirrored_answer() {
    let constants = reference();
    let left = Request::service([-0.1, 0.6, 0.25], SpinRate::side(25.0))
        .across(-0.4)
        .depth(Depth::HalfLong);
    let right = Request::service([-0.1, -0.6, 0.25], SpinRate::side(-25.0))
        .across(0.4)
        .depth(Depth::HalfLong);
    let (left, right) = (aim(&left, &constants, 1).unwrap(), aim(&right, &constants, 1).unwrap());
    assert!((left.launch.speed_m_s - right.launch.speed_m_s).abs() < 1e-6);
    assert!((left.launch.azimuth_deg + right.launch.azimuth_deg).abs() < 1e-6);
}

fn refused(request: &Request) -> secondball::flight::aim::Refusal {
    match aim(request, &reference(), 1) {
        Err(AimError::Refused(refusal)) => *refusal,
        other => panic!("not refused: {other:?}"),
    }
}

#[test]
fn from_too_high_the_serve_is_legal_but_does_not_look_like_one() {
    let refusal = refused(
        &Request::service([-0.1, 0.0, 0.45], SpinRate::top(-40.0))
            .across(0.0)
            .depth(Depth::Short)
            .like_a_serve(),
    );
    assert!(refusal.is_only_unlike_a_serve(), "{refusal:?}");
    assert_eq!(refusal.nearest.unwrap().outcome.depth, Depth::Short);
}

#[test]
fn a_launcher_that_cannot_point_down_is_named_as_the_limit() {
    let refusal = refused(
        &Request::service([-0.4, 0.0, 0.25], SpinRate::DEAD)
            .across(0.0)
            .depth(Depth::Long)
            .wish(Measure::ReleaseToBounce, Band::at_most(0.5))
            .launcher_limit(Measure::Elevation, Band::between(-3.0, 40.0)),
    );
    assert_eq!(refusal.limits[0].measure, Measure::Elevation, "{refusal:#?}");
    assert_eq!(refusal.limits[0].origin, Origin::Launcher, "{refusal:#?}");
    let nearest = refusal.nearest.unwrap();
    assert!((-3.001..=40.0).contains(&nearest.launch.elevation_deg), "{nearest:?}");
}

#[test]
fn a_feed_of_heavy_topspin_cannot_be_short() {
    let refusal = refused(
        &Request::feed([-0.1, 0.0, 0.3], SpinRate::top(40.0)).across(0.0).depth(Depth::Short),
    );
    assert_eq!(refusal.misses[0].measure, Measure::NextBounceX, "{refusal:#?}");
    assert!(refusal.misses[0].got > 2.59);
    assert!(refusal.nearest.is_some());
}

#[test]
fn wishes_beyond_all_reason_are_refused_and_not_searched_for_ever() {
    let constants = reference();
    for request in [
        Request::service(BEHIND_THE_LINE, SpinRate::DEAD).across(5.0),
        Request::service(BEHIND_THE_LINE, SpinRate::DEAD)
            .wish(Measure::ReleaseToBounce, Band::at_most(1e-9)),
        Request::service([2.7, 0.0, 0.02], SpinRate::top(200.0)).depth(Depth::Short),
        Request::feed([-6.0, 4.0, 3.0], SpinRate::top(-200.0))
            .wish(Measure::Speed, Band::exactly(0.0)),
        Request::service([-6.0, 4.0, 0.02], SpinRate::side(200.0)).depth(Depth::HalfLong),
    ] {
        assert!(matches!(aim(&request, &constants, 1), Err(AimError::Refused(_))), "{request:?}");
    }
    let nothing = Request::service([f64::NAN, 0.0, 0.2], SpinRate::DEAD);
    assert!(matches!(aim(&nothing, &constants, 1), Err(AimError::Numbers(_))));
}
