//! An invented opponent for the drill's tests, and scripts made of their deck.

#![expect(clippy::unwrap_used, reason = "an invented deck that does not hold must fail the test")]

use secondball::deck::{Deck, Plan, Switch};
use secondball::drill::{Frame, RoundRequest, Script, ServeOrder, TempoRules, build};
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

/// A ball from the server's contact to the bat.
pub fn flight() -> Vec<Frame> {
    [(0, -410, 220), (120, 450, 20), (510, 2050, 20), (670, 2650, 140)]
        .map(|(t_ms, x_mm, z_mm)| Frame { t_ms, x_mm, y_mm: t_ms / 2, z_mm })
        .to_vec()
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
        let request = RoundRequest {
            how: self.how,
            order: self.order,
            balls: self.balls,
            switch: self.switches.then(|| &deck.switches[0]),
            tempo: self.tempo,
            limit_ms: self.limit_ms,
            seed: self.seed,
            ..RoundRequest::plain(&deck, Hand::Right, &memories, "2026-01-01".parse().unwrap())
        };
        let mut script = build(&request).unwrap().script;
        for cue in &mut script.serves {
            cue.frames = flight();
        }
        script
    }
}
