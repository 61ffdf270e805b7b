//! The timed answers as the pictures need them: those of the last weeks of each deck one by one,
//! and of those before only what the deck has behind it.
//!
//! A picture draws [`PERIODS`] periods at most, but where a round's staircase turned depends on
//! every answer of the round in its order. So sums would not do.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::period::{PERIODS, PeriodLength};
use crate::base::Day;
use crate::deck::Deck;
use crate::drill::window;
use crate::game::ServeId;
use crate::journal::{Event, Fact, How, Input};
use crate::memory::Grade;
use crate::memory::fold::grade;

/// The timed answers of a journal, lets left out.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Answers {
    /// By the deck's key.
    decks: BTreeMap<String, DeckAnswers>,
    /// Answers taken in so far.
    taken: u64,
}

/// What is known of one deck's answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct DeckAnswers {
    /// The day of the first there ever was.
    first: Day,
    /// A simulated player gave some of all there ever were.
    has_simulated: bool,
    /// The Mondays of the last [`PERIODS`] weeks with an answer from which a tempo follows.
    weeks: Vec<Day>,
    /// The answers of those weeks, and of any between and behind them, in the journal's order.
    timed: Vec<TimedAnswer>,
}

/// A timed answer that was no let.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct TimedAnswer {
    /// Its place among those of all decks.
    place: u64,
    /// The player's day.
    day: Day,
    serve: ServeId,
    /// Its grade by its own behaviour.
    grade: Grade,
    /// The tempo it was asked at, thousandths of match speed.
    permille: Option<u32>,
}

/// A timed answer that was no let.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Timed<'a> {
    /// The player's day.
    pub day: Day,
    /// The deck's key.
    pub deck: &'a str,
    /// The serve.
    pub serve: &'a ServeId,
    /// Its grade by its own behaviour.
    pub grade: Grade,
    /// The tempo it was asked at, thousandths of match speed.
    pub permille: Option<u32>,
}

/// The timed answers asked about.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Answered<'a> {
    /// The day of the first there ever was.
    pub first: Option<Day>,
    /// A simulated player gave some of all there ever were.
    pub has_simulated: bool,
    /// The deck of the last one that is about a deck of today.
    pub last_deck: Option<&'a str>,
    /// In the journal's order, all of the periods that are drawn.
    pub timed: Vec<Timed<'a>>,
}

impl Answers {
    /// The answers of these events, which must be in the journal's order.
    #[cfg(any(test, feature = "inside"))]
    pub fn of_events<'e>(events: impl IntoIterator<Item = &'e Event>) -> Self {
        let mut answers = Self::default();
        events.into_iter().for_each(|event| answers.take(event));
        answers
    }

    /// Takes the next event of the journal in; all but timed answers are passed over.
    pub fn take(&mut self, event: &Event) {
        let Fact::Answer(answer) = &event.fact else { return };
        if answer.how != How::Snap {
            return;
        }
        let Some(grade) = grade(answer) else { return };
        self.taken += 1;
        // A known deck is found without a key of its own: there may be a million answers.
        let deck = if let Some(deck) = self.decks.get_mut(&answer.deck) {
            deck
        } else {
            self.decks.entry(answer.deck.clone()).or_insert_with(|| DeckAnswers::new(event.day))
        };
        deck.has_simulated |= answer.input == Input::Simulated;
        let permille = window::answered_permille(answer);
        if permille.is_some() {
            deck.begin_week(PeriodLength::Week.begin(event.day));
        }
        deck.timed.push(TimedAnswer {
            place: self.taken,
            day: event.day,
            serve: answer.serve.clone(),
            grade,
            permille,
        });
    }

    /// The answers asked about: those of the decks, or with `is_all` those of opponents who are
    /// gone too.
    pub(super) fn answered(&self, decks: &[(String, Deck)], is_all: bool) -> Answered<'_> {
        let is_known = |key: &str| decks.iter().any(|(_, deck)| deck.key == key);
        let asked = || self.decks.iter().filter(|(key, _)| is_all || is_known(key));
        let weeks: BTreeSet<Day> = asked().flat_map(|(_, deck)| &deck.weeks).copied().collect();
        let since = weeks.iter().rev().nth(PERIODS - 1);
        let mut timed: Vec<(&str, &TimedAnswer)> = asked()
            .flat_map(|(key, deck)| deck.timed.iter().map(|one| (key.as_str(), one)))
            .filter(|(_, one)| since.is_none_or(|since| one.day >= *since))
            .collect();
        timed.sort_unstable_by_key(|(_, one)| one.place);
        let last = |deck: &DeckAnswers| deck.timed.last().map(|one| one.place);
        let known = asked().filter(|(key, _)| is_known(key));
        Answered {
            first: asked().map(|(_, deck)| deck.first).min(),
            has_simulated: asked().any(|(_, deck)| deck.has_simulated),
            last_deck: known.max_by_key(|(_, deck)| last(deck)).map(|(key, _)| key.as_str()),
            timed: timed.into_iter().map(|(deck, one)| one.of_deck(deck)).collect(),
        }
    }
}

impl DeckAnswers {
    const fn new(first: Day) -> Self {
        Self { first, has_simulated: false, weeks: Vec::new(), timed: Vec::new() }
    }

    /// Begins a week when it is a new one, and lets go of the answers before the last weeks.
    fn begin_week(&mut self, monday: Day) {
        if self.weeks.last() == Some(&monday) {
            return;
        }
        self.weeks.push(monday);
        if self.weeks.len() > PERIODS {
            self.weeks.remove(0);
            let since = self.weeks[0];
            self.timed.retain(|one| one.day >= since);
        }
    }
}

impl TimedAnswer {
    const fn of_deck<'a>(&'a self, deck: &'a str) -> Timed<'a> {
        let Self { day, grade, permille, .. } = *self;
        Timed { day, deck, serve: &self.serve, grade, permille }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::agenda::progress::document::{pictures, progress};
    use crate::agenda::progress::request::ProgressRequest;
    use crate::base::Dice;
    use crate::deck::Player;
    use crate::game::{Hand, ReceiveKey, Serve};
    use crate::journal::{Answer, Ball, EventId, Stage, Switched};
    use crate::memory::{Memories, Model};

    const FIRST: &str = "2023-05-10";
    const DAYS: u32 = 1_000;

    /// Four decks of three serves; two more were forgotten or lie on another device.
    fn decks() -> Vec<(String, Deck)> {
        let deck = |number: usize| {
            let mut deck = Deck::new(format!("Invented {number}"), format!("deck{number}"));
            deck.serves =
                (0..3).map(|n| Serve::unknown(format!("s{n}").parse().unwrap())).collect();
            (format!("invented-{number}"), deck)
        };
        (0..4).map(deck).collect()
    }

    /// What was done in three years: decks that come and go, weeks without a ball, lets, answers
    /// without a clock, every input, windows too short to mean a tempo, switch rounds, balls.
    fn journal() -> Vec<Event> {
        let mut dice = Dice::from_seed(7);
        let mut events = Vec::new();
        let first: Day = FIRST.parse().unwrap();
        for ahead in 0..DAYS {
            // Every deck in its own way: always, a half year, one day in twenty, until it was
            // forgotten, and so on.
            let drilled: Vec<usize> = (0..6)
                .filter(|deck| match deck {
                    0 => ahead % 3 == 0 && !(300..340).contains(&ahead),
                    1 => (100..290).contains(&ahead),
                    2 => ahead % 20 == 0,
                    3 => ahead % 7 == 5 && ahead > 500,
                    4 => ahead < 700,
                    _ => ahead % 11 == 0,
                })
                .collect();
            let mut window = 1_000;
            for _ in 0..dice.below(24) {
                let Some(&deck) = drilled.get(dice.below(drilled.len().max(1))) else { break };
                let (deck, day) = (format!("deck{deck}"), first.plus(ahead));
                let serve: ServeId = format!("s{}", dice.below(4)).parse().unwrap();
                let right = ReceiveKey::from_journal("forehand push");
                let is_right = dice.chance(0.8);
                window = if is_right { window * 97 / 100 } else { window * 103 / 100 };
                let n = events.len() as u64 + 1;
                let switched =
                    || Switched { name: "long".to_owned(), stage: Stage::After, old: None };
                let answer = Answer {
                    deck: deck.clone(),
                    serve: serve.clone(),
                    right: right.clone(),
                    given: (!is_right).then(|| "backhand block".to_owned()),
                    how: How::ALL[usize::from(dice.chance(0.1)) * dice.below(How::ALL.len())],
                    ms: 100 + u32::try_from(dice.below(1_500)).unwrap(),
                    window: if dice.chance(0.05) { 100 } else { window },
                    motor: 210 + 40 * u32::from(dice.chance(0.1)),
                    tempo: 0,
                    input: Input::ALL[dice.below(3) + usize::from(dice.chance(0.001))],
                    shown: false,
                    is_let: dice.chance(0.05),
                    cut: None,
                    switch: dice.chance(0.02).then(switched),
                };
                let ball = Ball { deck, serve, right, made: 3, missed: 1, wrong: 0 };
                let fact = if dice.chance(0.02) { Fact::Ball(ball) } else { Fact::Answer(answer) };
                let id = EventId { device: "d".to_owned(), n };
                events.push(Event { id, at_ms: 0, day, origin: None, fact });
            }
        }
        events
    }

    /// The timed answers asked about, as they stand in the journal.
    fn all_of<'e>(events: &'e [Event], decks: &[(String, Deck)], is_all: bool) -> Answered<'e> {
        let is_known = |key: &str| decks.iter().any(|(_, deck)| deck.key == key);
        let answers = events.iter().filter_map(|event| match &event.fact {
            Fact::Answer(answer) => Some((event.day, answer)),
            _ => None,
        });
        let all: Vec<(Timed<'_>, Input)> = answers
            .filter(|(_, one)| one.how == How::Snap && (is_all || is_known(&one.deck)))
            .filter_map(|(day, one)| {
                let (deck, serve, grade) = (one.deck.as_str(), &one.serve, grade(one)?);
                let permille = window::answered_permille(one);
                Some((Timed { day, deck, serve, grade, permille }, one.input))
            })
            .collect();
        Answered {
            first: all.first().map(|(one, _)| one.day),
            has_simulated: all.iter().any(|(_, input)| *input == Input::Simulated),
            last_deck: all.iter().rev().map(|(one, _)| one.deck).find(|deck| is_known(deck)),
            timed: all.into_iter().map(|(one, _)| one).collect(),
        }
    }

    /// The pictures from the folded answers and those from all, of all decks and of each.
    fn assert_same_pictures(events: &[Event], answers: &Answers, today: Day) {
        let decks = decks();
        let player = Player::new("Invented", Hand::Right);
        let memories = Memories::of_events(&Model::default(), events);
        let is_kept = |event: &&Event| {
            let is_plain = matches!(&event.fact, Fact::Answer(one) if one.switch.is_none());
            !is_plain || event.day >= today.minus(30)
        };
        let kept: Vec<Event> = events.iter().filter(is_kept).cloned().collect();
        let asked_of_one = decks.iter().map(|one| (std::slice::from_ref(one), Some("one")));
        for (decks, opponent) in asked_of_one.chain([(&decks[..], None)]) {
            let asked = ProgressRequest {
                player: &player,
                decks,
                opponent,
                memories: &memories,
                events: &kept,
                answers,
                today,
            };
            let of_all = ProgressRequest { events, ..asked };
            let expected = pictures(&of_all, &all_of(events, decks, opponent.is_none()));
            assert_eq!(progress(&asked), expected, "{today} {:?}", decks[0].0);
        }
    }

    #[test]
    fn the_pictures_of_folded_answers_are_those_of_all_answers() {
        let events = journal();
        let first: Day = FIRST.parse().unwrap();
        let mut answers = Answers::default();
        let mut taken = 0;
        // From the first days, drawn by the day, to years later, kept as text and read again in
        // between.
        for ahead in [0, 5, 20, 21, 45, 200, 340, 700, 705, DAYS - 1, DAYS + 200] {
            let until = events.partition_point(|event| event.day <= first.plus(ahead));
            events[taken..until].iter().for_each(|event| answers.take(event));
            taken = until;
            let text = serde_json::to_string(&answers).unwrap();
            answers = serde_json::from_str(&text).unwrap();
            assert_same_pictures(&events[..until], &answers, first.plus(ahead));
        }
        let all = all_of(&events, &[], true).timed.len();
        let kept: usize = answers.decks.values().map(|deck| deck.timed.len()).sum();
        assert!(kept * 4 < all * 3, "{kept} of {all}");
    }

    #[test]
    fn a_deck_drilled_every_week_keeps_half_a_year_however_long_the_journal_is() {
        let mut events = journal();
        events.retain(|event| event.fact.deck() == Some("deck0"));
        let answers = Answers::of_events(&events);
        let weeks: BTreeSet<Day> = answers.decks["deck0"]
            .timed
            .iter()
            .map(|one| PeriodLength::Week.begin(one.day))
            .collect();
        assert!((PERIODS..=PERIODS + 1).contains(&weeks.len()), "{}", weeks.len());
    }
}
