//! The table's measures and where lanes lie on it.
//!
//! Source: ITTF Laws of Table Tennis 2.1 (table), 2.2 (net), 2.3 (ball). Where the middle of a lane
//! lies is common practice.
//!
//! Frame: origin at the centre of the server's (or launcher's) end line, x towards the receiver, y
//! to the server's left, which is the receiver's right.

use crate::game::{Depth, From, Hand, Lane};

/// Length of the table, metres (ITTF 2.1.1).
pub const TABLE_LENGTH_M: f64 = 2.74;
/// Width of the table, metres (ITTF 2.1.1).
pub const TABLE_WIDTH_M: f64 = 1.525;
/// Height of the playing surface above the floor, metres (ITTF 2.1.1).
pub const TABLE_HEIGHT_M: f64 = 0.76;
/// The net's place along the table, metres.
pub const NET_X_M: f64 = TABLE_LENGTH_M / 2.0;
/// Height of the net above the surface, metres (ITTF 2.2.3).
pub const NET_HEIGHT_M: f64 = 0.1525;
/// Radius of the ball, metres (ITTF 2.3.2).
pub const BALL_RADIUS_M: f64 = 0.02;

/// Distance of the middle of each lane from the centre line, metres: forehand side positive for a
/// right-handed receiver, in the order of [`Lane::ALL`] (common practice). The elbow of somebody
/// who waits lies between the centre line and a hand's width on the backhand side.
const LANE_Y_M: [f64; 6] = [0.64, 0.40, 0.0, -0.40, -0.64, -0.05];

/// The y of a lane's middle, metres, for a ball received by a player of this hand at the far end.
///
/// The receiver's right is +y, so a right-hander's forehand is +y.
pub fn lane_y_m(lane: Lane, receiver: Hand) -> f64 {
    mirrored_for(receiver, LANE_Y_M[lane as usize])
}

/// The y where the server contacts the ball, metres. A right-hander's backhand corner is the
/// server's left, +y.
pub fn server_y_m(from: From, server: Hand) -> f64 {
    let right_handed = match from {
        From::BackhandCorner => 0.60,
        From::Middle => 0.0,
        From::ForehandCorner => -0.60,
    };
    mirrored_for(server, right_handed)
}

/// The y of a right-hander, or what it is for a left-hander.
fn mirrored_for(hand: Hand, right_handed_m: f64) -> f64 {
    if hand == Hand::Right { right_handed_m } else { -right_handed_m }
}

/// Range of x, metres, in which the *next* bounce of a half-long ball lies (on the infinite plane).
pub const fn half_long_m() -> (f64, f64) {
    (2.59, 2.89)
}

impl Depth {
    /// The depth of a ball whose second bounce would be at `next_bounce_x_m` on the infinite plane.
    pub fn of_next_bounce(next_bounce_x_m: f64) -> Self {
        let (short, long) = half_long_m();
        match next_bounce_x_m {
            x_m if x_m < short => Self::Short,
            x_m if x_m <= long => Self::HalfLong,
            _ => Self::Long,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hands_mirror_the_table() {
        assert!(lane_y_m(Lane::Forehand, Hand::Right) > 0.0);
        assert!(lane_y_m(Lane::Forehand, Hand::Left) < 0.0);
        for &lane in Lane::ALL {
            if lane != Lane::Elbow {
                let there = lane_y_m(lane, Hand::Left);
                assert!((there - lane_y_m(lane.mirrored(), Hand::Right)).abs() < 1e-12, "{lane}");
            }
        }
        assert!(server_y_m(From::BackhandCorner, Hand::Right) > 0.0);
        assert!(server_y_m(From::BackhandCorner, Hand::Left) < 0.0);
    }

    #[test]
    fn half_long_owns_both_its_edges_and_a_kick_back_is_short() {
        assert_eq!(Depth::of_next_bounce(2.5899), Depth::Short);
        assert_eq!(Depth::of_next_bounce(2.59), Depth::HalfLong);
        assert_eq!(Depth::of_next_bounce(2.89), Depth::HalfLong);
        assert_eq!(Depth::of_next_bounce(2.8901), Depth::Long);
        assert_eq!(Depth::of_next_bounce(1.2), Depth::Short);
    }
}
