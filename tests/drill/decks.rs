//! An invented opponent for the drill's tests, and scripts made of their deck.

#![expect(clippy::unwrap_used, reason = "an invented deck that does not hold must fail the test")]

use secondball::deck::{Deck, Plan, Switch};
use secondball::drill::{
    Flown, Frame, RoundRequest, Script, ServeOrder, TempoRules, build, window,
};
use secondball::game::{Depth, Hand, Lane, Serve};
use secondball::journal::How;
use secondball::memory::Memories;

/// Four serves, four receives, one switch.
pub fn deck() -> Deck {
    let mut deck = Deck::new("Invented Left-hander", "abc234".to_owned());
    deck.hand = Some(Hand::Left);
    for (id, lane, depth, receive) in [
        ("short-fh", Lane::Forehand, Depth::Short, "forehand push early to middle short"),
        ("long-bh", Lane::Backhand, Depth::Long, "backhand fast_loop to forehand long"),
        ("half-mid", Lane::Middle, Depth::HalfLong, "backhand banana_flick to backhand long"),
        ("long-fh", Lane::WideForehand, Depth::Long, "forehand slow_loop to middle long"),
    ] {
        let mut serve = Serve::unknown(id.parse().unwrap());
        (serve.lane, serve.depth) = (Some(lane), Some(depth));
        deck.serves.push(serve);
        let mut receive: secondball::game::Receive = receive.parse().unwrap();
        receive.why = Some(format!("the reason for {id}"));
        deck.plan.insert(id.parse().unwrap(), receive);
    }
    deck.serves[0].looks_like = Some("long-bh".parse().unwrap());
    deck.switches.push(Switch {
        name: "long push".to_owned(),
        cue: Some("steps in".to_owned()),
        changes: Plan::from([(
            "short-fh".parse().unwrap(),
            "forehand push heavy to backhand long".parse().unwrap(),
        )]),
    });
    deck
}

/// What a test may change about a round.
#[derive(Clone, Copy)]
pub struct Round {
    pub how: How,
    pub order: ServeOrder,
    pub balls: usize,
    pub switches: bool,
    pub tempo: TempoRules,
    pub limit_ms: Option<u64>,
    pub seed: u64,
}

impl Default for Round {
    fn default() -> Self {
        Self {
            how: How::Snap,
            order: ServeOrder::Random,
            balls: 12,
            switches: false,
            tempo: TempoRules::default(),
            limit_ms: None,
            seed: 1,
        }
    }
}

impl Round {
    /// The script of this round.
    pub fn script(self) -> Script {
        let deck = deck();
        let memories = Memories::default();
        // Along the middle of the table, in the usual time.
        let flight_ms = window::FLIGHT_MS;
        let frame = |t_ms, x_mm| Frame { t_ms, x_mm, y_mm: 0, z_mm: 200 };
        let frames = vec![frame(0, -410), frame(670, 2700)];
        let flown = |serve: &Serve| (serve.id.clone(), Flown { flight_ms, frames: frames.clone() });
        let flights = deck.serves.iter().map(flown).collect();
        let request = RoundRequest {
            flights: &flights,
            how: self.how,
            order: self.order,
            balls: self.balls,
            switch: self.switches.then(|| &deck.switches[0]),
            tempo: self.tempo,
            limit_ms: self.limit_ms,
            seed: self.seed,
            ..RoundRequest::plain(&deck, Hand::Right, &memories, "2026-01-01".parse().unwrap())
        };
        build(&request).unwrap().script
    }
}
