//! Which way a side spin bends, from the server's hand and motion.
//!
//! `breaks` is the way the ball's path bends in the air *as the receiver sees it*. A right-hander's
//! pendulum brushes the back of the ball from the server's right to left; seen from above the ball
//! turns clockwise, and the side force (spin x velocity) pushes it to the server's right, which is
//! the receiver's left. The reverse motions and the backhand serve turn it the other way; a
//! left-hander mirrors all of them. Off a quiet bat the same spin throws the ball to the other
//! side.
//!
//! Source: the direction of the Magnus force (FIG. in any mechanics text); which motion brushes
//! which way is common practice, so what is filled in here is always offered for confirmation.

use crate::base::words;
use crate::game::{Hand, Motion};

words! {
    /// A side, as the receiver sees it.
    pub enum Side : "side" {
        /// The receiver's left.
        Left = "left" "left",
        /// The receiver's right.
        Right = "right" "right",
    }
}

impl Side {
    /// The other side.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// The way the usual side spin of this motion breaks, as the receiver sees it; none for motions
/// that can break either way.
pub fn usual_break(motion: &Motion, server: Hand) -> Option<Side> {
    let right_hander = match motion {
        Motion::Pendulum | Motion::ReverseTomahawk => Side::Left,
        Motion::ReversePendulum | Motion::Hook | Motion::Tomahawk | Motion::Backhand => Side::Right,
        Motion::Forehand | Motion::Shovel | Motion::Punch | Motion::Own(_) => return None,
    };
    Some(if server == Hand::Right { right_hander } else { right_hander.other() })
}

/// The side to which a ball that breaks to `breaks` leaves a quiet bat, as the receiver sees it.
pub const fn leaves_your_bat(breaks: Side) -> Side {
    breaks.other()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_right_handers_pendulum_breaks_to_the_receivers_left_and_leaves_the_bat_to_the_right() {
        let breaks = usual_break(&Motion::Pendulum, Hand::Right).unwrap();
        assert_eq!(breaks, Side::Left);
        assert_eq!(leaves_your_bat(breaks), Side::Right);
    }

    #[test]
    fn a_left_hander_mirrors_every_motion() {
        for &name in crate::game::MotionName::ALL {
            let motion = Motion::from_name(name);
            assert_eq!(
                usual_break(&motion, Hand::Left),
                usual_break(&motion, Hand::Right).map(Side::other),
                "{motion}"
            );
        }
    }
}
