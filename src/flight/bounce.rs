//! The bounce on the table: a thin-shelled ball (I = 2/3 m R^2) that slides or grips.
//!
//! ```text
//! u      = (v_x - R w_y, v_y + R w_x)                 slip of the contact point
//! alpha  = min(mu (1 + e) |v_z| / |u|, 2/5)           slide, or grip at 2/5
//! v_xy  -= alpha u          v_z -> -e v_z
//! w_x   -= 3/2 alpha u_y / R      w_y += 3/2 alpha u_x / R
//! ```
//!
//! # Source
//! Nakashima et al. 2010, with the thin-shell moment of inertia.

use serde::Serialize;

use super::constants::Constants;
use super::motion::BallMotion;

/// How the ball met the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Contact {
    /// Friction ran out before the slip did.
    Slide,
    /// The slip ended: the ball leaves rolling.
    Roll,
}

/// The motion right after a bounce; the position stays.
pub fn bounced(constants: &Constants, before: &BallMotion) -> (BallMotion, Contact) {
    let [v_x, v_y, v_z] = before.velocity_m_s;
    let [w_x, w_y, w_z] = before.spin_rad_s;
    let radius = constants.ball.radius_m;
    let e = constants.surface.restitution;
    let (u_x, u_y) = (v_x - radius * w_y, v_y + radius * w_x);
    let slip = u_x.hypot(u_y);
    let most = constants.surface.friction * (1.0 + e) * v_z.abs();
    // Compared as a product, so that no slip at all is a roll and not 0 / 0.
    let (alpha, contact) =
        if most < 0.4 * slip { (most / slip, Contact::Slide) } else { (0.4, Contact::Roll) };
    let turn = 1.5 * alpha / radius;
    let after = BallMotion {
        position_m: before.position_m,
        velocity_m_s: [v_x - alpha * u_x, v_y - alpha * u_y, -e * v_z],
        spin_rad_s: [w_x - turn * u_y, w_y + turn * u_x, w_z],
    };
    (after, contact)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::constants::tests::worked_out_on;

    #[test]
    fn a_ball_that_does_not_slip_keeps_its_spin() {
        let constants = worked_out_on();
        let rolling = BallMotion {
            position_m: [0.0; 3],
            velocity_m_s: [2.0, 0.0, -2.0],
            spin_rad_s: [0.0, 100.0, 0.0],
        };
        let (after, contact) = bounced(&constants, &rolling);
        assert_eq!(contact, Contact::Roll);
        assert_eq!(after.spin_rad_s, [0.0, 100.0, 0.0]);
        assert_eq!(after.velocity_m_s, [2.0, 0.0, 1.86]);
    }
}
