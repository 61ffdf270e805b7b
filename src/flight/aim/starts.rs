//! Where the solver starts: a handful of plausible launches, each from a vacuum parabola.

use crate::flight::constants::{Constants, END_LINE_X_M};
use crate::flight::legality::Throw;
use crate::game::NET_X_M;

use super::measure::Measure;
use super::request::Request;

/// Elevations in degrees that throw a ball without air from height `h_m` to a point `d_m` ahead on
/// the table, the flatter one first:
///
/// ```text
/// 0 = h + d T - g d^2 (1 + T^2) / (2 v^2),   T = tan(elevation)
/// ```
///
/// Out of reach, both are 45 degrees.
fn elevations_deg(h_m: f64, d_m: f64, speed_m_s: f64, gravity: f64) -> [f64; 2] {
    let drop = gravity * d_m * d_m / (2.0 * speed_m_s * speed_m_s);
    let inside = d_m * d_m - 4.0 * drop * (drop - h_m);
    if inside < 0.0 || drop <= 0.0 {
        return [45.0, 45.0];
    }
    let root = inside.sqrt();
    [(d_m - root) / (2.0 * drop), (d_m + root) / (2.0 * drop)].map(|t| t.atan().to_degrees())
}

/// x of the first bounce, speed, and whether the steeper of the two elevations.
type Start = (f64, f64, bool);

/// Starting points as speed, elevation, azimuth.
pub(super) fn starts(request: &Request, constants: &Constants) -> Vec<[f64; 3]> {
    let [x, y, z] = request.outlet_m;
    let height = z - constants.ball.radius_m;
    let gravity = constants.air.gravity_m_s2;
    let aim_x = request.middle(Measure::BounceX).unwrap_or(2.0).max(x + 0.3);
    let aim_y = request.middle(Measure::BounceY).unwrap_or(0.0);
    let azimuth = (aim_y - y).atan2(aim_x - x).to_degrees();
    let (first_bounce, farthest, table): (Measure, f64, &[Start]) = match request.throw {
        Throw::Serve => (
            Measure::FirstBounceX,
            NET_X_M,
            &[
                (0.40, 5.6, false),
                (0.30, 7.5, false),
                (0.55, 6.5, false),
                (0.25, 9.5, false),
                (0.45, 4.2, false),
                (0.20, 5.5, false),
                (0.45, 3.5, true),
                (0.08, 5.0, false),
            ],
        ),
        Throw::Feed => (
            Measure::BounceX,
            END_LINE_X_M,
            &[
                (2.20, 6.5, false),
                (1.80, 5.2, false),
                (2.50, 9.0, false),
                (1.70, 5.6, true),
                (2.40, 6.0, true),
                (2.55, 14.0, false),
                (2.00, 4.6, false),
            ],
        ),
    };
    let start = |&(bounce_x, speed, steep): &Start| {
        let bounce_x = request.middle(first_bounce).unwrap_or(bounce_x);
        let ahead = (bounce_x.max(x + 0.2).min(farthest) - x).max(0.1);
        let speed = request.middle(Measure::Speed).unwrap_or(speed);
        let elevations = elevations_deg(height, ahead, speed, gravity);
        [speed, elevations[usize::from(steep)], azimuth]
    };
    table.iter().map(start).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_elevations_reach_the_point() {
        let (h, d, v, g): (f64, f64, f64, f64) = (0.18, 2.3, 6.0, 9.81);
        for elevation in elevations_deg(h, d, v, g) {
            let (sin, cos) = elevation.to_radians().sin_cos();
            let t = d / (v * cos);
            assert!((h + v * sin * t - 0.5 * g * t * t).abs() < 1e-9, "{elevation}");
        }
    }
}
