//! From the journal's answers to the memory of every pattern.
//!
//! Answers come in the journal's order (day, instant, id) and are judged here, when they are
//! folded, by what was done: nothing in a journal is a grade. The result can be stored at any point
//! and carried on from there. Answers of a reading round were about the serve, not the receive, and
//! move nothing.

use std::collections::HashMap;

use serde::{Deserialize, Serialize};

use super::counted::History;
use super::door::Model;
use super::result::{Behaviour, Behind, Given, Grade};
use crate::game::PatternKey;
use crate::journal::{Answer, Event, Fact, How};

/// The memory of every pattern ever answered.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(from = "Vec<(PatternKey, History)>", into = "Vec<(PatternKey, History)>")]
pub struct Memories(HashMap<PatternKey, History>);

impl From<Vec<(PatternKey, History)>> for Memories {
    fn from(pairs: Vec<(PatternKey, History)>) -> Self {
        Self(pairs.into_iter().collect())
    }
}

impl From<Memories> for Vec<(PatternKey, History)> {
    /// Stored in the order of the keys: the same memory is the same text.
    fn from(memories: Memories) -> Self {
        let mut pairs: Self = memories.0.into_iter().collect();
        pairs.sort_unstable_by(|(left, _), (right, _)| left.cmp(right));
        pairs
    }
}

impl Memories {
    /// The memory of everything in these events, which must be in the journal's order.
    pub fn of_events<'a>(model: &Model, events: impl IntoIterator<Item = &'a Event>) -> Self {
        let mut memories = Self::default();
        for event in events {
            memories.apply(model, event);
        }
        memories
    }

    /// Takes the next event in.
    pub fn apply(&mut self, model: &Model, event: &Event) {
        let Fact::Answer(answer) = &event.fact else { return };
        let Some(behaviour) = behaviour(answer) else { return };
        let history = self.begun(pattern_of(answer));
        if answer.shown {
            history.show(event.day.number());
        }
        history.apply(model, event.day.number(), &behaviour);
    }

    /// The memory of a pattern, begun where there is none.
    pub fn begun(&mut self, key: PatternKey) -> &mut History {
        self.0.entry(key).or_default()
    }

    pub fn get(&self, key: &PatternKey) -> Option<&History> {
        self.0.get(key)
    }
}

/// The pattern that an answer was about.
pub fn pattern_of(answer: &Answer) -> PatternKey {
    PatternKey {
        deck: answer.deck.clone(),
        serve: answer.serve.clone(),
        receive: answer.right.clone(),
    }
}

/// The grade of an answer by its own behaviour, without what lies behind it; none for a let and for
/// what was not about a receive.
pub fn grade(answer: &Answer) -> Option<Grade> {
    behaviour(answer)?.outcome(Behind::default()).grade()
}

/// What the player did, read from an answer; none when it was not about a receive.
pub fn behaviour(answer: &Answer) -> Option<Behaviour> {
    // Reading is not recall; it is counted apart.
    if matches!(answer.how, How::Read | How::Film) {
        return None;
    }
    let old = answer.switch.as_ref().and_then(|switch| switch.old.as_ref());
    let given = match answer.given.as_deref() {
        None => Given::Right,
        Some(given) if old.is_some_and(|old| old.as_str() == given) => Given::OldAnswer,
        Some(_) => Given::Wrong,
    };
    Some(Behaviour {
        given,
        raw_ms: i32::try_from(answer.ms).unwrap_or(i32::MAX),
        window_ms: answer.window,
        kind: answer.how,
        interrupted: answer.is_let,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::ReceiveKey;
    use crate::journal::{EventId, Input, Stage, Switched};

    fn event(n: u64, day: &str, given: Option<&str>, old: Option<&str>) -> Event {
        Event {
            id: EventId { device: "d".to_owned(), n },
            at_ms: 0,
            day: day.parse().unwrap(),
            origin: None,
            fact: Fact::Answer(Answer {
                deck: "abc234".to_owned(),
                serve: "one".parse().unwrap(),
                right: ReceiveKey::from_journal("forehand push"),
                given: given.map(str::to_owned),
                how: How::Snap,
                ms: 400,
                window: 500,
                motor: 150,
                tempo: 0,
                input: Input::Script,
                shown: false,
                is_let: false,
                cut: None,
                switch: old.map(|old| Switched {
                    name: "long".to_owned(),
                    stage: Stage::After,
                    old: Some(ReceiveKey::from_journal(old)),
                }),
            }),
        }
    }

    #[test]
    fn only_the_first_answer_of_a_day_counts_and_the_rest_is_warm() {
        let model = Model::default();
        let mut memories = Memories::default();
        let mut is_counted = |n, day| {
            let before = memories.clone();
            memories.apply(&model, &event(n, day, None, None));
            let memory = |of: &Memories| of.0.values().next().and_then(History::memory);
            memory(&memories) != memory(&before)
        };
        assert!(is_counted(1, "2026-11-25"));
        assert!(!is_counted(2, "2026-11-25"));
        assert!(is_counted(3, "2026-11-26"));
    }

    #[test]
    fn the_receive_that_was_right_before_is_the_old_answer() {
        let Fact::Answer(answer) = event(1, "2026-11-25", Some("block"), Some("block")).fact else {
            panic!("an answer")
        };
        assert_eq!(behaviour(&answer).unwrap().given, Given::OldAnswer);
        let Fact::Answer(answer) = event(1, "2026-11-25", Some("chop"), Some("block")).fact else {
            panic!("an answer")
        };
        assert_eq!(behaviour(&answer).unwrap().given, Given::Wrong);
    }

    #[test]
    fn what_is_stored_can_be_carried_on() {
        let model = Model::default();
        let events = [event(1, "2026-11-25", None, None), event(2, "2026-11-28", Some("x"), None)];
        let whole = Memories::of_events(&model, &events);
        let first = Memories::of_events(&model, &events[..1]);
        let stored = serde_json::to_string(&first).unwrap();
        let mut carried: Memories = serde_json::from_str(&stored).unwrap();
        carried.apply(&model, &events[1]);
        assert_eq!(carried, whole);
    }
}
