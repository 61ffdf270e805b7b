//! What a path comes to, in the numbers a player asks for, and the same as a table for the solver.

use serde::Serialize;

use crate::flight::Launch;
use crate::flight::constants::Constants;
use crate::flight::legality::Throw;
use crate::flight::path::{COARSE_STEP_S, Path, Until, Watch, follow_for};
use crate::game::{Depth, NET_HEIGHT_M, NET_X_M};

use super::measure::{Band, MEASURES};
use super::request::Request;
use super::scatter::Share;

/// What one ball does, in metres and seconds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BallOutcome {
    /// First bounce of a service, x and y; none for a feed.
    pub first_bounce_m: Option<[f64; 2]>,
    /// Bounce on the receiver's half, x and y.
    pub bounce_m: [f64; 2],
    /// x of the bounce after that.
    pub next_bounce_x_m: f64,
    /// Depth.
    pub depth: Depth,
    /// Air over the net.
    pub net_clearance_m: f64,
    /// Highest point of the leg over the net.
    pub apex_m: f64,
    /// Release to the bounce on the receiver's half.
    pub release_to_bounce_s: f64,
    /// From bounce to bounce; none for a feed.
    pub bounce_to_bounce_s: Option<f64>,
    /// Release until the ball is over the receiver's end line, if it gets there.
    pub release_to_end_line_s: Option<f64>,
}

impl BallOutcome {
    /// Reads a path; none when it does not go over the net and on to two bounces.
    pub fn read_path(path: &Path, throw: Throw) -> Option<Self> {
        let own = path.own_bounce(throw);
        let bounce = path.receiver_bounce(throw)?;
        let next = path.next_bounce(throw)?;
        Some(Self {
            first_bounce_m: own.map(|b| [b.x_m(), b.y_m()]),
            bounce_m: [bounce.x_m(), bounce.y_m()],
            next_bounce_x_m: next.x_m(),
            depth: Depth::of_next_bounce(next.x_m()),
            net_clearance_m: path.net_clearance_m()?,
            apex_m: bounce.apex.map_or(bounce.before.position_m[2], |apex| apex.height_m),
            release_to_bounce_s: bounce.time_s,
            bounce_to_bounce_s: own.map(|b| bounce.time_s - b.time_s),
            release_to_end_line_s: path.end_line.map(|crossing| crossing.time_s),
        })
    }
}

/// One of the ways a ball can get somewhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// The flat push of real serves, or an ordinary feed.
    Flat,
    /// A high ball, late by a fifth of a second and more.
    Lob,
    /// Driven steeply into the table, so that it jumps up.
    Spike,
}

impl Family {
    /// The way a launch of this kind goes.
    pub fn of_launch(throw: Throw, elevation_deg: f64) -> Self {
        match Self::flat(throw).outside(elevation_deg) {
            0.0 => Self::Flat,
            over if over > 0.0 => Self::Lob,
            _ => Self::Spike,
        }
    }

    /// Elevations of a flat ball, degrees.
    pub const fn flat(throw: Throw) -> Band {
        Band::between(-32.0, if matches!(throw, Throw::Serve) { 8.0 } else { 38.0 })
    }
}

/// A launch that does what was asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aimed {
    /// How the ball has to leave.
    pub launch: Launch,
    /// Like a serve, or straight.
    pub throw: Throw,
    /// What it then does.
    pub outcome: BallOutcome,
    /// Which way it goes.
    pub family: Family,
    /// How many uneven throws stay legal and keep the depth.
    pub keeps: Share,
}

/// One number for each measure, defined wherever the ball comes down often enough.
pub(super) type Measured = [f64; MEASURES];

/// Flies a launch as coarsely as aiming needs and measures it; the highest point only if `watch`
/// sees it. None when it never comes down.
pub(super) fn measure(
    request: &Request,
    constants: &Constants,
    unknowns: [f64; 3],
    watch: Watch,
) -> Option<Measured> {
    let throw = request.throw;
    let launch = request.launch(unknowns);
    let until = Until { bounces: throw.own_bounces() + 2, time_s: 6.0 };
    let path = follow_for(&launch.motion(), constants, until, COARSE_STEP_S, watch);
    let bounce = path.receiver_bounce(throw)?;
    let next = path.next_bounce(throw)?;
    let first = path.own_bounce(throw).unwrap_or(bounce);
    let over_on_time = path.net.filter(|crossing| crossing.leg == throw.own_bounces() + 1);
    let clearance = match over_on_time {
        Some(crossing) => crossing.position_m[2] - NET_HEIGHT_M - path.radius_m,
        // A leg that ends before the net has no height there; the farther it falls short, the
        // lower it counts, so that the solver knows which way is better.
        None => -NET_HEIGHT_M - path.radius_m - 0.3 * (NET_X_M - bounce.x_m()).max(0.0),
    };
    let started_s = path.own_bounce(throw).map_or(0.0, |own| own.time_s);
    let apex_m = bounce.apex.map_or(request.outlet_m[2], |apex| apex.height_m);
    // In the order of the measures.
    Some([
        launch.speed_m_s,
        launch.elevation_deg,
        launch.azimuth_deg,
        first.x_m(),
        first.y_m(),
        bounce.x_m(),
        bounce.y_m(),
        next.x_m(),
        clearance,
        bounce.time_s,
        bounce.time_s - started_s,
        apex_m,
    ])
}
