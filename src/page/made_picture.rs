//! Made and missed on the player's half of the table, seen from above, the player at the bottom.
//!
//! Each serve is a ring where it comes down: the thick part of the ring is what was made. A letter
//! stands in it, the count below it, so that nothing hangs on colour.

use std::f64::consts::TAU;

use serde_json::{Value, json};

use crate::agenda::progress::ServeBalls;
use crate::game::{Hand, TABLE_WIDTH_M, lane_y_m};
use crate::page::numbers::mark;
use crate::page::table_picture::behind_net_m;
use crate::page::template::drawn;

/// Drawn units in a metre.
const UNITS_M: f64 = 236.0;
/// Room beside the table, and above it for the net's name.
const AROUND: (f64, f64) = (30.0, 26.0);
/// Radius of a ring, and the room two of them need beside and below each other.
const RING: f64 = 17.0;
const ROOM: (f64, f64) = (46.0, 54.0);

/// Where each serve is drawn; none when nothing is known of where it comes down.
fn places(serves: &[ServeBalls], hand: Hand) -> Vec<Option<(f64, f64)>> {
    let mut taken: Vec<(f64, f64)> = Vec::new();
    let (left, right) = (AROUND.0 + RING, TABLE_WIDTH_M.mul_add(UNITS_M, AROUND.0) - RING);
    serves
        .iter()
        .map(|serve| {
            serve.comes_down()?;
            let across = serve.lane.map_or(0.0, |lane| lane_y_m(lane, hand));
            let x = (TABLE_WIDTH_M / 2.0 + across).mul_add(UNITS_M, AROUND.0);
            let y = behind_net_m(serve.depth).mul_add(UNITS_M, AROUND.1);
            let is_free = |(x, y): (f64, f64)| {
                taken.iter().all(|(other_x, other_y)| {
                    (x - other_x).abs() >= ROOM.0 || (y - other_y).abs() >= ROOM.1
                })
            };
            // Beside the right place where that one is taken.
            let free = (0..16)
                .map(|nth| {
                    let steps = f64::from((nth + 1) / 2);
                    let aside = if nth % 2 == 0 { -steps } else { steps };
                    (aside.mul_add(ROOM.0, x), y)
                })
                .find(|&(x, y)| (left - 4.0..=right + 4.0).contains(&x) && is_free((x, y)));
            let place = free.unwrap_or((x, y));
            taken.push(place);
            Some(place)
        })
        .collect()
}

/// The table with every serve on it.
pub(super) fn svg(id: &str, title: &str, serves: &[ServeBalls], hand: Hand) -> String {
    let places = places(serves, hand).into_iter().enumerate().zip(serves);
    let rings = places.filter_map(|((place, at), serve)| {
        let ((x, y), share) = (at?, serve.made_share());
        // From twelve o'clock, clockwise.
        let (sin, cos) = (share * TAU).sin_cos();
        Some(json!({
            "letter": mark(place),
            "x": x,
            "y": y,
            "share": share,
            "end": [RING.mul_add(sin, x), RING.mul_add(-cos, y)],
            "made": serve.made,
            "balls": serve.balls(),
        }))
    });
    let rings: Vec<Value> = rings.collect();
    let picture = json!({ "id": id, "title": title, "count": serves.len(), "rings": rings });
    drawn(include_str!("templates/made.svg"), &picture)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::{Depth, Lane};

    fn serve(lane: Option<Lane>, depth: Option<Depth>, made: u32) -> ServeBalls {
        ServeBalls {
            serve: "one".to_owned(),
            called: String::new(),
            words: "one".to_owned(),
            receives: Vec::new(),
            lane,
            depth,
            made,
            missed: 20 - made,
            wrong: 0,
        }
    }

    #[test]
    fn a_right_handers_forehand_is_on_the_right_and_long_is_near_the_player() {
        let serves = [
            serve(Some(Lane::Forehand), Some(Depth::Short), 10),
            serve(Some(Lane::Backhand), Some(Depth::Long), 10),
        ];
        let drawn = places(&serves, Hand::Right);
        let (short, long) = (drawn[0].unwrap(), drawn[1].unwrap());
        assert!(short.0 > long.0 && short.1 < long.1, "{drawn:?}");
        let mirrored = places(&serves, Hand::Left);
        assert!(mirrored[0].unwrap().0 < mirrored[1].unwrap().0);
    }

    #[test]
    fn two_serves_to_one_place_do_not_cover_each_other_and_an_unknown_one_is_not_drawn() {
        let here = (Some(Lane::WideForehand), Some(Depth::Short));
        let serves = [serve(here.0, here.1, 1), serve(here.0, here.1, 1), serve(None, None, 1)];
        let drawn = places(&serves, Hand::Right);
        let apart = (drawn[0].unwrap().0 - drawn[1].unwrap().0).abs();
        assert!(apart >= ROOM.0, "{drawn:?}");
        assert_eq!(drawn[2], None);
    }

    #[test]
    fn the_ring_is_as_thick_as_the_share_made() {
        let of = |made| {
            svg("t", "t", &[serve(Some(Lane::Middle), Some(Depth::Short), made)], Hand::Right)
        };
        // Five of twenty is a quarter: it ends at three o'clock, level with the middle.
        let (x, y) = (30.0 + 1.525 / 2.0 * 236.0 + 17.0, 26.0 + 0.40 * 236.0);
        assert!(of(5).contains(&format!("0 0 1 {x:.1} {y:.1}")), "{}", of(5));
        assert!(!of(0).contains("stroke-width=\"6\""));
        assert!(of(20).contains("fill=\"none\" stroke=\"var(--first)\""));
    }
}
