//! A serve in words to a ball in numbers, and the flight of that ball from contact to bat.
//!
//! One table, all of it parameters of practice and none of it a promise: a scout's "medium
//! side-backspin, short, to the forehand" is a cloud of balls, and this takes its middle.
//!
//! | word | number | from |
//! |---|---|---|
//! | light, medium, heavy | 20, 35, 50 rev/s | 35 +- 13 measured; the steps are practice |
//! | backspin, topspin | all of it about the top axis, -, + | |
//! | sidespin | all of it about the upright axis | |
//! | side-backspin, side-topspin | 0.7 each | at 45 degrees, as brushed |
//! | corkscrew | all of it about the line of flight | |
//! | breaks right, left | side spin +, -; corkscrew -, + | the sign of swerve and of jump |
//! | from | contact 0.41 m behind the line, 0.22 m high | means of 182 measured services |
//! | from, when no ball does it | 0.10 m behind, 0.19 m high | the near end of the measured |
//! | lane | the receiver's bounce lies on the lane's middle | `game` |
//! | depth | the next bounce lies in the depth's band | `game` |
//! | fast | short 0.53, half-long 0.50, long 0.47 s to the bounce at most | 0.43-0.60 measured |
//! | fast and long | also first bounce within 0.40 m, landing in the last 0.35 m | practice |
//! | slow | short 0.55, half-long 0.53, long 0.51 s at least | as above |
//!
//! What nobody has seen is filled in by [`FullServe`]. The receiver is taken to meet the ball at
//! the top of its bounce, which gives the measured 0.67 +- 0.06 s from contact to bat.

use serde::Serialize;

use super::aim::{Band, Measure, Request, aim_first};
use super::constants::{Constants, END_LINE_X_M};
use super::full_serve::{FullServe, Supposed};
use super::launch::{Launch, SpinRate};
use super::legality::Throw;
use super::path::{Bounce, STEP_S, Sample, Until, follow_sampled};
use crate::game::{Depth, From, Hand, Pace, Serve, Side, Spin, Weight, lane_y_m, server_y_m};

/// Seconds from contact to bat when nothing better is known: the mean of 182 measured services
/// (0.67 +- 0.06).
pub const CONTACT_TO_BAT_S: f64 = 0.67;
/// How far behind the end line a serve is struck, metres: the mean of the same services.
pub const CONTACT_BEHIND_M: f64 = 0.41;
/// How high above the surface it is struck, metres: the mean of the same services.
pub const CONTACT_HEIGHT_M: f64 = 0.22;
/// Where a serve is struck that no ball from the usual place does: short and without backspin.
const CLOSER_BEHIND_M: f64 = 0.10;
/// How high that is; the lowest of the measured services were struck at 0.15 m.
const CLOSER_HEIGHT_M: f64 = 0.19;

/// Something about a serve that no ball from there does, and that was let go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LetGo {
    /// The pace.
    Pace,
    /// The low, early flight of real serves.
    LookOfAServe,
    /// The weight of the spin: half of it was flown.
    Weight,
    /// Everything but a plain serve.
    Everything,
}

/// The ball a serve's words describe, wherever it is struck from.
#[derive(Debug, Clone, PartialEq)]
pub struct ServeBall {
    /// Its spin.
    pub spin: SpinRate,
    /// y of the bounce on the receiver's half, metres.
    pub across_m: f64,
    /// Its depth.
    pub depth: Depth,
    /// Its pace; none when it does not matter.
    pub pace: Option<Pace>,
    /// What had to be supposed.
    pub supposed: Vec<Supposed>,
}

/// Turns a serve's words into a ball. `receiver` is who will receive it, `server` who serves.
pub fn ball_of(serve: &Serve, server: Hand, receiver: Hand) -> ServeBall {
    let full = FullServe::fill_in(serve, server);
    ServeBall {
        spin: spin_of(full.spin, rev_s_of(full.weight), full.breaks),
        across_m: lane_y_m(full.lane, receiver),
        depth: full.depth,
        pace: full.pace,
        supposed: full.supposed,
    }
}

/// Turns a second for the words of spin weight.
pub const fn rev_s_of(weight: Weight) -> f64 {
    match weight {
        Weight::Light => 20.0,
        Weight::Medium => 35.0,
        Weight::Heavy => 50.0,
        Weight::RevS(rev_s) => rev_s,
    }
}

/// The spin of a kind, so many turns a second; `breaks` matters for sideways kinds only.
pub fn spin_of(kind: Spin, rev_s: f64, breaks: Option<Side>) -> SpinRate {
    // + swerves to +y, the receiver's right; corkscrew jumps the other way off the table.
    let right = if breaks == Some(Side::Right) { 1.0 } else { -1.0 };
    let (top, side, gyro) = match kind {
        Spin::Backspin => (-1.0, 0.0, 0.0),
        Spin::Topspin => (1.0, 0.0, 0.0),
        Spin::Dead => (0.0, 0.0, 0.0),
        Spin::Sidespin => (0.0, right, 0.0),
        Spin::SideBackspin => (-0.7, 0.7 * right, 0.0),
        Spin::SideTopspin => (0.7, 0.7 * right, 0.0),
        Spin::Corkscrew => (0.0, 0.0, -right),
    };
    SpinRate { top_rev_s: top, side_rev_s: side, gyro_rev_s: gyro }.scaled(rev_s)
}

/// Adds the bands of a pace to a request: a serve is fast or slow for its depth.
pub fn at_its_pace(request: Request, depth: Depth, pace: Pace) -> Request {
    let (fast_s, slow_s) = match depth {
        Depth::Short => (0.53, 0.55),
        Depth::HalfLong => (0.50, 0.53),
        Depth::Long => (0.47, 0.51),
    };
    match pace {
        Pace::Fast => {
            let request = request.wish(Measure::ReleaseToBounce, Band::at_most(fast_s));
            if depth != Depth::Long {
                return request;
            }
            request
                .wish(Measure::FirstBounceX, Band::at_most(0.40))
                .wish(Measure::BounceX, Band::at_least(END_LINE_X_M - 0.35))
        }
        Pace::Slow => request.wish(Measure::ReleaseToBounce, Band::at_least(slow_s)),
        Pace::Medium => request,
    }
}

/// Where a serve is struck.
pub fn contact_of(from: Option<From>, server: Hand) -> [f64; 3] {
    let across = server_y_m(from.unwrap_or(From::BackhandCorner), server);
    [-CONTACT_BEHIND_M, across, CONTACT_HEIGHT_M]
}

/// The flight of a serve, from the server's contact on; the toss is not in it.
#[derive(Debug, Clone, PartialEq)]
pub struct ServeFlight {
    /// How the ball leaves the server's bat.
    pub launch: Launch,
    /// Points of its path, contact first, a little beyond the receiver's bat.
    pub samples: Vec<Sample>,
    /// Its bounces: own half, receiver's half, and the one that makes the depth.
    pub bounces: Vec<Bounce>,
    /// Seconds from contact to the receiver's bat, which meets it at the top of its bounce.
    pub contact_to_bat_s: f64,
    /// What had to be supposed.
    pub supposed: Vec<Supposed>,
    /// What no ball from there does.
    pub let_go: Vec<LetGo>,
}

/// Flies a serve. Always finds a ball: what is unknown is supposed, what is impossible is let go,
/// and the answer says both.
pub fn flight_of(
    serve: &Serve,
    server: Hand,
    receiver: Hand,
    constants: &Constants,
) -> ServeFlight {
    let ball = ball_of(serve, server, receiver);
    let contact = contact_of(serve.from, server);
    let (launch, let_go) = launch_of(&ball, contact, constants);
    let constants = constants.checked().unwrap_or_default();
    let until = Until { bounces: 3, time_s: 4.0 };
    let path = follow_sampled(&launch.motion(), &constants, until, STEP_S);
    let contact_to_bat_s = path
        .next_bounce(Throw::Serve)
        .and_then(|next| next.apex)
        .map_or(CONTACT_TO_BAT_S, |top| top.time_s);
    let mut samples = path.samples;
    samples.retain(|sample| sample.time_s <= contact_to_bat_s + 0.25);
    ServeFlight {
        launch,
        samples,
        bounces: path.bounces,
        contact_to_bat_s,
        supposed: ball.supposed,
        let_go,
    }
}

/// The launch of a ball, letting go of one thing after the other until one flies.
fn launch_of(ball: &ServeBall, contact: [f64; 3], constants: &Constants) -> (Launch, Vec<LetGo>) {
    let closer = [-CLOSER_BEHIND_M, contact[1], CLOSER_HEIGHT_M];
    let has_pace = matches!(ball.pace, Some(Pace::Fast | Pace::Slow));
    // From where, at its pace or at any, with how much of its spin.
    let mut tries = vec![(contact, true, 1.0), (closer, true, 1.0)];
    if has_pace {
        tries.extend([(contact, false, 1.0), (closer, false, 1.0)]);
    }
    tries.push((closer, false, 0.5));
    let requests = tries.iter().map(|&(from, is_paced, of_spin)| {
        let plain = Request::service(from, ball.spin.scaled(of_spin));
        let plain = plain.across(ball.across_m).depth(ball.depth);
        let pace = ball.pace.filter(|_| is_paced).unwrap_or(Pace::Medium);
        at_its_pace(plain, ball.depth, pace).like_a_serve()
    });
    if let Ok(first) = aim_first(&requests.collect::<Vec<_>>(), constants, 0) {
        let (_, is_paced, of_spin) = tries[first.place];
        let let_go = [
            (LetGo::Pace, has_pace && !is_paced),
            (LetGo::Weight, of_spin < 1.0),
            (LetGo::LookOfAServe, !first.looks_like_a_serve),
        ];
        let let_go = let_go.into_iter().filter_map(|(what, is_gone)| is_gone.then_some(what));
        return (first.aimed.launch, let_go.collect());
    }
    let azimuth_deg = (ball.across_m - contact[1]).atan2(2.0 - contact[0]).to_degrees();
    let plain = Launch {
        outlet_m: contact,
        speed_m_s: 6.6,
        elevation_deg: -11.0,
        azimuth_deg,
        spin: SpinRate::DEAD,
    };
    (plain, vec![LetGo::Everything])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn side_spin_to_the_receivers_right_is_positive_and_corkscrew_the_other_way() {
        assert!(
            spin_of(Spin::Sidespin, rev_s_of(Weight::Medium), Some(Side::Right)).side_rev_s > 0.0
        );
        assert!(
            spin_of(Spin::Corkscrew, rev_s_of(Weight::Medium), Some(Side::Right)).gyro_rev_s < 0.0
        );
        assert_eq!(
            spin_of(Spin::Topspin, rev_s_of(Weight::RevS(40.0)), Some(Side::Left)),
            SpinRate::top(40.0)
        );
        assert_eq!(spin_of(Spin::Dead, rev_s_of(Weight::Heavy), Some(Side::Left)), SpinRate::DEAD);
    }

    #[test]
    fn a_mixed_spin_turns_about_as_fast_as_its_weight_says() {
        let spin = spin_of(Spin::SideBackspin, rev_s_of(Weight::Heavy), Some(Side::Left));
        let total = spin.top_rev_s.hypot(spin.side_rev_s).hypot(spin.gyro_rev_s);
        assert!((total - 50.0).abs() < 1.0, "{total}");
    }
}
