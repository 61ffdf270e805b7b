//! Serves that have been renamed: events keep the id of their day, whoever folds them sees today's.

use std::collections::BTreeMap;

use crate::game::ServeId;
use crate::journal::{Event, Fact};

/// Which serve of which deck is called what today.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Renames {
    /// By the deck's key, then the id it once had.
    today: BTreeMap<String, BTreeMap<ServeId, ServeId>>,
}

impl Renames {
    /// Notes that a serve of a deck was once called `was`.
    pub fn note(&mut self, deck: &str, was: &ServeId, today: &ServeId) {
        if was != today {
            self.today.entry(deck.to_owned()).or_default().insert(was.clone(), today.clone());
        }
    }

    /// Puts today's ids into an event.
    pub fn apply(&self, event: &mut Event) {
        let Some(deck) = event.fact.deck().and_then(|deck| self.today.get(deck)) else { return };
        let put = |serve: &mut ServeId| {
            if let Some(today) = deck.get(serve) {
                *serve = today.clone();
            }
        };
        match &mut event.fact {
            Fact::Answer(answer) => put(&mut answer.serve),
            Fact::Ball(ball) => put(&mut ball.serve),
            Fact::Seen(seen) => put(&mut seen.serve),
            Fact::Point(point) => {
                if let Some(serve) = &mut point.serve {
                    put(serve);
                }
            }
            Fact::Debrief(debrief) => {
                for remembered in &mut debrief.serves {
                    put(&mut remembered.serve);
                }
            }
            Fact::Undo { .. } | Fact::Forget { .. } => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::{EventId, Seen};

    #[test]
    fn an_old_event_is_seen_under_the_new_name_in_its_own_deck_only() {
        let id = |text: &str| text.parse::<ServeId>().unwrap();
        let mut renames = Renames::default();
        renames.note("k7f3q2", &id("old"), &id("new"));
        let mut event = Event {
            id: EventId { device: "d".to_owned(), n: 1 },
            at_ms: 0,
            day: "2026-11-25".parse().unwrap(),
            origin: None,
            fact: Fact::Seen(Seen::once("k7f3q2".to_owned(), id("old"))),
        };
        renames.apply(&mut event);
        assert!(matches!(&event.fact, Fact::Seen(seen) if seen.serve == id("new")));
        let of_other = Fact::Seen(Seen::once("other1".to_owned(), id("old")));
        let mut other = Event { fact: of_other, ..event };
        renames.apply(&mut other);
        assert!(matches!(&other.fact, Fact::Seen(seen) if seen.serve == id("old")));
    }
}
