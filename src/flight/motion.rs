//! The ball in the air: its state, what accelerates it, and one Runge-Kutta step.
//!
//! Formula and constants: the flight equation of `constants.rs`; spin does not change in the air.
//! Bounces are in `bounce.rs`, finding them in `path.rs`.

use glam::DVec3;
use serde::Serialize;

use super::constants::Constants;

/// Where the ball is and how it moves: SI units, spin in rad/s, the frame of `launch.rs`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
pub struct BallMotion {
    /// Centre of the ball.
    pub position_m: [f64; 3],
    /// Velocity.
    pub velocity_m_s: [f64; 3],
    /// Spin vector.
    pub spin_rad_s: [f64; 3],
}

/// The part of the state that the air changes.
#[derive(Debug, Clone, Copy)]
pub(super) struct State {
    pub(super) r: DVec3,
    pub(super) v: DVec3,
}

/// The air around a ball of one spin, with everything constant worked out beforehand.
///
/// ```text
/// dv/dt = -g z - K C_D |v| v + K R |v| (w x v) / (a |v| + b R |w|)
///
/// |v| / (a |v| + B) = (a v^2 - B |v|) / (a^2 v^2 - B^2)      with B = b R |w|
/// ```
///
/// The second form divides while the root is still being drawn, and this is the innermost of all
/// loops. It is used where one of a |v| and B is more than twice the other, far from its own zero.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stream {
    gravity: f64,
    /// K `C_D`
    drag: f64,
    /// K R
    lift: f64,
    lift_a: f64,
    /// B = b R |w|
    lift_b: f64,
    /// a^2
    lift_aa: f64,
    /// B^2
    lift_bb: f64,
    w: DVec3,
}

impl Stream {
    pub(super) fn new(constants: &Constants, w: DVec3) -> Self {
        let k = constants.air_factor_per_m();
        let radius = constants.ball.radius_m;
        let (lift_a, lift_b) = (constants.air.lift_a, constants.air.lift_b * radius * w.length());
        Self {
            gravity: constants.air.gravity_m_s2,
            drag: k * constants.air.drag,
            lift: k * radius,
            lift_a,
            lift_b,
            lift_aa: lift_a * lift_a,
            lift_bb: lift_b * lift_b,
            w,
        }
    }

    /// Acceleration at velocity `v`.
    pub(super) fn acceleration(&self, v: DVec3) -> DVec3 {
        let square = v.length_squared();
        let speed = square.sqrt();
        let air = self.lift_aa * square;
        let below = air - self.lift_bb;
        let lift = if below > 3.0 * self.lift_bb || below < -3.0 * air {
            let inverse = self.lift / below;
            (self.lift_a * square - self.lift_b * speed) * inverse
        } else {
            self.slow_lift(speed)
        };
        let mut acceleration = lift * self.w.cross(v) - self.drag * speed * v;
        acceleration.z -= self.gravity;
        acceleration
    }

    /// K R |v| / (a |v| + B) as it stands; a resting ball without spin has no lift, the quotient
    /// would be 0 / 0.
    fn slow_lift(&self, speed: f64) -> f64 {
        let below = self.lift_a * speed + self.lift_b;
        if below > 0.0 { self.lift * speed / below } else { 0.0 }
    }

    /// One classical fourth-order Runge-Kutta step of `h` seconds.
    pub(super) fn step(&self, from: State, h: f64) -> State {
        let half = 0.5 * h;
        let a1 = self.acceleration(from.v);
        let v2 = from.v + half * a1;
        let a2 = self.acceleration(v2);
        let v3 = from.v + half * a2;
        let a3 = self.acceleration(v3);
        let v4 = from.v + h * a3;
        let a4 = self.acceleration(v4);
        let sixth = h / 6.0;
        State {
            r: from.r + sixth * (from.v + 2.0 * (v2 + v3) + v4),
            v: from.v + sixth * (a1 + 2.0 * (a2 + a3) + a4),
        }
    }
}

/// Acceleration of a moving, spinning ball, in m/s^2; `spin_rad_s` as in [`BallMotion`].
pub fn acceleration_m_s2(constants: &Constants, motion: &BallMotion) -> [f64; 3] {
    Stream::new(constants, DVec3::from_array(motion.spin_rad_s))
        .acceleration(DVec3::from_array(motion.velocity_m_s))
        .to_array()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_resting_ball_only_falls() {
        let rest =
            BallMotion { position_m: [0.0; 3], velocity_m_s: [0.0; 3], spin_rad_s: [0.0; 3] };
        assert_eq!(acceleration_m_s2(&Constants::default(), &rest), [0.0, 0.0, -9.81]);
        let turning = BallMotion { spin_rad_s: [0.0, 200.0, 0.0], ..rest };
        assert_eq!(acceleration_m_s2(&Constants::default(), &turning), [0.0, 0.0, -9.81]);
    }

    #[test]
    fn both_forms_of_the_lift_agree_where_one_gives_way_to_the_other() {
        let constants = Constants::default();
        let w = DVec3::new(0.0, 300.0, 0.0);
        let stream = Stream::new(&constants, w);
        let edge = stream.lift_b / stream.lift_a;
        for factor in [0.01, 0.499, 0.501, 0.999, 1.0, 1.001, 1.999, 2.001, 20.0] {
            let v = DVec3::new(factor * edge, 0.0, 0.0);
            let lift = (stream.acceleration(v).z + stream.gravity) / w.cross(v).z;
            let expected = stream.slow_lift(v.length());
            assert!((lift / expected - 1.0).abs() < 1e-12, "{factor}: {lift} {expected}");
        }
    }

    #[test]
    fn topspin_pulls_a_forward_ball_down_and_backspin_lifts_it() {
        let constants = Constants::default();
        let forward = |w_y| {
            let motion = BallMotion {
                position_m: [0.0; 3],
                velocity_m_s: [7.0, 0.0, 0.0],
                spin_rad_s: [0.0, w_y, 0.0],
            };
            acceleration_m_s2(&constants, &motion)[2] + 9.81
        };
        assert!(forward(200.0) < -3.0);
        assert!(forward(-200.0) > 3.0);
    }
}
