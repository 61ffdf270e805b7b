//! The impact of a ball on a bat: a thin-shelled ball on a face that gives back part of the slip.
//!
//! ```text
//! g = (v - V).n                     below 0, else there is no contact
//! u = (v - V) - g n - R (w x n)     slip of the contact point, s = |u|
//! e = (e0 - e1 |g| - q) / (1 + q)
//! alpha = min(alpha0 + alpha1 s, mu (1 + e) |g| / s)
//! v' = v - (1 + e) g n - alpha u
//! w' = w + 1.5 (alpha / R) n x u
//! ```
//!
//! n points from the bat to the ball. The table's bounce is the same law with alpha at most 2/5.
//!
//! # Source
//! Coverings: about 8,200 bounces on ten bats (`github.com/gossardt/tt_rackets`, arXiv 2604.11349).
//! Where the friction limit lies and the recoil of a held bat are guesses: matches show a limit
//! of 1 at least on inverted.

use glam::DVec3;

use crate::flight::motion::BallMotion;
use crate::game::Covering;

/// Slip and closing speed up to which bounces were measured, m/s.
const MEASURED_SLIP_M_S: f64 = 15.0;
const MEASURED_CLOSING_M_S: f64 = 11.0;
/// Share of the ball's speed that the bat takes on, held in a hand: a guess.
const RECOIL: f64 = 0.03;
/// The friction limit where none was measured: a guess.
const FRICTION: f64 = 1.2;

/// How a face gives the ball back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatLaw {
    /// Restitution at no speed.
    pub e0: f64,
    /// What it loses for every m/s of closing speed.
    pub e1_s_m: f64,
    /// Share of the slip taken out, at no slip; 2/5 leaves none, more turns it round.
    pub alpha0: f64,
    /// What it gains for every m/s of slip.
    pub alpha1_s_m: f64,
    /// Friction limit: sideways impulse over the impulse at a right angle to the face.
    pub mu: f64,
    /// Share of the ball's speed the bat takes on.
    pub recoil: f64,
}

/// A ball right after it was hit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    pub after: BallMotion,
    /// Slip of the contact point on the face, m/s.
    pub slip_m_s: f64,
    /// Speed at a right angle to the face, m/s.
    pub closing_m_s: f64,
    /// Share of the slip taken out.
    pub alpha: f64,
    /// False where friction ran out.
    pub grips: bool,
    /// Sideways impulse over the impulse at a right angle to the face.
    pub brush: f64,
}

impl BatLaw {
    /// The law of a covering, on an all-round blade held in a hand.
    pub const fn from_covering(covering: Covering) -> Self {
        let [e0, e1_s_m, alpha0, alpha1_s_m, mu] = match covering {
            Covering::Inverted => [0.8844, 0.019_23, 0.7256, -0.007_74, FRICTION],
            Covering::ShortPimples => [0.8662, 0.016_31, 0.7288, -0.008_13, FRICTION],
            Covering::MediumPimples => [0.7722, 0.013_81, 0.5538, -0.007_63, FRICTION],
            // With 1.2 mm of sponge; without any they turn still more round.
            Covering::LongPimples => [0.7488, 0.007_34, 0.2075, 0.020_76, FRICTION],
            Covering::Anti => [0.5358, 0.0005, 0.40, 0.0, 0.189],
        };
        Self { e0, e1_s_m, alpha0, alpha1_s_m, mu, recoil: RECOIL }
    }

    /// The ball after it met a face with this outward normal (unit length) that moves with
    /// `bat_m_s`; none when the ball leaves the bat already.
    pub fn hit(
        &self,
        radius_m: f64,
        ball: &BallMotion,
        normal: [f64; 3],
        bat_m_s: [f64; 3],
    ) -> Option<Hit> {
        let n = DVec3::from_array(normal);
        let v = DVec3::from_array(ball.velocity_m_s);
        let w = DVec3::from_array(ball.spin_rad_s);
        let against = v - DVec3::from_array(bat_m_s);
        let g = against.dot(n);
        if g >= 0.0 {
            return None;
        }
        let u = against - g * n - radius_m * w.cross(n);
        let (slip, closing) = (u.length(), -g);
        let e = (self.e0 - self.e1_s_m * closing.min(MEASURED_CLOSING_M_S) - self.recoil)
            / (1.0 + self.recoil);
        let sticking = self.alpha0 + self.alpha1_s_m * slip.min(MEASURED_SLIP_M_S);
        let most = self.mu * (1.0 + e) * closing;
        // Compared as products, so that no slip at all is not 0 / 0.
        let grips = sticking * slip <= most;
        let alpha = if grips { sticking } else { most / slip };
        let after = BallMotion {
            position_m: ball.position_m,
            velocity_m_s: (v - (1.0 + e) * g * n - alpha * u).to_array(),
            spin_rad_s: (w + 1.5 * alpha / radius_m * n.cross(u)).to_array(),
        };
        let brush = alpha * slip / ((1.0 + e) * closing);
        Some(Hit { after, slip_m_s: slip, closing_m_s: closing, alpha, grips, brush })
    }
}
