//! What a match leaves for the decision against every serve that progress draws.
//!
//! It follows from the serve's flight, and finding that takes milliseconds a serve. So flights
//! are computed on all cores and their times kept in the home, by what they follow from: the ball
//! the serve's words describe, and its contact.

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

<<<<<<< HEAD
use crate::agenda::progress::ProgressRequest;
=======
use crate::agenda::progress::Asked;
use crate::base::on_all_cores;
>>>>>>> 58fbc18 (Pack a phone's scripts as their own JSON, set its sheets by the template, ask for its rounds as the drill's)
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
pub(super) struct DecisionTimes(BTreeMap<String, BTreeMap<ServeId, u32>>);

/// Flights as they are kept.
#[derive(Default, Serialize, Deserialize)]
struct Flights {
    /// The version that computed them, and for which ball, air and table.
    of: String,
    /// Milliseconds from contact to bat.
    ms: BTreeMap<String, u32>,
}

/// A serve with the deck it stands in, as the player sees it.
struct Asking<'a> {
    deck: &'a Deck,
    serve: &'a Serve,
    /// All that its flight follows from.
    words: String,
}

impl DecisionTimes {
    /// Of the serves these pictures are about, from the flights kept in the home where they are
    /// there.
    pub fn find(home: &Home, asked: &Asked<'_>, constants: &Constants) -> Self {
        let hand = asked.player.hand;
        let seen: Vec<Deck> = asked.decks.iter().map(|(_, deck)| deck.seen_by(hand)).collect();
        let serves: Vec<Asking<'_>> = asked
            .served()
            .into_iter()
            .filter_map(|(key, id)| {
                let deck = seen.iter().find(|deck| deck.key == key)?;
                let serve = deck.serve(id)?;
                Some(Asking { deck, serve, words: words(deck, serve, hand) })
            })
            .collect();
        let of = format!("{} {constants:?}", env!("CARGO_PKG_VERSION"));
        let known: Option<Flights> = home.kept(NAME);
        let mut known = known.filter(|known| known.of == of).unwrap_or_default();
        if known.ms.len() > MOST {
            known.ms.clear();
        }
        let missing: Vec<&Asking<'_>> =
            serves.iter().filter(|one| !known.ms.contains_key(&one.words)).collect();
        if !missing.is_empty() {
            let flown = missing.par_iter().map(|one| {
                let id = std::slice::from_ref(&one.serve.id);
                let flown = flights(one.deck, id, hand, constants);
                flown.get(&one.serve.id).map_or(window::FLIGHT_MS, |flown| flown.flight_ms)
            });
            let flown: Vec<u32> = flown.collect();
            known.of = of;
            known.ms.extend(missing.iter().map(|one| one.words.clone()).zip(flown));
            home.keep(NAME, &known);
        }
        let mut times: BTreeMap<String, BTreeMap<ServeId, u32>> = BTreeMap::new();
        for Asking { deck, serve, words } in serves {
            let flight_ms = known.ms.get(&words).copied().unwrap_or(window::FLIGHT_MS);
            let ms = window::decision_ms(flight_ms, window::body_ms(serve));
            times.entry(deck.key.clone()).or_default().insert(serve.id.clone(), ms);
        }
        Self(times)
    }

    /// Milliseconds for the decision against a serve; the usual ones of a serve that is in no
    /// deck.
    pub fn ms(&self, deck: &str, serve: &ServeId) -> u32 {
        let known = self.0.get(deck).and_then(|deck| deck.get(serve)).copied();
        known.unwrap_or_else(|| window::decision_ms(window::FLIGHT_MS, window::BODY_MS))
    }
}

/// All that the flight of a serve follows from, as text.
fn words(deck: &Deck, serve: &Serve, hand: Hand) -> String {
    let server = deck.hand.unwrap_or(Hand::Right);
    let (ball, contact) = (ball_of(serve, server, hand), contact_of(serve.from, server));
    format!("{ball:?} {contact:?}")
}
