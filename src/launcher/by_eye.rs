//! A ball as it is set with a tape and two sheets of paper: where it bounces, which wheel is
//! faster, what else is turned.

use crate::flight::aim::Aimed;
use crate::flight::path::{STEP_S, follow};
use crate::flight::{Constants, Launch, Until};
use crate::game::BALL_RADIUS_M;
use crate::launcher::settings::{ByEye, Farther, Settings, TurnedHead};
use crate::launcher::{Control, Launcher, Wheels};

/// How much farther the first bounce is tried, metres.
const FARTHER_M: f64 = 0.10;
/// So much higher at most, degrees, and halvings of it: a thousandth of a degree.
const HIGHER_DEG: f64 = 16.0;
const HALVINGS: usize = 14;

impl ByEye {
    pub(super) fn tell(
        launcher: &Launcher,
        settings: &Settings,
        aimed: &Aimed,
        constants: &Constants,
    ) -> Self {
        let machine = launcher.throwing_machine();
        let turned_head = turned_head(launcher, settings);
        let has_two = machine.is_some_and(|machine| machine.wheels == Wheels::Two);
        let beyond = |deg: f64| {
            let lacks = machine.map_or(0.0, |own| deg - own.azimuth_deg.nearest(deg));
            (lacks.abs() > 0.05).then_some(lacks)
        };
        Self {
            first_m: aimed.outcome.first_bounce_m,
            lands_m: aimed.outcome.bounce_m,
            farther: farther(aimed, constants),
            rims_m_s: has_two.then(|| rims_m_s(settings.speed_m_s, wheel_spin(launcher, settings))),
            turned_head,
            whole_deg: beyond(settings.azimuth_deg),
        }
    }
}

/// Wheels carry the ball between them, so their rims run as fast as the ball's own two sides:
///
/// rim = v +- 2 pi r n
///
/// with the ball's speed v, its radius r and its spin n, topspin on the upper wheel.
pub(super) fn rims_m_s(speed_m_s: f64, spin_rev_s: f64) -> [f64; 2] {
    let own_m_s = std::f64::consts::TAU * BALL_RADIUS_M * spin_rev_s;
    [speed_m_s + own_m_s, speed_m_s - own_m_s]
}

/// Side spin without a dial or a wheel of its own is made by turning the head.
fn turned_head(launcher: &Launcher, settings: &Settings) -> Option<TurnedHead> {
    let has_dial = launcher.dials.iter().any(|dial| dial.sets == Control::SideSpin);
    let has_three = launcher.machine.as_ref().is_some_and(|own| own.wheels == Wheels::Three);
    (settings.side_rev_s.abs() >= 0.5 && !has_dial && !has_three).then(|| TurnedHead {
        deg: settings.side_rev_s.abs().atan2(settings.top_rev_s.abs()).to_degrees(),
        bends_left: settings.side_rev_s > 0.0,
    })
}

/// The spin between the wheels, rev/s, + topspin: a turned head shares it between top and side.
pub(super) fn wheel_spin(launcher: &Launcher, settings: &Settings) -> f64 {
    match turned_head(launcher, settings) {
        Some(_) => settings.top_rev_s.hypot(settings.side_rev_s).copysign(settings.top_rev_s),
        None => settings.top_rev_s,
    }
}

fn farther(aimed: &Aimed, constants: &Constants) -> Option<Farther> {
    let wanted_m = aimed.outcome.first_bounce_m?[0] + FARTHER_M;
    let flown = |higher_deg: f64, bounces| {
        let elevation_deg = aimed.launch.elevation_deg + higher_deg;
        let launch = Launch { elevation_deg, ..aimed.launch };
        follow(&launch.motion(), constants, Until { bounces, time_s: 6.0 }, STEP_S)
    };
    let (mut short, mut far) = (0.0, HIGHER_DEG);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(short, far);
        let is_far = flown(middle, 1).bounces.first().is_none_or(|first| first.x_m() > wanted_m);
        *(if is_far { &mut far } else { &mut short }) = middle;
    }
    let path = flown(far, aimed.throw.own_bounces() + 2);
    if let Some(fault) = path.fault(aimed.throw) {
        return Some(Farther::Fails(fault));
    }
    let lands = path.receiver_bounce(aimed.throw)?;
    Some(Farther::Moves(lands.x_m() - aimed.outcome.bounce_m[0]))
}
