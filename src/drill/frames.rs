//! A plain path for a serve: where its ball is every 20 ms when no computed flight is at hand.
//!
//! Contact 0.41 m behind the end line and 0.22 m above the surface, on the server's own half after
//! 0.12 s, on the player's after 0.51 s, at the bat after 0.67 s: middle values of 182 measured
//! services. The bounces lie where the serve's words put them; between bounces the ball rises to 0.22 m.
//! A drawing to recognise a serve by, not a simulation: it knows nothing of spin but the side it bends to.

use super::script::Frame;
use super::window::FLIGHT_MS;
use crate::game::{Depth, From, Hand, Lane, Pace, Serve, Side, lane_y_m, server_y_m};

/// Time of the bounce on the server's half, milliseconds.
const FIRST_BOUNCE_MS: i32 = 120;
/// Time of the bounce on the player's half.
const SECOND_BOUNCE_MS: i32 = 510;
/// Between two frames.
const STEP_MS: i32 = 20;
/// How far a side spin bends the path, millimetres.
const BEND_MM: i32 = 70;

/// The frames of a serve, received by a player of this hand from a server of that hand.
pub fn plain_frames(serve: &Serve, player: Hand, server: Hand) -> Vec<Frame> {
    let from = serve.from.unwrap_or(From::BackhandCorner);
    let start = [-410, mm(server_y_m(from, server)), 220];
    let end_y = mm(lane_y_m(serve.lane.unwrap_or(Lane::Middle), player));
    let (second_x, bat_x) = match serve.depth {
        Some(Depth::Short) => (1800, 2300),
        Some(Depth::HalfLong) | None => (2050, 2650),
        Some(Depth::Long) => (2400, 3100),
    };
    let first_x = if serve.pace == Some(Pace::Fast) { 250 } else { 450 };
    let bend = match serve.breaks_for(Some(server)) {
        // The player's right is +y.
        Some(Side::Right) => BEND_MM,
        Some(Side::Left) => -BEND_MM,
        None => 0,
    };
    // The path across bends towards that side: it starts out the other way.
    let total_x = second_x - start[0];
    let y_at = |x: i32| {
        let straight = start[1] + (end_y - start[1]) * (x - start[0]) / total_x;
        let s = (x - start[0]).clamp(0, total_x);
        straight - 4 * bend * (s * 100 / total_x) * (100 - s * 100 / total_x) / 10_000
    };
    let flight = i32::try_from(FLIGHT_MS).unwrap_or(670);
    let corners = [
        (0, start[0], start[2]),
        (FIRST_BOUNCE_MS, first_x, 20),
        (SECOND_BOUNCE_MS, second_x, 20),
        (flight, bat_x, 140),
    ];
    (0..=flight / STEP_MS)
        .map(|step| step * STEP_MS)
        .chain((flight % STEP_MS != 0).then_some(flight))
        .map(|t_ms| {
            let leg = corners
                .windows(2)
                .find(|leg| t_ms <= leg[1].0)
                .map_or(2, |leg| corners.iter().position(|corner| corner == &leg[0]).unwrap_or(2));
            let (from, to) = (corners[leg], corners[leg + 1]);
            let (part, span) = (t_ms - from.0, to.0 - from.0);
            let x_mm = from.1 + (to.1 - from.1) * part / span;
            let line = from.2 + (to.2 - from.2) * part / span;
            // The height above the straight line: 4 h s (1 - s).
            let rise = [0, 200, 40][leg];
            let z_mm = line + 4 * rise * part * (span - part) / (span * span);
            Frame { t_ms, x_mm, y_mm: y_at(x_mm), z_mm }
        })
        .collect()
}

/// Whole millimetres.
fn mm(metres: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "a place on the table, below 3 m")]
    let whole = (metres * 1000.0).round() as i32;
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    fn serve(lane: Lane, depth: Depth) -> Serve {
        let mut serve = Serve::unknown("a".parse().unwrap());
        (serve.lane, serve.depth) = (Some(lane), Some(depth));
        serve
    }

    #[test]
    fn a_path_starts_behind_the_line_bounces_twice_and_ends_at_the_bat() {
        let frames = plain_frames(&serve(Lane::Forehand, Depth::Short), Hand::Right, Hand::Right);
        let first = frames.first().unwrap();
        let last = frames.last().unwrap();
        assert_eq!((first.t_ms, first.x_mm, first.y_mm), (0, -410, 600));
        assert_eq!((last.t_ms, last.x_mm), (670, 2300));
        let bounce = |t_ms: i32| frames.iter().find(|frame| frame.t_ms == t_ms).unwrap();
        assert_eq!(bounce(120).z_mm, 20);
        // The second bounce falls between two frames.
        assert!(bounce(500).z_mm < 50 && bounce(520).z_mm < 50);
        assert!(frames.windows(2).all(|pair| pair[0].t_ms < pair[1].t_ms));
        // Over the net, which is 152.5 mm high.
        let at_net = frames.iter().find(|frame| frame.x_mm >= 1370).unwrap();
        assert!(at_net.z_mm > 172, "{at_net:?}");
    }

    #[test]
    fn a_left_handed_pair_sees_the_mirrored_path() {
        let right = plain_frames(&serve(Lane::Forehand, Depth::Long), Hand::Right, Hand::Right);
        let left = plain_frames(&serve(Lane::Forehand, Depth::Long), Hand::Left, Hand::Left);
        for (a, b) in right.iter().zip(&left) {
            assert_eq!((a.t_ms, a.x_mm, a.y_mm, a.z_mm), (b.t_ms, b.x_mm, -b.y_mm, b.z_mm));
        }
    }

    #[test]
    fn a_break_to_the_right_ends_in_the_lane_and_swings_out_to_the_left_first() {
        let mut bent = serve(Lane::Middle, Depth::Long);
        bent.from = Some(From::Middle);
        bent.spin = Some(crate::game::Spin::Sidespin);
        bent.breaks = Some(Side::Right);
        let frames = plain_frames(&bent, Hand::Right, Hand::Right);
        assert!(frames.iter().any(|frame| frame.y_mm < -50));
        let landing = frames.iter().find(|frame| frame.t_ms == 520).unwrap();
        assert!(landing.y_mm.abs() < 10, "{landing:?}");
    }
}
