//! What a launcher is told to give up, against every launch it has, tried one after the other.

use secondball::base::Dice;
use secondball::flight::aim::BallOutcome;
use secondball::flight::service::spin_of;
use secondball::flight::{Constants, Launch, Throw, Until, fly};
use secondball::game::{Depth, From, Hand, Lane, Serve, Side, Spin, Weight, lane_y_m};
use secondball::launcher::{Fit, Launcher, SetUp, Span, Table, fit};
use secondball::store::judge_launcher;

const TABLE: fn() -> Table = || Table {
    constants: Constants::default(),
    receiver: Hand::Right,
    server: Hand::Right,
    seed: 1,
};

/// A launcher at one height with some reach of speed and elevation, and a serve to throw with it.
fn any(seed: u64) -> (Launcher, Serve) {
    let mut dice = Dice::for_part(seed, "launcher");
    let mut between = |least: f64, most: f64| least + (most - least) * dice.unit();
    let text = include_str!("../../demo/launchers/per-ball.ron");
    let mut launcher = judge_launcher("per-ball.ron", text).unwrap().value;
    let machine = launcher.machine.as_mut().unwrap();
    machine.elevation_deg.least = between(-20.0, -3.0);
    machine.speed_m_s = Span::new(between(2.5, 6.5), between(6.5, 16.0));
    let height_m = between(0.12, 0.45);
    machine.outlet_height_m = Span::new(height_m, height_m);
    (machine.chair_height_m, machine.on_table_height_m) = (None, None);
    let mut serve = Serve::unknown("a".parse().unwrap());
    let one_of = |count: usize, at: f64| (at * count as f64) as usize;
    serve.depth = Some(Depth::ALL[one_of(3, between(0.0, 0.999))]);
    serve.lane =
        Some([Lane::Backhand, Lane::Middle, Lane::Forehand][one_of(3, between(0.0, 0.999))]);
    let spins = [Spin::Backspin, Spin::Topspin, Spin::Dead, Spin::Sidespin, Spin::SideBackspin];
    serve.spin = Some(spins[one_of(5, between(0.0, 0.999))]);
    serve.weight = Some(Weight::RevS(between(10.0, 40.0).round()));
    serve.breaks = Some(Side::Left);
    (launcher, serve)
}

/// A launch of this launcher that serves it like a player would, looked for on a grid.
fn by_hand(launcher: &Launcher, serve: &Serve) -> Option<Launch> {
    let machine = launcher.machine.as_ref().unwrap();
    let weight = match serve.weight {
        Some(Weight::RevS(rev_s)) => rev_s,
        _ => 0.0,
    };
    let spin = spin_of(serve.spin.unwrap(), weight, serve.breaks);
    let lane_m = lane_y_m(serve.lane.unwrap(), Hand::Right);
    let places = SetUp::all_of_machine(machine, false, From::BackhandCorner, Hand::Right);
    let steps = |least: f64, most: f64, step: f64| {
        (0..).map(move |n| least + f64::from(n) * step).take_while(move |at| *at <= most)
    };
    let is_like_a_serve = |outcome: &BallOutcome| {
        outcome.depth == serve.depth.unwrap()
            && (outcome.bounce_m[1] - lane_m).abs() < 0.05
            && outcome.release_to_bounce_s <= 0.62
            && outcome.bounce_to_bounce_s.is_some_and(|s| (0.33..=0.46).contains(&s))
            && outcome.first_bounce_m.is_some_and(|m| m[0] <= 0.76)
            && (0.02..=0.10).contains(&outcome.net_clearance_m)
    };
    for place in &places {
        let outlet_m = [-place.behind_line_m, place.across_m, place.outlet_height_m.unwrap()];
        for speed_m_s in steps(machine.speed_m_s.least, machine.speed_m_s.most.min(9.0), 0.25) {
            for elevation_deg in steps(machine.elevation_deg.least, 2.0, 0.75) {
                let straight = (lane_m - outlet_m[1]).atan2(2.0 - outlet_m[0]).to_degrees();
                let mut launch =
                    Launch { outlet_m, speed_m_s, elevation_deg, azimuth_deg: straight, spin };
                for _ in 0..3 {
                    let path = fly(&launch, &Constants::default(), Until::default()).unwrap();
                    let Some(outcome) = BallOutcome::read_path(&path, Throw::Serve) else { break };
                    if path.fault(Throw::Serve).is_none() && is_like_a_serve(&outcome) {
                        return Some(launch);
                    }
                    let off_m = lane_m - outcome.bounce_m[1];
                    launch.azimuth_deg += (off_m / (outcome.bounce_m[0] + 0.2)).atan().to_degrees();
                }
            }
        }
    }
    None
}

#[test]
fn no_launcher_gives_up_its_own_half_where_a_real_looking_service_exists() {
    let (mut served, mut fed, mut wrong) = (0, 0, Vec::new());
    for seed in 0..40 {
        let (launcher, serve) = any(seed);
        let Fit { thrown, .. } = fit(&launcher, &serve, &TABLE(), false, None);
        if thrown.throw == Throw::Serve && Some(thrown.depth) == serve.depth {
            served += 1;
        } else {
            fed += 1;
            let found = by_hand(&launcher, &serve).map(|launch| format!("seed {seed}: {launch:?}"));
            wrong.extend(found);
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
    assert!(served > 10 && fed > 5, "{served} {fed}");
}
