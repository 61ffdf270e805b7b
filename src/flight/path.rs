//! The path of one ball from release over its bounces, with everything it crosses on the way.
//!
//! Integrated with RK4 and a fixed step. Where a step ends below the table (or beyond the net, an
//! edge, the top of an arc) the event is found by Newton on the length of that step, always
//! re-stepping from its start; with 5 ms the bounce points are good to 2e-9 m. Bounces happen on
//! the infinite plane of the table: whether they lie on it is judged in `legality.rs`.

use glam::DVec3;

use super::FlightError;
use super::bounce::{Contact, bounced};
use super::constants::{Constants, END_LINE_X_M};
use super::launch::Launch;
use super::motion::{BallMotion, State, Stream};
use crate::game::{NET_HEIGHT_M, NET_X_M};

/// Length of an integration step, in seconds.
pub const STEP_S: f64 = 0.005;
/// Step for searches: bounce points are still good to a few micrometres.
pub const COARSE_STEP_S: f64 = 0.02;

/// Where a path ends: after so many bounces or so many seconds, whichever comes first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Until {
    /// Bounces to follow, the last one included; at most 20 are.
    pub bounces: usize,
    /// Seconds to follow; at most 10 are.
    pub time_s: f64,
}

impl Default for Until {
    fn default() -> Self {
        Self { bounces: 3, time_s: 5.0 }
    }
}

/// The highest point between two bounces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apex {
    /// Seconds since release.
    pub time_s: f64,
    /// Height of the ball's centre above the surface.
    pub height_m: f64,
}

/// One bounce.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounce {
    /// Seconds since release.
    pub time_s: f64,
    /// The ball arriving.
    pub before: BallMotion,
    /// The ball leaving.
    pub after: BallMotion,
    /// Whether it slid or gripped.
    pub contact: Contact,
    /// Top of the leg that ended here; none when the ball only fell.
    pub apex: Option<Apex>,
}

impl Bounce {
    /// x of the bounce in metres.
    pub fn x_m(&self) -> f64 {
        self.before.position_m[0]
    }

    /// y of the bounce in metres.
    pub fn y_m(&self) -> f64 {
        self.before.position_m[1]
    }
}

/// Where the ball passed a line for the first time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Seconds since release.
    pub time_s: f64,
    /// 1 before the first bounce, 2 before the second, and so on.
    pub leg: usize,
    /// Centre of the ball.
    pub position_m: [f64; 3],
}

/// A point of the path, for pictures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Seconds since release.
    pub time_s: f64,
    /// Centre of the ball.
    pub position_m: [f64; 3],
}

/// A ball followed from release.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// The bounces in order.
    pub bounces: Vec<Bounce>,
    /// First time over the net's plane towards the receiver.
    pub net: Option<Crossing>,
    /// First time over the receiver's end line.
    pub end_line: Option<Crossing>,
    /// The points in between, one a step and one a bounce; empty unless asked for.
    pub samples: Vec<Sample>,
    /// Radius of the ball that flew.
    pub radius_m: f64,
}

impl Path {
    /// Air between the ball and the net's edge where it crossed, in metres; below zero it hit.
    pub fn net_clearance_m(&self) -> Option<f64> {
        self.net.map(|crossing| crossing.position_m[2] - NET_HEIGHT_M - self.radius_m)
    }
}

/// Flies a launch and keeps the points in between.
///
/// # Errors
/// [`FlightError::OutOfBounds`] when a number of the launch or of the constants is impossible.
pub fn fly(launch: &Launch, constants: &Constants, until: Until) -> Result<Path, FlightError> {
    let motion = launch.checked()?.motion();
    let constants = constants.checked()?;
    Ok(follow_sampled(&motion, &constants, until, STEP_S))
}

/// Follows a ball from any motion, for example from one measured after a bounce; the points in
/// between are kept. `step_s` is [`STEP_S`] except when the integration itself is examined; it is
/// kept between 0.1 and 50 ms.
pub fn follow_sampled(
    start: &BallMotion,
    constants: &Constants,
    until: Until,
    step_s: f64,
) -> Path {
    let mut samples = Vec::with_capacity(256);
    samples.push(Sample { time_s: 0.0, position_m: start.position_m });
    let mut path = trace(start, constants, until, step_s, Watch::Everything, |time_s, r| {
        samples.push(Sample { time_s, position_m: r.to_array() });
    });
    path.samples = samples;
    path
}

/// [`follow_sampled`] without the points in between.
pub fn follow(start: &BallMotion, constants: &Constants, until: Until, step_s: f64) -> Path {
    trace(start, constants, until, step_s, Watch::Everything, |_, _| {})
}

/// What to find on the way besides the bounces and the net.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Watch {
    /// Nothing: enough for depth and legality.
    BouncesAndNet,
    /// The tops of the legs.
    Tops,
    /// Tops and the end line.
    Everything,
}

/// [`follow`] that leaves out what nobody will read: what aiming calls a thousand times.
pub(super) fn follow_for(
    start: &BallMotion,
    constants: &Constants,
    until: Until,
    step_s: f64,
    watch: Watch,
) -> Path {
    trace(start, constants, until, step_s, watch, |_, _| {})
}

fn trace(
    start: &BallMotion,
    constants: &Constants,
    until: Until,
    step_s: f64,
    watch: Watch,
    mut visit: impl FnMut(f64, DVec3),
) -> Path {
    let radius_m = constants.ball.radius_m;
    let step_s = step_s.clamp(1e-4, 0.05);
    let until = Until { bounces: until.bounces.min(20), time_s: until.time_s.clamp(0.0, 10.0) };
    let bounces = Vec::with_capacity(until.bounces);
    let mut path = Path { bounces, net: None, end_line: None, samples: Vec::new(), radius_m };
    let (mut now, mut spin_rad_s) = (State::read(start), start.spin_rad_s);
    let mut stream = Stream::new(constants, DVec3::from_array(spin_rad_s));
    let mut time_s = 0.0;
    let mut apex = None;
    while path.bounces.len() < until.bounces && time_s < until.time_s {
        let mut h = step_s.min(until.time_s - time_s);
        let mut next = stream.step(now, h);
        let bounces = next.r.z < radius_m && next.v.z < 0.0;
        if bounces {
            (h, next) = stream.reach(now, next, h, |s| (s.r.z - radius_m, s.v.z));
        }
        let leg = path.bounces.len() + 1;
        let first_over = |already: Option<Crossing>, x_m: f64| {
            if already.is_some() || now.r.x >= x_m || next.r.x < x_m {
                return already;
            }
            let (part, at) = stream.reach(now, next, h, |s| (s.r.x - x_m, s.v.x));
            Some(Crossing { time_s: time_s + part, leg, position_m: at.r.to_array() })
        };
        path.net = first_over(path.net, NET_X_M);
        if watch == Watch::Everything {
            path.end_line = first_over(path.end_line, END_LINE_X_M);
        }
        if watch != Watch::BouncesAndNet && now.v.z > 0.0 && next.v.z <= 0.0 {
            let (part, at) = stream.reach(now, next, h, |s| (s.v.z, stream.acceleration(s.v).z));
            apex = Some(Apex { time_s: time_s + part, height_m: at.r.z });
        }
        time_s += h;
        visit(time_s, next.r);
        now = next;
        if bounces {
            let (position_m, velocity_m_s) = (now.r.to_array(), now.v.to_array());
            let before = BallMotion { position_m, velocity_m_s, spin_rad_s };
            let (after, contact) = bounced(constants, &before);
            (now, spin_rad_s) = (State::read(&after), after.spin_rad_s);
            stream = Stream::new(constants, DVec3::from_array(spin_rad_s));
            path.bounces.push(Bounce { time_s, before, after, contact, apex: apex.take() });
        }
    }
    path
}

impl State {
    const fn read(motion: &BallMotion) -> Self {
        Self { r: DVec3::from_array(motion.position_m), v: DVec3::from_array(motion.velocity_m_s) }
    }
}

impl Stream {
    /// The part of a step of `h` seconds from `from` to `end` after which `of` (a value and its
    /// rate) is zero, and the state there. The caller has seen the sign change.
    ///
    /// A cubic through both ends (Hermite) says where to look; Newton, always stepping again from
    /// the start, settles it.
    fn reach(
        &self,
        from: State,
        end: State,
        h: f64,
        of: impl Fn(&State) -> (f64, f64),
    ) -> (f64, State) {
        let mut part = h * cubic_root(of(&from), of(&end), h);
        let mut at = self.step(from, part);
        for _ in 0..12 {
            let (value, rate) = of(&at);
            // A ball that just grazes has no rate to divide by; the cubic's word is as good.
            if value.abs() < 1e-13 || rate == 0.0 {
                break;
            }
            let moved = (part - value / rate).clamp(0.0, h);
            if (moved - part).abs() < 1e-15 {
                break;
            }
            part = moved;
            at = self.step(from, part);
        }
        (part, at)
    }
}

/// Where between 0 and 1 the cubic with these values and rates at both ends of `h` seconds is zero,
/// by Newton from the chord; the end when it is nowhere.
///
/// ```text
/// f(u) = y0 + u (h y0' + u (3 (y1 - y0) - 2 h y0' - h y1' + u (2 (y0 - y1) + h y0' + h y1')))
/// ```
fn cubic_root((y0, rate0): (f64, f64), (y1, rate1): (f64, f64), h: f64) -> f64 {
    if y0 * y1 >= 0.0 {
        return 1.0;
    }
    let (d0, d1) = (h * rate0, h * rate1);
    let square = 3.0 * (y1 - y0) - 2.0 * d0 - d1;
    let cube = 2.0 * (y0 - y1) + d0 + d1;
    let mut u = y0 / (y0 - y1);
    for _ in 0..4 {
        let value = y0 + u * (d0 + u * (square + u * cube));
        let slope = d0 + u * (2.0 * square + 3.0 * u * cube);
        let moved = (u - value / slope).clamp(0.0, 1.0);
        if !moved.is_finite() {
            return 1.0;
        }
        u = moved;
    }
    u
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_that_rests_on_the_table_ends_after_the_bounces_asked_for() {
        let rest = BallMotion {
            position_m: [0.5, 0.0, 0.02],
            velocity_m_s: [0.0, 0.0, -0.001],
            spin_rad_s: [0.0; 3],
        };
        let path =
            follow(&rest, &Constants::default(), Until { bounces: 20, time_s: 10.0 }, STEP_S);
        assert_eq!(path.bounces.len(), 20);
        assert!(path.bounces.iter().all(|b| b.time_s < 0.01));
    }

    #[test]
    fn the_points_for_pictures_start_at_the_outlet_and_touch_every_bounce() {
        let launch = Launch {
            outlet_m: [-0.1, 0.0, 0.2],
            speed_m_s: 5.3,
            elevation_deg: -16.0,
            azimuth_deg: 0.0,
            spin: super::super::launch::SpinRate::top(-40.0),
        };
        let path = fly(&launch, &Constants::default(), Until::default()).unwrap();
        assert_eq!(path.samples[0].position_m, launch.outlet_m);
        for bounce in &path.bounces {
            assert!(path.samples.iter().any(|s| s.position_m == bounce.before.position_m));
        }
        assert!(path.samples.windows(2).all(|two| two[0].time_s < two[1].time_s));
    }
}
