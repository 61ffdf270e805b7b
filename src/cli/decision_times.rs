//! What a match leaves for the decision against every serve that progress draws.
//!
//! It follows from the serve's flight, and finding that takes milliseconds a serve. So flights are
//! computed on all cores and their times kept in the home, by what they follow from: the ball the
//! serve's words describe, and its contact.

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::agenda::progress::ProgressRequest;
use crate::deck::Deck;
use crate::drill::{flights, window};
use crate::flight::Constants;
use crate::flight::service::{ball_of, contact_of};
use crate::game::{Hand, Serve, ServeId};
use crate::store::Home;

/// The name they are kept under.
const NAME: &str = "flights";
/// Flights kept at most; beyond it only those asked for are.
const MOST: usize = 5_000;

/// Milliseconds for the decision, of serves known by deck and id.
pub(super) struct DecisionTimes(BTreeMap<(String, ServeId), u32>);

/// Flights as they are kept.
#[derive(Default, Serialize, Deserialize)]
struct Flights {
    /// The version that computed them, and for which ball, air and table.
    of: String,
    /// Milliseconds from contact to bat.
    ms: BTreeMap<String, u32>,
}

impl DecisionTimes {
    /// Of the serves these pictures are about, from the flights kept in the home where they are
    /// there.
    pub fn find(home: &Home, asked: &ProgressRequest<'_>, constants: &Constants) -> Self {
        let hand = asked.player.hand;
        let seen: Vec<Deck> = asked.decks.iter().map(|(_, deck)| deck.seen_by(hand)).collect();
        let served = asked.served().into_iter().filter_map(|(key, id)| {
            let deck = seen.iter().find(|deck| deck.key == key)?;
            let serve = deck.serve(id)?;
            Some((deck, serve, flight_words(deck, serve, hand)))
        });
        let serves: Vec<(&Deck, &Serve, String)> = served.collect();
        let of = format!("{} {constants:?}", env!("CARGO_PKG_VERSION"));
        let known: Option<Flights> = home.kept(NAME);
        let mut known = known.filter(|known| known.of == of).unwrap_or_default();
        if known.ms.len() > MOST {
            known.ms.clear();
        }
        // Many serves are the same ball.
        let unknown = serves.iter().filter(|(.., words)| !known.ms.contains_key(words));
        let unknown: BTreeMap<&String, (&Deck, &Serve)> =
            unknown.map(|(deck, serve, words)| (words, (*deck, *serve))).collect();
        let found = unknown.into_par_iter().map(|(words, (deck, serve))| {
            let flown = flights(deck, std::slice::from_ref(&serve.id), hand, constants);
            let flown = flown.get(&serve.id);
            (words.clone(), flown.map_or(window::FLIGHT_MS, |flown| flown.flight_ms))
        });
        let found: Vec<(String, u32)> = found.collect();
        if !found.is_empty() {
            known.of = of;
            known.ms.extend(found);
            home.keep(NAME, &known);
        }
        let times = serves.into_iter().map(|(deck, serve, words)| {
            let flight_ms = known.ms.get(&words).copied().unwrap_or(window::FLIGHT_MS);
            let ms = window::decision_ms(flight_ms, window::body_ms(serve));
            ((deck.key.clone(), serve.id.clone()), ms)
        });
        Self(times.collect())
    }

    /// Milliseconds for the decision against a serve; the usual ones of a serve that is in no
    /// deck.
    pub fn ms(&self, deck: &str, serve: &ServeId) -> u32 {
        let known = self.0.get(&(deck.to_owned(), serve.clone())).copied();
        known.unwrap_or_else(|| window::decision_ms(window::FLIGHT_MS, window::BODY_MS))
    }
}

/// All that the flight of a serve follows from, as text.
fn flight_words(deck: &Deck, serve: &Serve, hand: Hand) -> String {
    let server = deck.hand.unwrap_or(Hand::Right);
    let (ball, contact) = (ball_of(serve, server, hand), contact_of(serve.from, server));
    format!("{ball:?} {contact:?}")
}
