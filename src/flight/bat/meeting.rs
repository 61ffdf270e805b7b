//! Where a serve meets the bat: on the rise, at the top of its bounce, or late.

use glam::DVec3;

use crate::flight::constants::{Constants, END_LINE_X_M};
use crate::flight::motion::{BallMotion, State, Stream};
use crate::game::Timing;

/// A step along the way to the bat, seconds.
const STEP_S: f64 = 0.002;
/// How far of its bounce a ball has risen when it is taken on the rise.
const RISEN: f64 = 0.9;
/// How far of it a ball taken late still stands above the table.
const FALLEN: f64 = 0.75;
/// How low a ball may be when it comes off the end of the table, metres.
const LOWEST_M: f64 = -0.15;

/// The ball where it meets the bat after its bounce on the receiver's half; `behind_line` for a
/// swing that needs the room behind the table.
pub fn point_of(
    bounced: &BallMotion,
    constants: &Constants,
    timing: Timing,
    behind_line: bool,
) -> BallMotion {
    let spin_rad_s = bounced.spin_rad_s;
    let stream = Stream::new(constants, DVec3::from_array(spin_rad_s));
    let mut now = State {
        r: DVec3::from_array(bounced.position_m),
        v: DVec3::from_array(bounced.velocity_m_s),
    };
    let low = bounced.position_m[2];
    // The top first: the others are parts of it.
    let mut rising = vec![now];
    while now.v.z > 0.0 {
        now = stream.step(now, STEP_S);
        rising.push(now);
    }
    let top_m = now.r.z;
    let risen = |part: f64| low + part * (top_m - low);
    if timing == Timing::Early {
        if let Some(at) = rising.iter().find(|at| at.r.z >= risen(RISEN)) {
            now = *at;
        }
    } else if timing == Timing::Late {
        while now.r.z > risen(FALLEN) {
            now = stream.step(now, STEP_S);
        }
    }
    if behind_line {
        while now.r.x < END_LINE_X_M && now.r.z > LOWEST_M && now.v.x > 0.0 {
            now = stream.step(now, STEP_S);
        }
    }
    BallMotion { position_m: now.r.to_array(), velocity_m_s: now.v.to_array(), spin_rad_s }
}
