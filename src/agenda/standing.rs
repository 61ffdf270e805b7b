//! Whether an answer is known: the one judgement that the day, the bare command, the drill and the
//! progress share.
//!
//! Memory says how likely it is recalled on the day that counts. The last timed answers may say
//! otherwise, because only the first one of a day counts for memory: who was wrong against the
//! clock lately is not ready, whatever the forecast, nor who was never in time near match speed.
//! What was answered only untimed is not yet fit for the table. The limits are assumptions.

use std::collections::BTreeMap;

use serde::Serialize;

use super::kept::record;
use super::patterns::{Pattern, PatternPart, is_met};
use super::todo::Todo;
use crate::base::Day;
use crate::deck::{Deck, MatchDay, Player};
use crate::drill::{DaySpeed, LAST, SLIPS, Speeds, window};
use crate::game::{PatternKey, ServeId};
use crate::journal::{Event, Fact, How, TableMade, TableResults};
use crate::memory::{Item, Model, Regularity, Standing, fold};

/// An answer in time at no more than this is ready for a match, thousandths of match speed.
pub const READY_PERMILLE: u32 = 1200;
/// Days looked back on.
const OVER_DAYS: u32 = 30;

/// The last answers of one pattern.
#[derive(Debug, Clone, Default)]
pub(super) struct Tries {
    /// Whether each timed one was right, oldest first.
    timed: Vec<bool>,
    has_untimed: bool,
    /// Whether one was in time near match speed.
    is_quick: bool,
}

/// The last answers of every pattern, and how regularly they were given.
#[derive(Debug, Clone, Default)]
pub struct Lately {
    pub(super) tries: BTreeMap<PatternKey, Tries>,
    pub(super) record: Regularity,
    pub(super) table: TableResults,
    /// By the deck's key, the speed of each day.
    pub(super) speeds: BTreeMap<String, Speeds>,
}

impl Lately {
    /// The answers of the last thirty days among these events, which are in the journal's order.
    pub fn from_events(events: &[Event], player: &Player, today: Day) -> Self {
        let mut tries: BTreeMap<PatternKey, Tries> = BTreeMap::new();
        let since = today.minus(OVER_DAYS);
        for event in events.iter().filter(|event| event.day >= since) {
            let Fact::Answer(answer) = &event.fact else { continue };
            let Some(grade) = fold::grade(answer) else { continue };
            let tries = tries.entry(fold::pattern_of(answer)).or_default();
            match answer.how {
                How::Think => tries.has_untimed = true,
                _ => tries.timed.push(grade.is_recalled()),
            }
            let permille = window::answered_permille(answer).filter(|_| answer.how == How::Snap);
            tries.is_quick |=
                grade.is_within_window() && permille.is_some_and(|asked| asked <= READY_PERMILLE);
        }
        let (table, speeds) = (TableResults::from_events(events), Speeds::by_deck(events));
        Self { tries, record: record(events, player, today), table, speeds }
    }

    fn tries(&self, pattern: &Pattern) -> Option<&Tries> {
        std::iter::once(&pattern.key).chain(&pattern.earlier).find_map(|key| self.tries.get(key))
    }

    /// How many of its last timed answers were wrong, and of how many, where that is too often.
    fn wrong(&self, pattern: &Pattern) -> Option<(usize, usize)> {
        let timed = &self.tries(pattern)?.timed;
        let last = &timed[timed.len().saturating_sub(LAST)..];
        let wrong = last.iter().filter(|is_right| !**is_right).count();
        (wrong >= SLIPS).then_some((wrong, last.len()))
    }

    /// Where a pattern stands for a day: never better than its last timed answers.
    pub fn standing(
        &self,
        model: &Model,
        pattern: &Pattern,
        item: &Item,
        day: f64,
        target: f64,
    ) -> Standing {
        let by_memory = Standing::judge(model, item, day, target);
        if by_memory != Standing::Ready {
            by_memory
        } else if self.wrong(pattern).is_some() {
            Standing::Shaky
        } else if self.tries(pattern).is_some_and(|tries| !tries.is_quick) {
            Standing::Slow
        } else {
            Standing::Ready
        }
    }

    /// The patterns that were wrong too often lately, in the order given.
    pub fn slips(&self, patterns: &[Pattern]) -> Vec<Slip> {
        patterns.iter().filter_map(|pattern| self.slip(pattern)).collect()
    }

    /// What there is to say of a pattern that was wrong too often lately.
    pub(super) fn slip(&self, pattern: &Pattern) -> Option<Slip> {
        let (wrong, of) = self.wrong(pattern)?;
        Some(Slip {
            deck: pattern.stem.clone(),
            opponent: pattern.opponent.clone(),
            serve: pattern.serve.id.to_string(),
            called: pattern.called.clone(),
            part: pattern.part.clone(),
            wrong,
            of,
        })
    }

    /// The answers of the plan that were made too seldom at the table, the worst first.
    pub(super) fn unready(&self, patterns: &[Pattern]) -> Vec<Unready> {
        let made = |pattern: &Pattern| {
            let mut keys = std::iter::once(&pattern.key).chain(&pattern.earlier);
            keys.find_map(|key| self.table.find(key)).filter(|made| !made.is_ready())
        };
        let of_plan = patterns.iter().filter(|pattern| pattern.part == PatternPart::Plan);
        let unready = of_plan.filter_map(|pattern| {
            let (deck, opponent) = (pattern.stem.clone(), pattern.opponent.clone());
            let (serve, called) = (pattern.serve.id.clone(), pattern.called.clone());
            Some(Unready { deck, opponent, serve, called, made: made(pattern)? })
        });
        let mut unready: Vec<Unready> = unready.collect();
        unready.sort_by(|a, b| a.made.share().total_cmp(&b.made.share()));
        unready
    }

    /// The speed of each opponent who may be met at the event, of all where there is none.
    pub(super) fn opponent_speeds(
        &self,
        decks: &[(String, Deck)],
        event: Option<&MatchDay>,
    ) -> Vec<OpponentSpeed> {
        let met = decks.iter().filter(|(stem, _)| event.is_none_or(|event| is_met(stem, event)));
        met.filter_map(|(stem, deck)| {
            let [last, before] = self.speeds.get(&deck.key)?.last_two();
            let (deck, opponent) = (stem.clone(), deck.opponent.clone());
            Some(OpponentSpeed { deck, opponent, last: last?, before })
        })
        .collect()
    }

    /// How every answer to those who may be met stands.
    pub(super) fn answers(
        &self,
        patterns: &[Pattern],
        standings: &[Standing],
        event: Option<&MatchDay>,
    ) -> Vec<AnswerStands> {
        let is_asked = |pattern: &Pattern| event.is_none_or(|event| is_met(&pattern.stem, event));
        let met = patterns.iter().zip(standings).filter(|(pattern, _)| is_asked(pattern));
        let stands = met.map(|(pattern, standing)| AnswerStands {
            deck: pattern.stem.clone(),
            opponent: pattern.opponent.clone(),
            called: pattern.called.clone(),
            part: pattern.part.clone(),
            standing: *standing,
            wrong_lately: self.wrong(pattern),
        });
        stands.collect()
    }

    /// The decks of which an answer of the plan was given lately, but only untimed; by file stem.
    pub fn untimed(&self, patterns: &[Pattern]) -> Vec<String> {
        let is_untimed = |pattern: &&Pattern| {
            let tries = self.tries(pattern).filter(|_| pattern.part == PatternPart::Plan);
            tries.is_some_and(|tries| tries.has_untimed && tries.timed.is_empty())
        };
        let mut stems: Vec<String> =
            patterns.iter().filter(is_untimed).map(|pattern| pattern.stem.clone()).collect();
        stems.dedup();
        stems
    }
}

/// How quickly an opponent's serves were answered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OpponentSpeed {
    /// The deck's file stem.
    pub deck: String,
    pub opponent: String,
    /// On the last day with answers against the clock.
    pub last: DaySpeed,
    /// On the day with some before that.
    pub before: Option<DaySpeed>,
}

/// The day for which an answer is to be known: of the event ahead, else tomorrow.
pub fn day_that_counts(event: Option<&MatchDay>, today: Day) -> f64 {
    let tomorrow = f64::from(today.number()) + 1.0;
    event.map_or(tomorrow, |event| f64::from(event.day.number()).max(tomorrow))
}

/// How one answer to an opponent who may be met stands for the day that counts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnswerStands {
    /// The deck's file stem.
    pub deck: String,
    pub opponent: String,
    /// What the serve is called.
    pub called: String,
    pub part: PatternPart,
    pub standing: Standing,
    /// Of its last timed answers so many were wrong, where that is too often.
    pub wrong_lately: Option<(usize, usize)>,
}

/// An answer that was wrong too often lately.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Slip {
    /// The deck's file stem.
    pub deck: String,
    /// The opponent.
    pub opponent: String,
    /// The serve's id, and what it is called.
    pub serve: String,
    pub called: String,
    /// Plan or switch.
    pub part: PatternPart,
    /// How many of its last timed answers were wrong.
    pub wrong: usize,
    /// Of how many.
    pub of: usize,
}

/// An answer that was made too seldom at the table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Unready {
    /// The deck's file stem.
    pub deck: String,
    pub opponent: String,
    pub serve: ServeId,
    /// What the serve is called.
    pub called: String,
    pub made: TableMade,
}

impl Slip {
    /// Drills it whether it is due or not.
    pub fn todo(&self) -> Todo {
        Todo::drill_part(&self.deck, &self.part)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::agenda::patterns::{patterns, tests::two_decks};
    use crate::game::ReceiveKey;
    use crate::journal::{Answer, EventId, Input};
    use crate::memory::MemoryState;

    fn answered(pattern: &Pattern, how: How, is_right: bool) -> Event {
        Event {
            id: EventId { device: "d".to_owned(), n: 1 },
            at_ms: 0,
            day: "2026-11-25".parse().unwrap(),
            origin: None,
            fact: Fact::Answer(Answer {
                deck: pattern.key.deck.clone(),
                serve: pattern.key.serve.clone(),
                right: ReceiveKey::from_receive(&pattern.receive),
                given: (!is_right).then(|| "backhand push".into()),
                how,
                ms: 400,
                window: 500,
                motor: 150,
                tempo: 0,
                input: Input::Script,
                shown: false,
                is_let: false,
                cut: None,
                switch: None,
            }),
        }
    }

    #[test]
    fn what_was_wrong_against_the_clock_lately_is_not_ready_until_it_is_right_again() {
        let (player, decks) = two_decks();
        let all = patterns(&player, &decks, None);
        let item =
            Item { index: 0, weight: 1.0, memory: Some((MemoryState::new(90.0, 5.0).unwrap(), 0)) };
        let today = "2026-11-25".parse().unwrap();
        let standing = |answers: &[bool]| {
            let events: Vec<_> =
                answers.iter().map(|right| answered(&all[0], How::Snap, *right)).collect();
            let lately = Lately::from_events(&events, &player, today);
            lately.standing(&Model::default(), &all[0], &item, 1.0, 0.9)
        };
        assert_eq!(standing(&[]), Standing::Ready);
        assert_eq!(standing(&[false, true, true]), Standing::Ready, "one slip");
        assert_eq!(standing(&[false, false, false]), Standing::Shaky);
        assert_eq!(standing(&[false, false, true, true, true, true]), Standing::Ready);
    }

    #[test]
    fn what_was_only_in_time_far_from_match_speed_is_slow() {
        let (player, decks) = two_decks();
        let all = patterns(&player, &decks, None);
        let item =
            Item { index: 0, weight: 1.0, memory: Some((MemoryState::new(90.0, 5.0).unwrap(), 0)) };
        let standing = |tempo: u32, ms: u32| {
            let mut event = answered(&all[0], How::Snap, true);
            if let Fact::Answer(answer) = &mut event.fact {
                (answer.tempo, answer.ms) = (tempo, ms);
            }
            let lately = Lately::from_events(&[event], &player, "2026-11-25".parse().unwrap());
            lately.standing(&Model::default(), &all[0], &item, 1.0, 0.9)
        };
        assert_eq!(standing(READY_PERMILLE, 500), Standing::Ready);
        assert_eq!(standing(READY_PERMILLE + 1, 500), Standing::Slow);
        assert_eq!(standing(READY_PERMILLE, 501), Standing::Slow, "late");
    }

    #[test]
    fn untimed_answers_alone_are_told_from_timed_ones() {
        let (player, decks) = two_decks();
        let all = patterns(&player, &decks, None);
        let today = "2026-11-25".parse().unwrap();
        let mut events = vec![answered(&all[0], How::Think, true)];
        assert_eq!(Lately::from_events(&events, &player, today).untimed(&all), ["north"]);
        events.push(answered(&all[0], How::Snap, true));
        assert!(Lately::from_events(&events, &player, today).untimed(&all).is_empty());
    }
}
