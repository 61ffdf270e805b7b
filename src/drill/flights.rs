//! The computed flight of each serve, in the whole milliseconds and millimetres of a script.

use std::collections::BTreeMap;

use super::request::Flown;
use super::script::{Frame, WrongBat};
use crate::deck::Deck;
use crate::flight::Constants;
use crate::flight::service::flight_of;
use crate::game::{Hand, Serve, ServeId};
use crate::receive::Bats;

/// Milliseconds between two frames.
const STEP_MS: i32 = 15;

/// The flights of these serves of a deck, received by a player of this hand; an opponent whose hand
/// is not known counts as right-handed.
pub fn flights(
    deck: &Deck,
    serves: &[ServeId],
    hand: Hand,
    constants: &Constants,
) -> BTreeMap<ServeId, Flown> {
    let server = deck.hand.unwrap_or(Hand::Right);
    let bats = Bats::fly_twins(deck, None, constants);
    serves
        .iter()
        .filter_map(|id| deck.serve(id))
        .map(|serve| {
            let flight = flight_of(serve, server, hand, constants);
            let mut frames: Vec<Frame> = Vec::new();
            for sample in &flight.samples {
                let [x_mm, y_mm, z_mm] = sample.position_m.map(|metres| whole(metres * 1000.0));
                let t_ms = whole(sample.time_s * 1000.0);
                if frames.last().is_none_or(|last| t_ms >= last.t_ms + STEP_MS) {
                    frames.push(Frame { t_ms, x_mm, y_mm, z_mm });
                }
            }
            let flight_ms = u32::try_from(whole(flight.contact_to_bat_s * 1000.0)).unwrap_or(0);
            (
                serve.id.clone(),
                Flown { flight_ms, frames, wrong_bat: wrong_bat(deck, serve, &bats) },
            )
        })
        .collect()
}

/// A serve met with the bat that the plan makes for the serve it looks like.
fn wrong_bat(deck: &Deck, serve: &Serve, bats: &Bats) -> Option<WrongBat> {
    let twin = deck.twin(serve).filter(|twin| !serve.flies_unlike(twin))?;
    let struck = bats.play(&twin.id, deck.plan.get(&twin.id)?)?.ok()?;
    let (ball, sent) = bats.answer_to(&struck, &serve.id)?;
    let frames = (0..).zip(bats.flown(&struck, &ball, 0.0)).map(|(t_ms, position_m)| {
        let [x_mm, y_mm, z_mm] = position_m.map(|metres| whole(metres * 1000.0));
        Frame { t_ms, x_mm, y_mm, z_mm }
    });
    let over_net_mm = whole(sent.over_net_m * 1000.0);
    Some(WrongBat { end: sent.end, over_net_mm, frames: frames.step_by(2).collect() })
}

/// The nearest whole number of a length or time of a serve, which is far from overflowing.
#[expect(clippy::cast_possible_truncation, reason = "some thousands at most; the cast saturates")]
fn whole(value: f64) -> i32 {
    value.round() as i32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::{Depth, Lane, Pace, Serve};

    #[test]
    fn a_fast_long_serve_leaves_less_time_than_a_short_one_and_goes_to_its_side() {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        for (id, depth, pace) in
            [("short", Depth::Short, None), ("fast", Depth::Long, Some(Pace::Fast))]
        {
            let mut serve = Serve::unknown(id.parse().unwrap());
            serve.depth = Some(depth);
            serve.pace = pace;
            serve.lane = Some(Lane::Forehand);
            deck.serves.push(serve);
        }
        let ids: Vec<ServeId> = deck.serves.iter().map(|serve| serve.id.clone()).collect();
        let flown = flights(&deck, &ids, Hand::Right, &Constants::default());
        let (short, fast) = (&flown[&ids[0]], &flown[&ids[1]]);
        assert!(fast.flight_ms < short.flight_ms, "{} {}", fast.flight_ms, short.flight_ms);
        // A right-hander's forehand is to the right, +y; the ball comes from the other end.
        for one in [short, fast] {
            let last = one.frames.last().unwrap();
            assert!(one.frames[0].x_mm < 0 && last.x_mm > 1370 && last.y_mm > 0, "{last:?}");
        }
    }
}
