//! The patterns of a player: every serve with its planned receive, and every switch, with a weight.
//!
//! Weight = share of the serve x how sure it is x how likely the opponent is x what the part
//! counts. The factors are assumptions of the tool, stated here and nowhere else.

use std::collections::HashSet;

use crate::deck::{Deck, MatchDay, Player};
use crate::game::{PatternKey, Receive, Serve, Sure};
use crate::memory::{History, Memories};

/// A serve that was only guessed counts this much of one that was seen (an assumption).
const GUESSED: f64 = 0.6;
/// A receive held in reserve counts this much of one in the plan (an assumption).
const RESERVE: f64 = 0.4;
/// An opponent who is in no event counts this much of one who is met for sure (an assumption).
const UNLISTED: f64 = 0.15;

/// Where in a deck a pattern comes from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PatternPart {
    /// The plan.
    Plan,
    /// A switch, by its name.
    Switch(String),
}

/// One pattern to be memorised.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// Its key.
    pub key: PatternKey,
    /// Keys its history may stand under as well: earlier ids of the serve.
    pub earlier: Vec<PatternKey>,
    /// The file stem of its deck.
    pub stem: String,
    /// The opponent.
    pub opponent: String,
    /// The serve, and what it is called.
    pub serve: Serve,
    pub called: String,
    /// The receive.
    pub receive: Receive,
    /// Plan or switch.
    pub part: PatternPart,
    /// What recalling it is worth against the others.
    pub weight: f64,
    /// The same against an opponent who is met for sure.
    own_weight: f64,
}

impl Pattern {
    /// Its memory, under its own key or an earlier one.
    pub fn history<'a>(&self, memories: &'a Memories) -> Option<&'a History> {
        std::iter::once(&self.key).chain(&self.earlier).find_map(|key| memories.get(key))
    }

    /// What recalling it is worth at another event.
    pub(super) fn weight_at(&self, event: &MatchDay) -> f64 {
        self.own_weight * likelihood(&self.stem, Some(event))
    }
}

/// Whether the opponent of this deck may be met at the event: anybody where it names nobody.
pub fn is_met(stem: &str, event: &MatchDay) -> bool {
    event.opponents.is_empty() || event.opponents.iter().any(|opponent| opponent.deck == stem)
}

/// How likely the opponent of this deck is met at the event; every deck alike when the event names
/// nobody or there is no event.
fn likelihood(stem: &str, event: Option<&MatchDay>) -> f64 {
    match event {
        Some(event) if !event.opponents.is_empty() => event
            .opponents
            .iter()
            .find(|opponent| opponent.deck == stem)
            .map_or(UNLISTED, |opponent| opponent.likely),
        _ => 1.0,
    }
}

/// Every pattern of these decks, in the order of decks, serves, plan before switches.
pub fn patterns(
    player: &Player,
    decks: &[(String, Deck)],
    event: Option<&MatchDay>,
) -> Vec<Pattern> {
    let (mut found, mut known) = (Vec::new(), HashSet::new());
    for (stem, deck) in decks {
        let deck = deck.seen_by(player.hand);
        let likely = likelihood(stem, event);
        let shares = deck.shares();
        let mut add = |serve: &Serve, receive: &Receive, part: PatternPart| {
            let sure = if serve.sure == Some(Sure::Guessed) { GUESSED } else { 1.0 };
            let counts = if part == PatternPart::Plan { 1.0 } else { RESERVE };
            let key = deck.pattern(&serve.id, receive);
            if !known.insert(key.clone()) {
                return;
            }
            let own_weight = shares.get(&serve.id).copied().unwrap_or(0.0) * sure * counts;
            found.push(Pattern {
                earlier: serve.was.iter().map(|id| deck.pattern(id, receive)).collect(),
                key,
                stem: stem.clone(),
                opponent: deck.opponent.clone(),
                serve: serve.clone(),
                called: deck.called(&serve.id),
                receive: receive.clone(),
                weight: own_weight * likely,
                own_weight,
                part,
            });
        };
        for (serve, receive) in deck.planned() {
            add(serve, receive, PatternPart::Plan);
        }
        for switch in &deck.switches {
            for serve in deck.active() {
                if let Some(receive) = switch.changes.get(&serve.id) {
                    add(serve, receive, PatternPart::Switch(switch.name.clone()));
                }
            }
        }
    }
    found
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::deck::{Opponent, Plan, Switch};
    use crate::game::Hand;

    pub(crate) fn two_decks() -> (Player, Vec<(String, Deck)>) {
        let mut player = Player::new("Invented", Hand::Right);
        player.events.push(MatchDay {
            name: "Autumn open".to_owned(),
            day: "2026-11-29".parse().unwrap(),
            opponents: vec![Opponent { deck: "north".to_owned(), likely: 0.8 }],
        });
        let decks = ["north", "south"].map(|stem| {
            let mut deck = Deck::new(stem, format!("{stem}1"));
            for id in ["one", "two"] {
                deck.serves.push(Serve::unknown(id.parse().unwrap()));
                deck.plan
                    .insert(id.parse().unwrap(), "forehand push to middle short".parse().unwrap());
            }
            deck.switches.push(Switch {
                name: "long".to_owned(),
                cue: None,
                changes: Plan::from([(
                    "one".parse().unwrap(),
                    "forehand push heavy to backhand long".parse().unwrap(),
                )]),
            });
            (stem.to_owned(), deck)
        });
        (player, decks.into())
    }

    #[test]
    fn a_listed_opponent_outweighs_an_unlisted_one_and_the_plan_outweighs_a_switch() {
        let (player, decks) = two_decks();
        let found = patterns(&player, &decks, player.events.first());
        assert_eq!(found.len(), 6);
        assert!(found[0].weight > found[2].weight, "plan over switch");
        assert!(found[0].weight > found[3].weight, "listed over unlisted");
        assert_eq!(found[2].part, PatternPart::Switch("long".to_owned()));
    }

    #[test]
    fn a_renamed_serve_keeps_its_history() {
        let (player, mut decks) = two_decks();
        let receive: Receive = "forehand push to middle short".parse().unwrap();
        let old = decks[0].1.pattern(&"one".parse().unwrap(), &receive);
        let memories = Memories::from(vec![(old, History::default())]);
        decks[0].1.serves[0].was.push("one".parse().unwrap());
        decks[0].1.serves[0].id = "uno".parse().unwrap();
        decks[0].1.plan.insert("uno".parse().unwrap(), receive);
        let found = patterns(&player, &decks, None);
        let renamed = found.iter().find(|pattern| pattern.key.serve.as_str() == "uno").unwrap();
        assert!(renamed.history(&memories).is_some());
    }
}
