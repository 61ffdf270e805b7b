//! Sessions at the table: laws every session obeys, whatever the deck, the launcher and the seed, and the
//! printed sheet of one of each kind.

#![expect(clippy::unwrap_used, reason = "a broken fixture ends the test")]

mod answers;
mod card;
mod commands;
mod laws;
mod named;
mod printed;
mod read;
mod steering;

use std::collections::BTreeMap;
use std::sync::LazyLock;

use secondball::deck::{Deck, Habit};
use secondball::flight::Constants;
use secondball::game::Hand;
use secondball::launcher::Launcher;
use secondball::rehearsal::{
    Length, RehearsalError, Session, SessionPhase, SessionRequest, Variation, Volumes, rehearse,
};

/// Everything a request needs, owned.
#[derive(Clone)]
pub(crate) struct Asked {
    pub(crate) deck: Deck,
    pub(crate) player: Hand,
    pub(crate) switch: bool,
    pub(crate) launcher: Launcher,
    pub(crate) phases: Vec<SessionPhase>,
    pub(crate) drill: Option<Variation>,
    pub(crate) length: Length,
    pub(crate) seed: u64,
}

impl Asked {
    pub(crate) fn of(launcher: &str, balls: u32) -> Self {
        Self {
            deck: deck(),
            player: Hand::Right,
            switch: false,
            launcher: generic(launcher),
            phases: Vec::new(),
            drill: None,
            length: Length { balls: Some(balls), minutes: None },
            seed: 7,
        }
    }

    pub(crate) fn session(&self) -> Session {
        self.made().unwrap()
    }

    pub(crate) fn made(&self) -> Result<Session, RehearsalError> {
        let deck = self.deck.seen_by(self.player);
        let weakness = BTreeMap::new();
        rehearse(&SessionRequest {
            deck: &deck,
            player: self.player,
            switches: deck.switches.iter().take(usize::from(self.switch)).collect(),
            drill: self.drill,
            weakness: &weakness,
            launcher: &self.launcher,
            constants: Constants::default(),
            phases: &self.phases,
            length: self.length,
            volumes: Volumes::adult(),
            seed: self.seed,
        })
    }
}

/// Sessions of all habits and their mirror images on every kind of launcher, with and without a
/// switch, of several lengths; made once, on two cores: each asks the solver for its serves. For people, who
/// need no solver, four seeds of each: 330 in all.
static MANY: LazyLock<Vec<(Asked, Session)>> = LazyLock::new(|| {
    let all: Vec<Asked> = (0..Habit::ALL.len()).flat_map(of_habit).collect();
    let made = |asked: &Asked| (asked.clone(), asked.session());
    std::thread::scope(|scope| {
        let halves = all.chunks(all.len().div_ceil(2));
        let halves: Vec<_> = halves
            .map(|half| scope.spawn(move || half.iter().map(made).collect::<Vec<_>>()))
            .collect();
        halves.into_iter().flat_map(|half| half.join().unwrap()).collect()
    })
});

/// What is asked for with the habit of this place.
fn of_habit(place: usize) -> Vec<Asked> {
    let (habit, mut all) = (&Habit::ALL[place], Vec::new());
    let written: Deck = read(habit.text);
    let mirrored = if written.hand == Some(Hand::Left) { Hand::Right } else { Hand::Left };
    for (server, player) in [(written.hand.unwrap(), Hand::Right), (mirrored, Hand::Left)] {
        let deck = written.as_habit_for(habit.name, "abc234".to_owned(), Some(server), player);
        for stem in LAUNCHERS {
            let launcher = generic(stem);
            for turn in 0..if launcher.kind.is_person() { 4 } else { 1 } {
                let seed = all.len() + place;
                all.push(Asked {
                    deck: deck.clone(),
                    player,
                    switch: (seed + turn).is_multiple_of(3),
                    launcher: launcher.clone(),
                    phases: Vec::new(),
                    drill: None,
                    length: Length { balls: Some([60, 150, 20, 250][seed % 4]), minutes: None },
                    seed: seed as u64,
                });
            }
        }
    }
    all
}

pub(crate) fn many() -> impl Iterator<Item = &'static (Asked, Session)> {
    MANY.iter()
}

pub(crate) fn told(asked: &Asked) -> String {
    let (deck, launcher, balls) = (&asked.deck.opponent, &asked.launcher.name, asked.length.balls);
    format!("{deck} to {}, {launcher}, {balls:?} balls, seed {}", asked.player, asked.seed)
}

/// An invented left-hander with four serves and a switch.
pub(crate) fn deck() -> Deck {
    read(include_str!("rehearsal/left-hander.ron"))
}

/// A launcher shipped with the program.
pub(crate) fn generic(stem: &str) -> Launcher {
    read(match stem {
        "fixed" => include_str!("../demo/launchers/fixed.ron"),
        "oscillating" => include_str!("../demo/launchers/oscillating.ron"),
        "per-ball" => include_str!("../demo/launchers/per-ball.ron"),
        "feeder" => include_str!("../demo/launchers/feeder.ron"),
        _ => include_str!("../demo/launchers/partner.ron"),
    })
}

pub(crate) const LAUNCHERS: [&str; 5] = ["fixed", "oscillating", "per-ball", "feeder", "partner"];

pub(crate) fn read<T: serde::de::DeserializeOwned>(text: &str) -> T {
    ron::Options::default()
        .with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
        .from_str(text)
        .unwrap()
}
