//! Bat and ball against worked impacts, measured bounces on bats, and receives played in matches.

use std::f64::consts::TAU;

use proptest::prelude::*;
use secondball::flight::bat::{BallEnd, BatAt, BatLaw, BatSwing, Hit};
use secondball::flight::path::{STEP_S, follow};
use secondball::flight::{BallMotion, Constants, Until};
use secondball::game::Covering;
use serde_json::Value;

use super::{ball, reference, three};

const RADIUS_M: f64 = 0.02;
const END_LINE_X_M: f64 = 2.74;

fn published() -> Value {
    serde_json::from_str(include_str!("../published/bat.json")).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn rows(value: &Value) -> &Vec<Value> {
    value.as_array().unwrap()
}

/// A law with one restitution and one share of the slip given back.
fn fixed(row: &Value) -> BatLaw {
    BatLaw {
        e0: number(&row["e_n"]),
        e1_s_m: 0.0,
        alpha0: 0.4 * (1.0 + number(&row["e_t"])),
        alpha1_s_m: 0.0,
        mu: number(&row["mu"]),
        recoil: 0.0,
    }
}

fn varying(row: &Value) -> BatLaw {
    BatLaw {
        e0: number(&row["e0"]),
        e1_s_m: number(&row["e1"]),
        alpha0: number(&row["alpha0"]),
        alpha1_s_m: number(&row["alpha1"]),
        mu: row["mu"].as_f64().unwrap_or(f64::INFINITY),
        recoil: row["q"].as_f64().unwrap_or(0.0),
    }
}

fn hit_of(law: &BatLaw, row: &Value) -> Option<Hit> {
    let coming = ball([0.0; 3], three(&row["v"]), three(&row["w"]));
    law.hit(RADIUS_M, &coming, three(&row["n"]), three(&row["V"]))
}

fn assert_near(found: [f64; 3], wanted: [f64; 3], within: f64, what: &str) {
    for (found, wanted) in found.iter().zip(wanted) {
        assert!((found - wanted).abs() <= within, "{what}: {found} is not {wanted}");
    }
}

/// Computed with mpmath, 50 digits.
#[test]
fn impacts_are_the_worked_ones_and_a_ball_that_leaves_the_bat_is_refused() {
    let published = published();
    let fixed_rows = rows(&published["impacts"]).iter().map(|row| (fixed(row), row));
    let varying_rows = rows(&published["impacts_state_dependent"]).iter();
    for (law, row) in fixed_rows.chain(varying_rows.map(|row| (varying(row), row))) {
        let name = row["name"].as_str().unwrap();
        let Some(hit) = hit_of(&law, row) else {
            assert_eq!(row["contact"], false, "{name}");
            continue;
        };
        assert_near(hit.after.velocity_m_s, three(&row["v_out"]), 1e-9, name);
        assert_near(hit.after.spin_rad_s, three(&row["w_out"]), 1e-9, name);
        assert!((hit.alpha - number(&row["alpha"])).abs() < 1e-9, "{name}");
        assert!((hit.slip_m_s - number(&row["slip_in"])).abs() < 1e-9, "{name}");
        assert!((hit.closing_m_s - number(&row["closing"])).abs() < 1e-9, "{name}");
        assert_eq!(hit.grips, row["grips"], "{name}");
    }
    let refused = rows(&published["impacts"]).iter().filter(|row| row["contact"] == false);
    assert_eq!(refused.count(), 1);
}

/// Computed with scipy's DOP853 at 1e-12.
#[test]
fn a_ball_flies_on_after_the_impact_as_worked_out() {
    let published = published();
    for row in rows(&published["flights_after_impact"]) {
        let name = row["impact"].as_str().unwrap();
        let of_it = |it: &&Value| it["name"] == row["impact"];
        let impact = rows(&published["impacts"]).iter().find(of_it).unwrap();
        let hit = hit_of(&fixed(impact), impact).unwrap();
        let (v, w) = (hit.after.velocity_m_s, hit.after.spin_rad_s);
        let [x, y, z] = three(&row["r"]);
        // Seen from the other end.
        let start = ball([END_LINE_X_M - x, -y, z], [-v[0], -v[1], v[2]], [-w[0], -w[1], w[2]]);
        let path = follow(&start, &reference(), Until { bounces: 1, time_s: 3.0 }, STEP_S);
        let landing = [END_LINE_X_M - path.bounces[0].x_m(), -path.bounces[0].y_m(), 0.0];
        let wanted = [number(&row["landing"][0]), number(&row["landing"][1]), 0.0];
        assert_near(landing, wanted, 1e-6, name);
        assert!((path.bounces[0].time_s - number(&row["t"])).abs() < 1e-6, "{name}");
        let over = path.net_clearance_m().unwrap();
        assert!((over - number(&row["net_clearance"])).abs() < 1e-6, "{name}");
    }
}

/// Faces found by bisection with scipy; the swing is given, the face alone is looked for.
#[test]
fn the_face_for_a_landing_and_its_edges_are_the_worked_ones() {
    for row in rows(&published()["solved_faces"]) {
        let name = row["name"].as_str().unwrap();
        let [ahead, _, up] = three(&row["V"]);
        let way = BatAt {
            bat_m_s: ahead.hypot(up),
            up_deg: up.atan2(-ahead).to_degrees(),
            open_deg: if row["name"] == "long push of heavy backspin" { 30.0 } else { -10.0 },
            aside_deg: 0.0,
        };
        let swing = BatSwing { ways: [way; 3], turns_whole: false, length_m: 0.0 };
        let coming = ball(three(&row["r"]), three(&row["v"]), three(&row["w"]));
        let target = [1.37 - number(&row["target_x"]), 0.0];
        let law = fixed(row);
        let faces = swing.solve(&law, &reference(), &coming, way, target);
        let wanted = number(&row["face_deg"]);
        let face = faces.iter().find(|at| (at.open_deg - wanted).abs() < 0.01);
        let face = face.unwrap_or_else(|| panic!("{name}: {faces:?}, not {wanted}"));
        let over = face.answer(&law, &reference(), &coming).over_net_m;
        assert!((over - number(&row["net_clearance"])).abs() < 1e-3, "{name}: {over}");
        // Just inside an edge it is good for the net or the line, just outside it is not.
        for (edge, way) in
            [("net_below", 1.0), ("net_above", -1.0), ("long_below", 1.0), ("long_above", -1.0)]
        {
            let Some(at_deg) = row["edges_deg"][edge].as_f64() else { continue };
            let misses = |off: f64| {
                let at = BatAt { open_deg: at_deg + off, ..*face };
                let answer = at.answer(&law, &reference(), &coming);
                if edge.starts_with("net") {
                    answer.over_net_m < 0.0
                } else {
                    answer.landing_m[0] > 1.37
                }
            };
            assert!(!misses(0.02 * way) && misses(-0.02 * way), "{name}, {edge}");
        }
    }
}

/// The test bounces of the open data set the coverings' constants were fitted on
/// (`github.com/gossardt/tt_rackets`, MIT), within the spread stated there for hand-copied rows.
#[test]
fn measured_bounces_on_bats_are_met() {
    let published = published();
    let measured = &published["measured_bounces"];
    let (laws, within) = (&measured["laws"], &measured["tolerance"]);
    let mut squares = [0.0; 3];
    for row in rows(&measured["cases"]) {
        let of_it = |law: &&Value| law["racket"] == row["racket"];
        let law = laws.as_object().unwrap().values().find(of_it).unwrap();
        let coming = ball(
            [0.0; 3],
            [number(&row["v_t"]), 0.0, number(&row["v_n"])],
            [0.0, number(&row["w"]), 0.0],
        );
        let after = varying(law).hit(RADIUS_M, &coming, [0.0, 0.0, 1.0], [0.0; 3]).unwrap().after;
        let off = [
            (after.velocity_m_s[0] - number(&row["v_t_out"]), "v_t"),
            (after.velocity_m_s[2] - number(&row["v_n_out"]), "v_n"),
            ((after.spin_rad_s[1] - number(&row["w_out"])) / TAU, "spin_rev_s"),
        ];
        for ((off, what), sum) in off.into_iter().zip(&mut squares) {
            assert!(off.abs() <= number(&within[what]), "{row}: {what} is off by {off}");
            *sum += off * off;
        }
    }
    let count = rows(&measured["cases"]).len() as f64;
    for (sum, what) in squares.into_iter().zip(["rms_v_t", "rms_v_n", "rms_spin_rev_s"]) {
        assert!((sum / count).sqrt() <= number(&within[what]), "{what}");
    }
}

/// The table of coverings is the fit of the same data, rounded.
#[test]
fn coverings_are_the_published_fits() {
    let published = published();
    let of = |name: &str| varying(&published["measured_bounces"]["laws"][name]);
    for (covering, name) in [
        (Covering::Inverted, "inverted offensive 2.1 on an allround blade"),
        (Covering::ShortPimples, "short pimples 2.0"),
        (Covering::LongPimples, "long pimples 1.2"),
        (Covering::Anti, "anti 2.1"),
    ] {
        let (ours, theirs) = (BatLaw::from_covering(covering), of(name));
        for (ours, theirs) in [
            (ours.e0, theirs.e0),
            (ours.e1_s_m, theirs.e1_s_m),
            (ours.alpha0, theirs.alpha0),
            (ours.alpha1_s_m, theirs.alpha1_s_m),
        ] {
            assert!((ours - theirs).abs() < 1e-4, "{name}: {ours} is not {theirs}");
        }
    }
}

/// 374 receives of services in matches (`github.com/SonyResearch/ace_public`): the sideways change
/// of the ball's speed on its sideways slip has slope -.703 +- .014 (robot) and .029 (people).
/// A still upright bat and a ball with side spin alone show that slope.
#[test]
fn side_spin_leaves_the_bat_as_it_does_in_matches() {
    let law = BatLaw::from_covering(Covering::Inverted);
    for side_rev_s in [10.0, 20.0, 30.0] {
        let coming = ball([0.0; 3], [3.0, 0.0, 0.0], [0.0, 0.0, TAU * side_rev_s]);
        let hit = law.hit(RADIUS_M, &coming, [-1.0, 0.0, 0.0], [0.0; 3]).unwrap();
        let slope = hit.after.velocity_m_s[1] / hit.slip_m_s;
        assert!((slope.abs() - 0.703).abs() < 0.029, "{slope}");
    }
}

/// The same receives: in pushes the spin that leaves does not depend on the spin that came (r
/// = .08). Here it moves by less than a tenth of what came.
#[test]
fn a_push_forgets_the_spin_that_came() {
    let law = BatLaw::from_covering(Covering::Inverted);
    let at = BatAt { bat_m_s: 3.7, up_deg: -14.0, open_deg: 36.0, aside_deg: 0.0 };
    let (normal, bat_m_s) = at.vectors();
    let out = |top_rev_s: f64| {
        let coming = ball([0.0; 3], [2.2, 0.0, 0.0], [0.0, TAU * top_rev_s, 0.0]);
        law.hit(RADIUS_M, &coming, normal, bat_m_s).unwrap().after.spin_rad_s[1] / TAU
    };
    let (heavy, lively) = (out(-20.0), out(20.0));
    assert!((heavy - lively).abs() < 4.0, "{heavy} and {lively}");
    assert!(heavy > 15.0 && lively > 15.0, "backspin leaves: {heavy} and {lively}");
}

/// The same receives: degrees a face turns for a rev/s of topspin that comes. Topspin strokes
/// -.53 +- .03 (robot) and -.39 (people); pushes -.93 +- .09 (robot) and -.56 (people, who turn
/// half as far as the law asks of their own balls): no angle is printed as advice.
#[test]
fn a_face_turns_with_the_spin_as_far_as_in_matches() {
    let law = BatLaw::from_covering(Covering::Inverted);
    let turn = |way: BatAt, turns_whole: bool, beyond_net_m: f64| {
        let swing = BatSwing { ways: [way; 3], turns_whole, length_m: 0.0 };
        let face = |top_rev_s: f64| {
            let coming = ball([2.5, 0.0, 0.2], [3.0, 0.0, 0.0], [0.0, TAU * top_rev_s, 0.0]);
            let faces = swing.solve(&law, &Constants::default(), &coming, way, [beyond_net_m, 0.0]);
            let nearest = |a: &&BatAt, b: &&BatAt| {
                (a.open_deg - way.open_deg).abs().total_cmp(&(b.open_deg - way.open_deg).abs())
            };
            faces.iter().min_by(nearest).map_or(f64::NAN, |it| it.open_deg)
        };
        (face(16.0) - face(8.0)) / 8.0
    };
    let push = BatAt { bat_m_s: 3.7, up_deg: -30.0, open_deg: 20.0, aside_deg: 0.0 };
    let push = turn(push, true, 0.95);
    assert!((-1.02..-0.49).contains(&push), "push {push}");
    for [bat_m_s, up_deg, open_deg] in [[5.7, 24.0, -14.0], [9.4, 33.0, -24.0], [11.0, 34.0, -24.0]]
    {
        let stroke = turn(BatAt { bat_m_s, up_deg, open_deg, aside_deg: 0.0 }, false, 1.03);
        assert!((stroke + 0.53).abs() < 0.15, "topspin stroke {stroke}");
    }
}

/// Near the friction limit the law shows a tolerance that is not there: a stroke that would have to
/// brush harder than its normal impulse is refused, though it would land.
#[test]
fn a_face_that_only_brushes_is_no_solution() {
    let law = BatLaw::from_covering(Covering::Inverted);
    let coming = ball([2.84, 0.0, 0.18], [4.2, 0.0, 0.0], [0.0, TAU * 36.0, 0.0]);
    let solve = |way: BatAt| {
        let swing = BatSwing { ways: [way; 3], turns_whole: false, length_m: 0.0 };
        swing.solve(&law, &Constants::default(), &coming, way, [1.06, 0.0])
    };
    let way =
        |up_deg: f64, open_deg: f64| BatAt { bat_m_s: 11.0, up_deg, open_deg, aside_deg: 0.0 };
    let flat = solve(way(32.0, -22.0));
    assert!(!flat.is_empty());
    for at in flat {
        assert!(at.answer(&law, &Constants::default(), &coming).brush <= 1.0, "{at:?}");
    }
    let thin = way(60.0, -29.0);
    assert_eq!(solve(thin), Vec::new());
    let lands = (-40..20).any(|turn: i32| {
        let at = BatAt { open_deg: f64::from(turn), ..thin };
        at.answer(&law, &Constants::default(), &coming).end == BallEnd::Lands
    });
    assert!(lands, "it is refused for the brush alone");
}

fn any_vector(most: f64) -> impl Strategy<Value = [f64; 3]> {
    [-most..most, -most..most, -most..most]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn cross([a, b, c]: [f64; 3], [x, y, z]: [f64; 3]) -> [f64; 3] {
    [b * z - c * y, c * x - a * z, a * y - b * x]
}

fn plus(a: [f64; 3], factor: f64, b: [f64; 3]) -> [f64; 3] {
    [a[0] + factor * b[0], a[1] + factor * b[1], a[2] + factor * b[2]]
}

/// Twice the energy over the mass of a thin shell.
fn energy(ball: &BallMotion, bat_m_s: [f64; 3]) -> f64 {
    let against = plus(ball.velocity_m_s, -1.0, bat_m_s);
    let turning = dot(ball.spin_rad_s, ball.spin_rad_s) * 2.0 / 3.0 * RADIUS_M * RADIUS_M;
    dot(against, against) + turning
}

fn mirrored([x, y, z]: [f64; 3]) -> [f64; 3] {
    [x, -y, z]
}

fn mirrored_turn([x, y, z]: [f64; 3]) -> [f64; 3] {
    [-x, y, -z]
}

proptest! {
    #[test]
    fn an_impact_keeps_what_an_impulse_at_one_point_must_keep(
        velocity in any_vector(9.0),
        spin in any_vector(400.0),
        bat in any_vector(12.0),
        (tilt, turn) in (-1.2..1.2, -1.2..1.2),
        covering in 0_usize..5,
    ) {
        let (tilt, turn): (f64, f64) = (tilt, turn);
        let normal = [-tilt.cos() * turn.cos(), tilt.cos() * turn.sin(), tilt.sin()];
        let law = BatLaw::from_covering(Covering::ALL[covering]);
        let coming = ball([0.0; 3], velocity, spin);
        let Some(hit) = law.hit(RADIUS_M, &coming, normal, bat) else { return Ok(()) };
        let (dv, dw) = (
            plus(hit.after.velocity_m_s, -1.0, velocity),
            plus(hit.after.spin_rad_s, -1.0, spin),
        );
        // Spin about the normal stays, and no impulse changes speed and spin along one line (in
        // matches the median |cos| is .03 where chance gives .5).
        prop_assert!(dot(dw, normal).abs() < 1e-9);
        prop_assert!(dot(dv, dw).abs() < 1e-9 * (1.0 + dot(dv, dv) + dot(dw, dw)));
        // v_t - (2/3) R n x w stays.
        let kept = |v: [f64; 3], w: [f64; 3]| {
            let along = plus(v, -dot(v, normal), normal);
            plus(along, -2.0 / 3.0 * RADIUS_M, cross(normal, w))
        };
        let (before, after) = (kept(velocity, spin), kept(hit.after.velocity_m_s, hit.after.spin_rad_s));
        prop_assert!(dot(plus(before, -1.0, after), plus(before, -1.0, after)) < 1e-18);
        // While it grips, the slip turns round by the share given back.
        let slip = |ball: &BallMotion| {
            let against = plus(ball.velocity_m_s, -1.0, bat);
            let along = plus(against, -dot(against, normal), normal);
            plus(along, -RADIUS_M, cross(ball.spin_rad_s, normal))
        };
        let back = 1.0 - 2.5 * hit.alpha;
        let off = plus(slip(&hit.after), -back, slip(&coming));
        prop_assert!(dot(off, off) < 1e-16);
        prop_assert!(energy(&hit.after, bat) <= energy(&coming, bat) + 1e-9);
        // The same from a moving hall, and in the mirror.
        let hall = [3.0, -2.0, 1.0];
        let moved = ball([0.0; 3], plus(velocity, 1.0, hall), spin);
        let moved = law.hit(RADIUS_M, &moved, normal, plus(bat, 1.0, hall)).unwrap().after;
        assert_near(plus(moved.velocity_m_s, -1.0, hall), hit.after.velocity_m_s, 1e-9, "hall");
        let other = ball([0.0; 3], mirrored(velocity), mirrored_turn(spin));
        let other = law.hit(RADIUS_M, &other, mirrored(normal), mirrored(bat)).unwrap().after;
        assert_near(mirrored(other.velocity_m_s), hit.after.velocity_m_s, 1e-9, "mirror");
        assert_near(mirrored_turn(other.spin_rad_s), hit.after.spin_rad_s, 1e-9, "mirror");
    }
}
