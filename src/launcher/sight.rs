//! What is seen of a thrown ball by eye, and how much a change of it helps.

use crate::base::words;
use crate::flight::Throw;
use crate::flight::aim::BallOutcome;

words! {
    /// What was seen of a ball, from behind the launcher.
    pub enum Sight : "thing seen" {
        Good = "good" "as wanted",
        /// The second bounce came too early.
        Short = "short" "too short",
        /// The second bounce came too late, or not at all.
        Long = "long" "too long",
        Left = "left" "too far left",
        Right = "right" "too far right",
        Net = "net" "into the net",
        High = "high" "too high",
    }
}

/// How good a notch is for what was seen: what it moves the right way, less what it disturbs; none
/// when it moves the wrong way or endangers the ball. Metres.
pub(super) fn worth(
    seen: Sight,
    throw: Throw,
    now: &BallOutcome,
    then: &BallOutcome,
) -> Option<f64> {
    let along = then.next_bounce_x_m - now.next_bounce_x_m;
    let across = then.bounce_m[1] - now.bounce_m[1];
    let air = then.net_clearance_m - now.net_clearance_m;
    let first = match (throw, now.first_bounce_m, then.first_bounce_m) {
        (Throw::Serve, Some(now), Some(then)) => (then[0] - now[0]).abs(),
        _ => 0.0,
    };
    // A net is an end to every ball; height over it is worth ten times a length on the table.
    let risk = if seen == Sight::Net { 0.0 } else { 10.0 * (-air).max(0.0) };
    let (moved, disturbed) = match seen {
        Sight::Short => (along, across.abs() + risk),
        Sight::Long => (-along, across.abs() + risk),
        Sight::Left => (-across, along.abs() + risk),
        Sight::Right => (across, along.abs() + risk),
        Sight::Net => (10.0 * air, 0.3 * (along.abs() + across.abs())),
        Sight::High => (-10.0 * air, along.abs() + across.abs()),
        Sight::Good => return None,
    };
    let is_right_way = moved > 5e-3;
    // Small movements are taken only when nothing larger helps: one notch, one ball.
    is_right_way.then_some(moved - 0.5 * disturbed - 0.3 * first)
}
