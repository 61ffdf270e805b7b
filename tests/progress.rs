//! Progress: the journal folded into pictures, by numbers worked by hand, and the lines that speak
//! at their limits.

#![expect(clippy::unwrap_used, reason = "a broken fixture ends the test")]

mod at_size;
mod folded;
mod limits;
mod program;

use secondball::agenda::progress::{Answers, Progress, ProgressRequest, progress};
use secondball::base::Day;
use secondball::deck::{Deck, Player};
use secondball::game::{Depth, Hand, Lane, ReceiveKey, Serve};
use secondball::journal::{Answer, Ball, Event, EventId, Fact, How, Input, Stage, Switched};
use secondball::memory::Memories;

/// The day all of this is looked at.
pub(crate) const TODAY: &str = "2026-11-25";
/// The plan's receive and the switch's.
pub(crate) const PUSH: &str = "forehand push early to middle short";
pub(crate) const LONG: &str = "forehand push heavy to backhand long";

pub(crate) fn day(text: &str) -> Day {
    text.parse().unwrap()
}

/// An invented opponent with two serves and a switch.
pub(crate) fn north() -> (String, Deck) {
    let mut deck = Deck::new("North", "k7f3q2".to_owned());
    for (id, lane, depth) in
        [("one", Lane::Forehand, Depth::Short), ("two", Lane::Backhand, Depth::Long)]
    {
        let mut serve = Serve::unknown(id.parse().unwrap());
        serve.lane = Some(lane);
        serve.depth = Some(depth);
        deck.serves.push(serve);
        deck.plan.insert(id.parse().unwrap(), PUSH.parse().unwrap());
    }
    ("north".to_owned(), deck)
}

/// A home in memory.
pub(crate) struct Home {
    pub(crate) player: Player,
    pub(crate) decks: Vec<(String, Deck)>,
    pub(crate) memories: Memories,
    pub(crate) events: Vec<Event>,
}

impl Home {
    pub(crate) fn new() -> Self {
        Self {
            player: Player::new("Invented", Hand::Right),
            decks: vec![north()],
            memories: Memories::default(),
            events: Vec::new(),
        }
    }

    pub(crate) fn progress(&self) -> Progress {
        progress(&ProgressRequest {
            player: &self.player,
            decks: &self.decks,
            opponent: None,
            memories: &self.memories,
            events: &self.events,
            answers: &Answers::of_events(&self.events),
            today: day(TODAY),
        })
    }

    fn add(&mut self, on: &str, fact: Fact) {
        let n = self.events.len() as u64 + 1;
        let id = EventId { device: "d".to_owned(), n };
        self.events.push(Event { id, at_ms: 0, day: day(on), origin: None, fact });
    }

    /// An answer in a window of a second, key time not counted.
    pub(crate) fn answers(
        &mut self,
        on: &str,
        serve: &str,
        given: Option<&str>,
        ms: u32,
        times: usize,
    ) {
        for _ in 0..times {
            self.answer_at(on, serve, given, ms, 1000);
        }
    }

    pub(crate) fn answer_at(
        &mut self,
        on: &str,
        serve: &str,
        given: Option<&str>,
        ms: u32,
        window: u32,
    ) {
        self.add(on, Fact::Answer(answer(serve, given, ms, window)));
    }

    /// An answer of a switch round; `is_switched` after the call.
    pub(crate) fn in_round(
        &mut self,
        on: &str,
        serve: &str,
        stage: Stage,
        given: Option<&str>,
        ms: u32,
    ) {
        let is_switched = serve == "one" && stage == Stage::After;
        let mut answer = answer(serve, given, ms, 1000);
        if is_switched {
            answer.right = ReceiveKey::from_journal(LONG);
        }
        answer.switch = Some(Switched {
            name: "long".to_owned(),
            stage,
            old: is_switched.then(|| ReceiveKey::from_journal(PUSH)),
        });
        self.add(on, Fact::Answer(answer));
    }

    pub(crate) fn balls(&mut self, on: &str, serve: &str, made: u32, missed: u32, wrong: u32) {
        let right = ReceiveKey::from_journal(PUSH);
        let (deck, serve) = ("k7f3q2".to_owned(), serve.parse().unwrap());
        self.add(on, Fact::Ball(Ball { deck, serve, right, made, missed, wrong }));
    }
}

fn answer(serve: &str, given: Option<&str>, ms: u32, window: u32) -> Answer {
    Answer {
        deck: "k7f3q2".to_owned(),
        serve: serve.parse().unwrap(),
        right: ReceiveKey::from_journal(PUSH),
        given: given.map(str::to_owned),
        how: How::Snap,
        ms,
        window,
        motor: 0,
        tempo: window,
        input: Input::Keys,
        shown: false,
        is_let: false,
        cut: None,
        switch: None,
    }
}
