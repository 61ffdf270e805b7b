//! From the journal's answers to the memory of every pattern.
//!
//! Answers come in the journal's order (day, instant, id) and are judged here, when they are folded,
//! by what was done: nothing in a journal is a grade. The result can be stored at any point and carried
//! on from there. Answers of a reading round were about the serve, not the receive, and move nothing.

use std::borrow::Borrow;
use std::collections::HashMap;
use std::hash::{Hash, Hasher};

use serde::{Deserialize, Serialize};

use crate::game::{PatternKey, ReceiveKey, ServeId};
use crate::journal::{Answer, Event, Fact, How};
use crate::memory::{Behaviour, Counting, Given, Grade, History, Kind, MemoryError, Model};

/// What one answer of the journal came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Judged {
    /// Its grade; none for a let.
    pub grade: Option<Grade>,
    /// Whether it moved the memory.
    pub counting: Counting,
}

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
    ///
    /// # Errors
    /// [`MemoryError`] when days run backwards, which the journal's order excludes.
    pub fn of_events<'a>(
        model: &Model,
        events: impl IntoIterator<Item = &'a Event>,
    ) -> Result<Self, MemoryError> {
        let mut memories = Self::default();
        for event in events {
            memories.apply(model, event)?;
        }
        Ok(memories)
    }

    /// Takes the next event in; none when it is no answer of a pattern.
    ///
    /// # Errors
    /// As [`Memories::of_events`].
    pub fn apply(&mut self, model: &Model, event: &Event) -> Result<Option<Judged>, MemoryError> {
        let Fact::Answer(answer) = &event.fact else { return Ok(None) };
        let Some(behaviour) = behaviour(answer) else { return Ok(None) };
        // A pattern known already is found without a key of its own: there may be a million answers.
        let parts = (answer.deck.as_str(), &answer.serve, &answer.right);
        let history = if let Some(history) = self.0.get_mut(&parts as &dyn Parts) {
            history
        } else {
            let (deck, serve, receive) = (parts.0.to_owned(), parts.1.clone(), parts.2.clone());
            self.0.entry(PatternKey { deck, serve, receive }).or_default()
        };
        let (outcome, counting) = history.apply(model, event.day.number(), &behaviour)?;
        Ok(Some(Judged { grade: outcome.grade(), counting }))
    }

    /// The memory of one pattern.
    pub fn get(&self, key: &PatternKey) -> Option<&History> {
        self.0.get(key)
    }
}

/// The parts of a pattern's key, owned or not.
trait Parts {
    fn parts(&self) -> (&str, &ServeId, &ReceiveKey);
}

impl Parts for PatternKey {
    fn parts(&self) -> (&str, &ServeId, &ReceiveKey) {
        (&self.deck, &self.serve, &self.receive)
    }
}

impl Parts for (&str, &ServeId, &ReceiveKey) {
    fn parts(&self) -> (&str, &ServeId, &ReceiveKey) {
        *self
    }
}

impl<'k> Borrow<dyn Parts + 'k> for PatternKey {
    fn borrow(&self) -> &(dyn Parts + 'k) {
        self
    }
}

impl PartialEq for dyn Parts + '_ {
    fn eq(&self, other: &Self) -> bool {
        self.parts() == other.parts()
    }
}

impl Eq for dyn Parts + '_ {}

/// The same as that of the key, which is derived from its parts in this order.
impl Hash for dyn Parts + '_ {
    fn hash<H: Hasher>(&self, hasher: &mut H) {
        self.parts().hash(hasher);
    }
}

/// What the player did, read from an answer; none when it was not about a receive.
pub fn behaviour(answer: &Answer) -> Option<Behaviour> {
    let kind = match answer.how {
        How::Snap => Kind::Snap,
        How::Think => Kind::Think,
        How::Shadow => Kind::Shadow,
        How::Read => return None,
    };
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
        kind,
        interrupted: answer.is_let,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
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
                input: Input::Script,
                is_let: false,
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
        let mut counting =
            |n, day| memories.apply(&model, &event(n, day, None, None)).unwrap().unwrap().counting;
        assert_eq!(counting(1, "2026-11-25"), Counting::Counted);
        assert_eq!(counting(2, "2026-11-25"), Counting::Warm);
        assert_eq!(counting(3, "2026-11-26"), Counting::Counted);
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
        let whole = Memories::of_events(&model, &events).unwrap();
        let first = Memories::of_events(&model, &events[..1]).unwrap();
        let stored = serde_json::to_string(&first).unwrap();
        let mut carried: Memories = serde_json::from_str(&stored).unwrap();
        carried.apply(&model, &events[1]).unwrap();
        assert_eq!(carried, whole);
    }
}
