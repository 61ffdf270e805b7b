//! The window: from the server's contact to the decision, and the time the keys take.
//!
//! window = (flight to the bat - the body's time) x tempo + key time. Flight to the bat: measured
//! services of seven strong players took 0.67 s (spread 0.06 s) from contact to receive; a serve
//! with a computed flight brings its own. The body needs 0.30 s for its stroke, 0.35 s when it
//! has to step in (parameters, common practice). Key time is what this player needs to find one
//! of n keys when there is nothing to remember, a + b log2 n (Hick 1952; Hyman 1953), so that a
//! window asks about memory and not about typing.

use serde::{Deserialize, Serialize};

use crate::game::{Depth, Serve};
use crate::journal::Answer;

/// Contact to bat when nothing better is known, milliseconds.
pub const FLIGHT_MS: u32 = 670;
/// What the body needs, milliseconds.
pub const BODY_MS: u32 = 300;
/// What it needs when it has to step in, milliseconds.
pub const BODY_STEPPING_IN_MS: u32 = 350;
/// The least a decision is given at match speed, milliseconds.
pub const LEAST_DECISION_MS: u32 = 100;
/// The window of a shadow stroke, milliseconds: turned to, stepped and swung without a ball.
pub const SHADOW_MS: u32 = 2500;

/// What the body needs against this serve, milliseconds: short ones have to be stepped in to.
pub fn body_ms(serve: &Serve) -> u32 {
    if serve.depth == Some(Depth::Short) { BODY_STEPPING_IN_MS } else { BODY_MS }
}

/// The time a match leaves for the decision, milliseconds.
pub fn decision_ms(flight_ms: u32, body_ms: u32) -> u32 {
    flight_ms.saturating_sub(body_ms).max(LEAST_DECISION_MS)
}

/// The window at a tempo, milliseconds.
pub fn window_ms(decision_ms: u32, tempo_permille: u32, key_ms: u32) -> u32 {
    (decision_ms * tempo_permille + 500) / 1000 + key_ms
}

/// The tempo at which a window was given, thousandths of match speed.
pub fn tempo_permille(window_ms: u32, decision_ms: u32, key_ms: u32) -> Option<u32> {
    let (thinking, decision_ms) =
        (u64::from(window_ms.checked_sub(key_ms)?), u64::from(decision_ms));
    u32::try_from((thinking * 1000 + decision_ms / 2).checked_div(decision_ms)?).ok()
}

/// The tempo at which an answer was asked: as written down, else by a usual flight.
pub fn answered_permille(answer: &Answer) -> Option<u32> {
    let usual = || tempo_permille(answer.window, decision_ms(FLIGHT_MS, BODY_MS), answer.motor);
    Some(answer.tempo).filter(|&tempo| tempo > 0).or_else(usual)
}

/// How long this player needs to find one key of n: a + b log2 n, milliseconds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct KeyTime {
    /// To see and press with no choice, milliseconds.
    pub a_ms: f64,
    /// More for each doubling of the keys, milliseconds.
    pub b_ms: f64,
}

impl Default for KeyTime {
    /// An ordinary pair of hands that was never measured (common practice).
    fn default() -> Self {
        Self { a_ms: 230.0, b_ms: 70.0 }
    }
}

impl KeyTime {
    /// The least and most that is believed, milliseconds for a whole key time.
    const BELIEVED_MS: (f64, f64) = (150.0, 1500.0);

    /// From the times of single presses among two and among six keys, milliseconds. The middle of
    /// each list counts, so that one slip does not. None with fewer than three of either.
    pub fn measured(of_two_ms: &[u32], of_six_ms: &[u32]) -> Option<Self> {
        let two = middle(of_two_ms)?;
        let six = middle(of_six_ms)?;
        // Two points, two unknowns; a player is never quicker among more keys.
        let b_ms = ((six - two) / (6.0_f64.log2() - 1.0)).max(0.0);
        Some(Self { a_ms: (two - b_ms).max(0.0), b_ms })
    }

    /// Key time among `keys` keys, whole milliseconds, within what is believed.
    pub fn ms(&self, keys: usize) -> u32 {
        let (least, most) = Self::BELIEVED_MS;
        let time = self.a_ms + self.b_ms * (keys.max(1) as f64).log2();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "150 to 1500")]
        let whole = time.clamp(least, most).round() as u32;
        whole
    }
}

/// The middle value; none with fewer than three.
fn middle(times_ms: &[u32]) -> Option<f64> {
    if times_ms.len() < 3 {
        return None;
    }
    let mut sorted = times_ms.to_vec();
    sorted.sort_unstable();
    let half = sorted.len() / 2;
    let upper = f64::from(sorted[half]);
    Some(if sorted.len() % 2 == 1 {
        upper
    } else {
        f64::midpoint(f64::from(sorted[half - 1]), upper)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_match_leaves_about_a_third_of_a_second() {
        assert_eq!(decision_ms(FLIGHT_MS, BODY_MS), 370);
        assert_eq!(decision_ms(FLIGHT_MS, BODY_STEPPING_IN_MS), 320);
        assert_eq!(decision_ms(200, BODY_MS), LEAST_DECISION_MS);
    }

    #[test]
    fn only_the_decision_shrinks_with_the_tempo() {
        assert_eq!(window_ms(370, 1000, 450), 820);
        assert_eq!(window_ms(370, 2000, 450), 1190);
        assert_eq!(tempo_permille(1190, 370, 450), Some(2000));
        assert_eq!(tempo_permille(100, 370, 450), None);
    }

    #[test]
    fn key_time_goes_through_both_measured_points() {
        let key = KeyTime::measured(&[300, 310, 290, 900], &[420, 430, 410]).unwrap();
        // Middle of two keys 305, of six 420: b = 115 / 1.585.
        assert!((key.b_ms - 72.556).abs() < 1e-3);
        assert_eq!((key.ms(2), key.ms(6)), (305, 420));
        assert!(KeyTime::measured(&[300, 310], &[400, 400, 400]).is_none());
    }

    #[test]
    fn nobody_is_quicker_among_more_keys_or_beyond_belief() {
        let key = KeyTime::measured(&[400; 3], &[300; 3]).unwrap();
        assert_eq!((key.ms(2), key.ms(9)), (400, 400));
        assert_eq!(KeyTime { a_ms: 1.0, b_ms: 0.0 }.ms(9), 150);
        assert_eq!(KeyTime { a_ms: f64::MAX, b_ms: 0.0 }.ms(9), 1500);
    }
}
