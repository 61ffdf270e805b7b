//! How each stroke is swung, and where it sends the ball.
//!
//! # Source
//! Bat speed, swing, face, height over the net and depth of short push, long push, flat flick, spin
//! flick, drive and spin loop: quartiles inferred from 375 receives of services in matches
//! (`github.com/SonyResearch/ace_public`). Block, bump and chop, the two ways to loop, and how long
//! a swing is: guesses of common practice. Banana and reverse flick are a spin flick, the sidespin
//! push is a push: what they brush sideways is not in it.

use crate::flight::bat::{BatAt, BatSwing};
use crate::game::{Depth, Receive, Stroke, Timing, WeightName};

/// A stroke as it is swung at a ball.
#[derive(Debug, Clone, Copy)]
pub(super) struct StrokeSwing {
    pub swing: BatSwing,
    pub timing: Timing,
    /// It wants the room behind the end line.
    pub behind_line: bool,
    pub beyond_net_m: f64,
}

const fn way(bat_m_s: f64, up_deg: f64, open_deg: f64) -> BatAt {
    BatAt { bat_m_s, up_deg, open_deg, aside_deg: 0.0 }
}

/// How a receive is swung.
pub(super) fn swing_of(receive: &Receive) -> StrokeSwing {
    use Stroke as S;
    let is_short = receive.to.depth == Some(Depth::Short);
    let ways = match receive.stroke {
        S::Touch => [way(2.6, -13.0, 38.0), way(2.2, 0.0, 38.0), way(1.4, -6.0, 32.0)],
        S::Push | S::SidespinPush => match receive.weight {
            // Brushed thinner and faster, or thicker and slower.
            Some(WeightName::Heavy) => {
                [way(4.4, -14.0, 45.0), way(3.7, -14.0, 36.0), way(4.4, -14.0, 54.0)]
            }
            Some(WeightName::Light) => {
                [way(3.2, -8.0, 17.0), way(2.6, -8.0, 17.0), way(3.2, -12.0, 26.0)]
            }
            _ if is_short => [way(2.6, -13.0, 38.0), way(2.2, 0.0, 38.0), way(2.0, -8.0, 28.0)],
            _ => [way(3.7, -14.0, 36.0), way(3.2, -14.0, 36.0), way(4.4, -14.0, 36.0)],
        },
        S::Flick => [way(4.1, 6.0, -12.0), way(3.7, 13.0, -10.0), way(4.8, 2.0, -14.0)],
        S::BananaFlick | S::ReverseFlick => {
            [way(9.4, 33.0, -24.0), way(7.6, 35.0, -18.0), way(6.5, 24.0, -18.0)]
        }
        // Steeper where the ball has to be lifted.
        S::SlowLoop => [way(8.0, 55.0, -5.0), way(10.0, 32.0, -22.0), way(9.0, 55.0, -15.0)],
        S::FastLoop => [way(14.6, 30.0, -26.0), way(11.0, 48.0, -12.0), way(13.0, 40.0, -24.0)],
        S::Drive => [way(5.7, 24.0, -14.0), way(4.3, 30.0, -13.0), way(7.5, 21.0, -17.0)],
        S::Block => [way(1.2, 0.0, -10.0), way(0.6, 0.0, -10.0), way(2.0, 0.0, -10.0)],
        S::Chop => [way(6.0, -35.0, 25.0), way(5.0, -35.0, 25.0), way(7.5, -35.0, 25.0)],
        S::Bump => [way(1.5, 10.0, 0.0), way(1.0, 10.0, 0.0), way(2.2, 10.0, 0.0)],
    };
    // Does the whole stroke turn; how long it is; when; where it lands.
    let (turns_whole, length_m, timing, beyond_net_m) = match receive.stroke {
        S::Touch => (true, 0.2, Timing::Early, 0.64),
        S::Push | S::SidespinPush => (true, 0.2, Timing::Top, 0.95),
        S::Flick => (false, 0.15, Timing::Top, 0.95),
        S::BananaFlick | S::ReverseFlick => (false, 0.15, Timing::Top, 1.03),
        S::SlowLoop | S::FastLoop => (false, 0.8, Timing::Top, 1.06),
        S::Drive => (false, 0.55, Timing::Top, 1.03),
        S::Block => (false, 0.1, Timing::Early, 1.0),
        S::Chop => (true, 0.4, Timing::Late, 1.0),
        S::Bump => (false, 0.2, Timing::Top, 0.95),
    };
    StrokeSwing {
        swing: BatSwing { ways, turns_whole, length_m },
        timing: receive.timing.unwrap_or(timing),
        behind_line: matches!(receive.stroke, S::SlowLoop | S::FastLoop | S::Chop),
        beyond_net_m: if is_short { 0.64 } else { beyond_net_m },
    }
}
