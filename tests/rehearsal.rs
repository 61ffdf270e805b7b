//! Sessions at the table: laws every session obeys, whatever the deck, the launcher and the seed, and the
//! printed sheet of one of each kind.

#![expect(clippy::unwrap_used, reason = "a broken fixture ends the test")]

mod card;
mod commands;
mod laws;
mod named;
mod printed;
mod read;

use std::collections::BTreeMap;

use secondball::deck::{Deck, Switch};
use secondball::flight::Constants;
use secondball::game::Hand;
use secondball::launcher::Launcher;
use secondball::rehearsal::{Length, Session, SessionPhase, SessionRequest, Volumes, rehearse};

/// Everything a request needs, owned.
#[derive(Clone)]
pub(crate) struct Asked {
    pub(crate) deck: Deck,
    pub(crate) player: Hand,
    pub(crate) switch: bool,
    pub(crate) launcher: Launcher,
    pub(crate) phases: Vec<SessionPhase>,
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
            length: Length { balls: Some(balls), minutes: None },
            seed: 7,
        }
    }

    pub(crate) fn session(&self) -> Session {
        let deck = self.deck.seen_by(self.player);
        let switch: Option<&Switch> = deck.switches.first().filter(|_| self.switch);
        let weakness = BTreeMap::new();
        rehearse(&SessionRequest {
            deck: &deck,
            player: self.player,
            switch,
            weakness: &weakness,
            launcher: &self.launcher,
            constants: Constants::default(),
            phases: &self.phases,
            length: self.length,
            volumes: Volumes::adult(),
            seed: self.seed,
        })
        .unwrap()
    }
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
