//! The default table against services of strong players, from contact over both bounces.

use secondball::flight::constants::{Constants, LANDING_OFF_M, NEXT_OFF_M};
use secondball::flight::motion::acceleration_m_s2;
use secondball::flight::path::{STEP_S, follow};
use secondball::flight::{BallMotion, Throw, Until};
use secondball::game::Depth;

use super::{ball, reference};

/// The measured velocities belong to this long after contact or bounce.
const LATE_S: f64 = 0.0165;

/// A measured service: the ball at contact, and leaving the receiver's half.
struct Service {
    contact: BallMotion,
    theirs: BallMotion,
}

fn services() -> Vec<Service> {
    let text = include_str!("../published/services_measured.csv");
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let rows = rows.map(|row| {
        let n: Vec<f64> = row.split(',').map(|cell| cell.parse().unwrap()).collect();
        let at = |first: usize| [n[first], n[first + 1], n[first + 2]];
        Service {
            contact: at_the_event(ball(at(0), at(3), at(6))),
            // Where the ball touches, its centre is a radius above the table.
            theirs: at_the_event(ball([n[9], n[10], 0.02], at(11), at(14))),
        }
    });
    rows.collect()
}

/// The ball as it was at the event whose velocity was measured a little later.
fn at_the_event(late: BallMotion) -> BallMotion {
    let slower = acceleration_m_s2(&Constants::default(), &late);
    let velocity_m_s = std::array::from_fn(|axis| late.velocity_m_s[axis] - LATE_S * slower[axis]);
    BallMotion { velocity_m_s, ..late }
}

/// How far flown services are from measured ones: landing, next bounce, depths that agree of 100.
struct Off {
    landing_m: Vec<f64>,
    next_m: Vec<f64>,
    depths_right: f64,
    half_long_called_short: usize,
}

impl Off {
    fn fly(constants: &Constants) -> Self {
        let mut off = Self {
            landing_m: vec![],
            next_m: vec![],
            depths_right: 0.0,
            half_long_called_short: 0,
        };
        let services = services();
        assert_eq!(services.len(), 61);
        for Service { contact, theirs } in &services {
            let path = follow(contact, constants, Until::default(), STEP_S);
            let (lands, next) = (
                path.receiver_bounce(Throw::Serve).unwrap(),
                path.next_bounce(Throw::Serve).unwrap(),
            );
            let seen =
                &follow(theirs, constants, Until { bounces: 1, time_s: 2.0 }, STEP_S).bounces[0];
            let [x, y, _] = theirs.position_m;
            off.landing_m.push((lands.x_m() - x).hypot(lands.y_m() - y));
            off.next_m.push((next.x_m() - seen.x_m()).hypot(next.y_m() - seen.y_m()));
            let [said, is] = [next, seen].map(|bounce| Depth::of_next_bounce(bounce.x_m()));
            off.depths_right += f64::from(u8::from(said == is)) * 100.0 / services.len() as f64;
            off.half_long_called_short +=
                usize::from(is == Depth::HalfLong && said == Depth::Short);
        }
        off.landing_m.sort_by(f64::total_cmp);
        off.next_m.sort_by(f64::total_cmp);
        off
    }
}

fn share(sorted: &[f64], share: f64) -> f64 {
    sorted[(share * (sorted.len() - 1) as f64).round() as usize]
}

#[test]
fn the_default_table_gives_measured_services_back_as_surely_as_is_said() {
    let ours = Off::fly(&Constants::default());
    for (off, [half_m, most_m]) in [(&ours.landing_m, LANDING_OFF_M), (&ours.next_m, NEXT_OFF_M)] {
        let [half, most] = [share(off, 0.5), share(off, 0.8)];
        // As said, or a little better: what is said is of services the table was not fitted on.
        assert!(half <= half_m + 0.005 && half > 0.8 * half_m, "{half} {half_m}");
        assert!(most <= most_m && most > 0.7 * most_m, "{most} {most_m}");
    }
    assert!(ours.depths_right >= 80.0, "{}", ours.depths_right);
    assert_eq!(ours.half_long_called_short, 0);
    // The table of the drop test: 23 cm from 30 cm and a little more.
    let dropped = Off::fly(&reference());
    assert!(share(&dropped.landing_m, 0.5) > 1.4 * share(&ours.landing_m, 0.5));
    assert!(share(&dropped.next_m, 0.5) > 1.4 * share(&ours.next_m, 0.5));
    assert!(dropped.depths_right < 75.0 && dropped.half_long_called_short > 5);
}
