//! What came of each answer at the table: how many of its last balls were made.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::game::PatternKey;
use crate::journal::event::{Event, Fact};

/// Balls of an answer after which older ones say nothing more (an assumption).
const LAST: u32 = 20;
/// Fewest balls that say anything (an assumption).
const FEWEST: u32 = 6;

/// How many of the last balls landed where they were meant to.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct TableMade {
    pub made: u32,
    /// Missed ones and those with another receive too.
    pub balls: u32,
}

impl TableMade {
    /// The share made.
    pub fn share(self) -> f64 {
        f64::from(self.made) / f64::from(self.balls.max(1))
    }

    /// Seven of ten: fit for a match (common practice).
    pub const fn is_ready(self) -> bool {
        self.made.saturating_mul(10) >= self.balls.saturating_mul(7)
    }
}

/// How every answer went.
#[derive(Debug, Clone, Default)]
pub struct TableResults(BTreeMap<PatternKey, TableMade>);

impl TableResults {
    /// From these events, in the journal's order.
    pub fn from_events(events: &[Event]) -> Self {
        let mut all: BTreeMap<PatternKey, TableMade> = BTreeMap::new();
        for event in events.iter().rev() {
            let Fact::Ball(ball) = &event.fact else { continue };
            let (deck, serve, receive) =
                (ball.deck.clone(), ball.serve.clone(), ball.right.clone());
            let sum = all.entry(PatternKey { deck, serve, receive }).or_default();
            if sum.balls < LAST {
                sum.made = sum.made.saturating_add(ball.made);
                sum.balls = sum.balls.saturating_add(ball.balls());
            }
        }
        Self(all)
    }

    /// How an answer went, where that says anything.
    pub fn find(&self, key: &PatternKey) -> Option<TableMade> {
        self.0.get(key).copied().filter(|its| its.balls >= FEWEST)
    }

    /// Whether it was made too seldom, or has just taken the place of another answer to the serve.
    pub fn is_weak(&self, key: &PatternKey) -> bool {
        let of_serve = |it: &PatternKey| it.deck == key.deck && it.serve == key.serve;
        match self.0.get(key) {
            Some(_) => self.find(key).is_some_and(|its| !its.is_ready()),
            None => self.0.keys().any(of_serve),
        }
    }
}
