//! An invented opponent and an invented season of five matches against them, from seeded dice.

#![expect(clippy::unwrap_used, reason = "a broken fixture is a failed test")]

use secondball::base::{Day, Dice};
use secondball::deck::{Deck, Owned, Player, Switch};
use secondball::game::{
    Depth, End, Hand, HowOften, Lane, MatchLength, Pace, Receive, ReceiveKey, Serve, ServeId, Spin,
    Stroke, Wing,
};
use secondball::journal::{Fact, Point, Quality};
use secondball::tactics::history::OpponentHistory;
use secondball::tactics::lessons::Lessons;
use secondball::tactics::question::Question;
use secondball::tactics::reserve::Drilled;
use secondball::tactics::stroke_rates::StrokeRates;
use secondball::tactics::verdict::{Lesson, Verdict, Verdicts};

pub(super) const PUSH: &str = "forehand push early to middle short";
pub(super) const LONG: &str = "forehand push heavy to backhand long";
pub(super) const LOOP: &str = "backhand fast_loop to forehand long";

/// A fact with its day.
pub(super) type Dated = (Day, Fact);

pub(super) fn id(text: &str) -> ServeId {
    text.parse().unwrap()
}

pub(super) fn receive(text: &str) -> Receive {
    text.parse().unwrap()
}

fn serve(name: &str, spin: Spin, lane: Lane, depth: Depth, often: HowOften) -> Serve {
    let mut serve = Serve::unknown(id(name));
    (serve.spin, serve.lane, serve.depth) = (Some(spin), Some(lane), Some(depth));
    serve.how_often = Some(often);
    serve
}

/// Three serves, two of them planned, one switch.
pub(super) fn deck() -> Deck {
    let mut deck = Deck::new("Invented left-hander", "abc234".to_owned());
    deck.serves = vec![
        serve("short-fh", Spin::SideBackspin, Lane::Forehand, Depth::Short, HowOften::Often),
        serve("long-bh", Spin::SideTopspin, Lane::Backhand, Depth::Long, HowOften::Sometimes),
        serve("dead", Spin::Dead, Lane::Middle, Depth::Short, HowOften::Rarely),
    ];
    deck.serves[1].pace = Some(Pace::Fast);
    deck.plan.insert(id("short-fh"), receive(PUSH));
    deck.plan.insert(id("long-bh"), receive(LOOP));
    deck.switches.push(Switch {
        name: "long push".to_owned(),
        cue: Some("steps in for the short one".to_owned()),
        changes: [(id("short-fh"), receive(LONG))].into(),
    });
    deck
}

pub(super) fn player() -> Player {
    let mut player = Player::new("Invented", Hand::Right);
    for (wing, stroke, of_ten) in [
        (Wing::Forehand, Stroke::Push, 8),
        (Wing::Backhand, Stroke::BananaFlick, 6),
        (Wing::Backhand, Stroke::FastLoop, 6),
        (Wing::Backhand, Stroke::Block, 8),
    ] {
        player.repertoire.push(Owned::new(wing, stroke, of_ten));
    }
    player
}

/// A clean receiving point.
pub(super) fn point(of_match: &str, serve: &str, with: &str, won: bool) -> Point {
    Point {
        deck: "abc234".to_owned(),
        of_match: of_match.to_owned(),
        server: End::Them,
        serve: Some(id(serve)),
        meant: Some(ReceiveKey::from_receive(&receive(with))),
        played: None,
        quality: Some(Quality::Tight),
        waiting: None,
        won,
        unknown: None,
    }
}

pub(super) fn day(text: &str) -> Day {
    text.parse().unwrap()
}

/// Five matches; in the last one he waits for the short push.
pub(super) fn season() -> Vec<Dated> {
    let mut dice = Dice::from_seed(5);
    let mut facts = Vec::new();
    for (number, date) in
        ["2026-02-01", "2026-04-12", "2026-06-07", "2026-09-20", "2026-11-15"].iter().enumerate()
    {
        let word = format!("match-{}", number + 1);
        for ball in 0..36 {
            let mut one = match ball % 6 {
                0..=2 => point(&word, "short-fh", if ball % 12 == 2 { LONG } else { PUSH }, false),
                3 => point(&word, "long-bh", LOOP, false),
                4 => point(&word, "dead", "backhand banana_flick to elbow long", false),
                _ => Point {
                    server: End::Me,
                    serve: None,
                    meant: None,
                    ..point(&word, "dead", PUSH, false)
                },
            };
            let is_push = one.meant.as_ref().is_some_and(|key| key.as_str() == PUSH);
            let waits = is_push && dice.chance(if number == 4 { 0.8 } else { 0.2 });
            if is_push {
                one.waiting = Some(waits);
            }
            one.won = dice.chance(match (one.server, waits) {
                (End::Them, true) => 0.3,
                _ => 0.55,
            });
            facts.push((day(date), Fact::Point(one)));
        }
    }
    facts
}

/// A question about an invented opponent, with all it needs.
pub(super) struct Table {
    pub(super) deck: Deck,
    pub(super) player: Player,
    pub(super) history: OpponentHistory,
    pub(super) strokes: StrokeRates,
}

impl Table {
    pub(super) fn of(deck: Deck, facts: &[Dated]) -> Self {
        let history =
            OpponentHistory::from_facts(&deck, facts.iter().map(|(day, fact)| (*day, fact)));
        Self { deck, player: player(), strokes: StrokeRates::from_histories([&history]), history }
    }

    pub(super) fn question(&self) -> Question<'_> {
        Question {
            deck: &self.deck,
            player: &self.player,
            history: &self.history,
            strokes: &self.strokes,
            length: MatchLength::best_of(5).unwrap(),
            drop: None,
            seed: 7,
        }
    }

    pub(super) fn verdicts(&self) -> Verdicts<'_> {
        Verdicts::judge(self.question())
    }

    pub(super) fn lessons(&self) -> Lessons {
        Lessons::from_verdicts(&self.verdicts())
    }

    pub(super) fn lesson(&self, serve: &str) -> Lesson {
        self.lessons().lessons.into_iter().find(|lesson| lesson.serve == id(serve)).unwrap()
    }

    pub(super) fn verdict(&self, serve: &str) -> Verdict {
        self.lesson(serve).verdict
    }
}

/// No switch has been drilled.
pub(super) fn untried(_: &str) -> Drilled {
    Drilled::default()
}
