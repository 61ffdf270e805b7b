//! The marks that are printed, against an independent integration of the numbers printed with them.
//!
//! The integration here shares nothing with the program: midpoint steps of 0.1 ms, the bounce of
//! the flight specification. It is itself held to `tests/reference/flight.py` (scipy, DOP853).

use serde_json::Value;

use super::{json, player};

struct Laws {
    drag: f64,
    lift: [f64; 2],
    restitution: f64,
    friction: f64,
}

const R: f64 = 0.02;

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn plus(a: [f64; 3], share: f64, b: [f64; 3]) -> [f64; 3] {
    [a[0] + share * b[0], a[1] + share * b[1], a[2] + share * b[2]]
}

fn length(a: [f64; 3]) -> f64 {
    a.iter().map(|one| one * one).sum::<f64>().sqrt()
}

/// The first `bounces` bounces, x and y.
fn bounces(
    laws: &Laws,
    mut at: [f64; 3],
    [speed, elevation, azimuth, top, side]: [f64; 5],
    bounces: usize,
) -> Vec<[f64; 2]> {
    // Density 1.204 kg/m3, mass 2.7 g: ITTF 2.3 and FLIGHT's K.
    let k = 1.204 * std::f64::consts::PI * R * R / (2.0 * 0.0027);
    let (theta, alpha) = (elevation.to_radians(), azimuth.to_radians());
    let forward = [theta.cos() * alpha.cos(), theta.cos() * alpha.sin(), theta.sin()];
    let left = [-alpha.sin(), alpha.cos(), 0.0];
    let turn = std::f64::consts::TAU;
    let mut w = plus(plus([0.0; 3], turn * top, left), turn * side, cross(forward, left));
    let mut v = plus([0.0; 3], speed, forward);
    let air = |v: [f64; 3], w: [f64; 3]| {
        let fast = length(v);
        let lift = k * R * fast / (laws.lift[0] * fast + laws.lift[1] * R * length(w));
        plus(plus([0.0, 0.0, -9.81], -k * laws.drag * fast, v), lift, cross(w, v))
    };
    let (step, mut found) = (1e-4, Vec::new());
    for _ in 0..40_000 {
        let half = plus(v, 0.5 * step, air(v, w));
        let (next, then) = (plus(at, step, half), plus(v, step, air(half, w)));
        if next[2] > R || then[2] > 0.0 {
            (at, v) = (next, then);
            continue;
        }
        let share = (at[2] - R) / (at[2] - next[2]);
        at = plus(at, share * step, half);
        v = plus(v, share * step, air(v, w));
        found.push([at[0], at[1]]);
        if found.len() == bounces {
            break;
        }
        let slip = [v[0] - R * w[1], v[1] + R * w[0]];
        let most = laws.friction * (1.0 + laws.restitution) * v[2].abs();
        let grip = (most / slip[0].hypot(slip[1])).min(0.4);
        v = [v[0] - grip * slip[0], v[1] - grip * slip[1], -laws.restitution * v[2]];
        w = [w[0] - 1.5 * grip * slip[1] / R, w[1] + 1.5 * grip * slip[0] / R, w[2]];
    }
    found
}

#[test]
fn the_integration_of_this_file_agrees_with_the_reference_script() {
    // tests/reference/flight.py: fly(*launch(nozzle, speed, elevation, azimuth, spin), bounces=2).
    let laws = Laws { drag: 0.54, lift: [0.5, 3.0], restitution: 0.93, friction: 0.25 };
    let rows = [
        (
            [-0.2, -0.6, 0.28],
            [5.3, -15.0, 12.0, -45.0, 0.0],
            [0.48111, -0.45523],
            [1.8793, -0.15803],
        ),
        (
            [-0.4, -0.6, 0.25],
            [9.2, -11.0, 3.0, 25.0, -20.0],
            [0.4379, -0.57207],
            [2.63339, -0.56765],
        ),
        ([-0.2, 0.6, 0.25], [5.9, -16.0, -14.5, 0.0, 30.0], [0.3833, 0.46458], [1.87483, 0.15285]),
    ];
    for (nozzle, numbers, first, lands) in rows {
        for (found, expected) in bounces(&laws, nozzle, numbers, 2).iter().zip([first, lands]) {
            let off = (found[0] - expected[0]).hypot(found[1] - expected[1]);
            assert!(off < 2e-4, "{found:?} is not {expected:?}");
        }
    }
}

/// The numbers of a text in their order, each with the words behind it.
fn numbers(said: &str) -> Vec<(f64, &str)> {
    let is_number = |word: &&str| word.parse::<f64>().is_ok();
    let begins = said.split(' ').filter(is_number);
    let mut rest = said;
    let mut found = Vec::new();
    for word in begins {
        let at = rest.find(word).unwrap() + word.len();
        rest = &rest[at..];
        found.push((word.parse().unwrap(), rest));
    }
    found
}

/// A length or angle printed in centimetres or degrees, negative where these words follow first.
fn signed(said: &[(f64, &str)], place: usize, minus: &str) -> f64 {
    let (value, behind) = said[place];
    let words = behind.split([',', ';']).next().unwrap();
    if words.contains(minus) { -value } else { value }
}

fn words<'a>(one: &'a Value, label: &str) -> Option<&'a str> {
    let set = one["set"].as_array().unwrap();
    set.iter().find(|line| line[0] == label).map(|line| line[1].as_str().unwrap())
}

#[test]
fn every_printed_mark_is_where_the_printed_numbers_fly_to_one_centimetre() {
    let player = player();
    let mut checked = 0;
    for launcher in ["fixed", "oscillating", "per-ball"] {
        let aim = json(
            &player.run(&["launcher", "aim", "north", "--launcher", launcher, "--json"]).fine(),
        );
        let number = |value: &Value| value.as_f64().unwrap();
        let (air, surface) = (&aim["constants"]["air"], &aim["constants"]["surface"]);
        let laws = Laws {
            drag: number(&air["drag"]),
            lift: [number(&air["lift_a"]), number(&air["lift_b"])],
            restitution: number(&surface["restitution"]),
            friction: number(&surface["friction"]),
        };
        for group in aim["groups"].as_array().unwrap() {
            let stands = numbers(group["words"].as_str().unwrap());
            let nozzle = [
                signed(&stands, 0, "behind") / 100.0,
                signed(&stands, 1, "right") / 100.0,
                stands[2].0 / 100.0,
            ];
            for one in group["serves"].as_array().unwrap() {
                let said = words(one, "numbers").unwrap();
                let of = numbers(said);
                let spin = |plus: &str, minus: &str| {
                    let after =
                        |kind: &str| said.split_once(kind).map(|(_, rest)| numbers(rest)[0].0);
                    after(plus).or_else(|| after(minus).map(|it| -it)).unwrap_or(0.0)
                };
                let launch = [
                    of[0].0,
                    signed(&of, 1, "down"),
                    signed(&of, 2, "right"),
                    spin("topspin ", "backspin "),
                    spin("sidespin left ", "sidespin right "),
                ];
                let paper = words(one, "paper").unwrap();
                let marks = numbers(paper);
                let is_served = paper.starts_with("first bounce");
                let flown = bounces(&laws, nozzle, launch, if is_served { 2 } else { 1 });
                for (place, at) in flown.iter().enumerate() {
                    let is_landing = place + 1 == flown.len();
                    let along = marks[2 * place].0 / 100.0;
                    let along = if is_landing { 2.74 - along } else { along };
                    let across = match marks.get(2 * place + 1) {
                        Some(_) => signed(&marks, 2 * place + 1, "right") / 100.0,
                        None => 0.0,
                    };
                    let near = |a: f64, b: f64| (a - b).abs() <= 0.010;
                    assert!(
                        near(along, at[0]) && near(across, at[1]),
                        "{launcher} {}: {paper} ({said}) flies to {flown:?}",
                        one["serve"]
                    );
                    checked += 1;
                }
            }
        }
    }
    assert!(checked >= 16, "{checked}");
}
