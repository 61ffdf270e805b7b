//! How somebody who serves with one hand stands in for an opponent with the other.
//!
//! A mirrored body makes a mirrored ball, so the stand-in takes the other corner and, for side
//! spin, a motion whose spin bends the same way. The ball is then right and the look is not: the
//! answer can be trained so, the reading cannot, and the sheet says it.

use crate::game::{From, Hand, Motion, MotionName, Serve, Side, usual_break};

/// What a stand-in does for one serve.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct StandIn {
    /// Where to contact the ball, in the stand-in's own corners.
    pub from: From,
    /// Motions to use, the most natural first; empty when any will do.
    pub motions: Vec<MotionName>,
    /// False when the motion is another one than the opponent's.
    pub looks_right: bool,
}

/// How a server of hand `own` stands in for `opponent` in this serve.
pub fn stand_in(serve: &Serve, opponent: Hand, own: Hand) -> StandIn {
    let from = serve.from.unwrap_or(From::BackhandCorner);
    let named = serve.motion.as_ref().and_then(Motion::name);
    if own == opponent {
        return StandIn { from, motions: named.into_iter().collect(), looks_right: true };
    }
    let from = match from {
        From::BackhandCorner => From::ForehandCorner,
        From::Middle => From::Middle,
        From::ForehandCorner => From::BackhandCorner,
    };
    let motions = match serve.breaks_for(Some(opponent)) {
        Some(side) => bending(side, own),
        None => named.into_iter().collect(),
    };
    StandIn { from, motions, looks_right: false }
}

/// Motions whose usual side spin bends to `side` from this hand.
fn bending(side: Side, own: Hand) -> Vec<MotionName> {
    const NATURAL: [MotionName; 6] = [
        MotionName::Pendulum,
        MotionName::ReversePendulum,
        MotionName::Backhand,
        MotionName::Tomahawk,
        MotionName::Hook,
        MotionName::ReverseTomahawk,
    ];
    NATURAL
        .into_iter()
        .filter(|&name| usual_break(&Motion::from_name(name), own) == Some(side))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::Spin;

    fn pendulum(spin: Spin) -> Serve {
        let mut serve = Serve::unknown("a".parse().unwrap());
        serve.motion = Some(Motion::Pendulum);
        serve.spin = Some(spin);
        serve
    }

    #[test]
    fn a_right_hander_bends_the_ball_as_the_left_hander_does() {
        let serve = pendulum(Spin::SideBackspin);
        let there = stand_in(&serve, Hand::Left, Hand::Right);
        assert_eq!(there.from, From::ForehandCorner);
        assert!(!there.looks_right);
        assert!(!there.motions.contains(&MotionName::Pendulum));
        for name in &there.motions {
            assert_eq!(
                usual_break(&Motion::from_name(*name), Hand::Right),
                serve.breaks_for(Some(Hand::Left)),
                "{name}"
            );
        }
        assert_eq!(there.motions[0], MotionName::ReversePendulum);
    }

    #[test]
    fn the_same_hand_keeps_corner_and_motion_and_without_side_spin_only_the_corner_changes() {
        let same = stand_in(&pendulum(Spin::SideBackspin), Hand::Right, Hand::Right);
        assert_eq!((same.from, same.looks_right), (From::BackhandCorner, true));
        let plain = stand_in(&pendulum(Spin::Backspin), Hand::Left, Hand::Right);
        assert_eq!(plain.motions, [MotionName::Pendulum]);
        assert_eq!(plain.from, From::ForehandCorner);
    }
}
