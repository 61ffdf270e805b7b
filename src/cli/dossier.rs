//! Everything known of an opponent: the deck, the points, and what the drill says of its answers.

use std::cmp::Reverse;
use std::collections::HashMap;

use crate::agenda::PatternPart;
use crate::base::{Day, Finding, OutOfBounds};
use crate::cli::overview::Overview;
use crate::cli::values::match_length;
use crate::cli::{Failure, Result};
use crate::deck::Deck;
use crate::game::MatchLength;
use crate::journal::{Debrief, Fact, Point, Stage};
use crate::memory::Standing;
use crate::page::today::change_due;
use crate::tactics::drops::ReadDrop;
use crate::tactics::history::OpponentHistory;
use crate::tactics::question::Question;
use crate::tactics::reserve::Drilled;
use crate::tactics::stroke_rates::StrokeRates;
use crate::tactics::verdict::{Lesson, Verdict, Verdicts};

/// Answers to the switched serve after its call, below which no share of old answers is given.
const FEWEST_AFTER_CALL: usize = 6;
/// Opponents gone through one by one at most.
const FOREMOST: usize = 12;

impl From<OutOfBounds> for Failure {
    fn from(error: OutOfBounds) -> Self {
        Self::Findings(vec![Finding::error(error.to_string())])
    }
}

/// Every opponent with the points against them.
pub(crate) struct Dossiers {
    opponents: Vec<Points>,
    /// What the kinds of receive win, over all opponents.
    strokes: StrokeRates,
}

/// The points against one opponent.
struct Points {
    stem: String,
    deck: Deck,
    history: OpponentHistory,
}

/// One opponent with everything known about them.
#[derive(Clone, Copy)]
pub(crate) struct Dossier<'d> {
    pub home: Overview<'d>,
    /// The file stem of the deck.
    pub stem: &'d str,
    /// The deck, lanes as the player names them.
    pub deck: &'d Deck,
    /// The points and debriefs about this deck.
    pub history: &'d OpponentHistory,
    strokes: &'d StrokeRates,
}

impl Dossiers {
    /// Reads the points of every deck.
    pub fn read(home: &Overview<'_>) -> Self {
        let mut points: HashMap<&str, Vec<(Day, &Fact)>> = HashMap::new();
        for event in home.events {
            if let Fact::Point(Point { deck, .. }) | Fact::Debrief(Debrief { deck, .. }) =
                &event.fact
            {
                points.entry(deck).or_default().push((event.day, &event.fact));
            }
        }
        let mut opponents = Vec::new();
        for (stem, deck) in home.decks {
            let deck = deck.seen_by(home.player.hand);
            let own = points.get(deck.key.as_str()).map(Vec::as_slice).unwrap_or_default();
            let history = OpponentHistory::from_facts(&deck, own.iter().copied());
            opponents.push(Points { stem: stem.clone(), deck, history });
        }
        let strokes = StrokeRates::from_histories(opponents.iter().map(|one| &one.history));
        Self { opponents, strokes }
    }

    /// One after the other.
    pub fn each<'d>(&'d self, home: Overview<'d>) -> impl Iterator<Item = Dossier<'d>> {
        self.opponents.iter().map(move |Points { stem, deck, history }| Dossier {
            home,
            stem,
            deck,
            history,
            strokes: &self.strokes,
        })
    }
}

impl<'d> Dossier<'d> {
    /// The question put to tactics.
    pub const fn question(
        &self,
        length: MatchLength,
        drop: Option<ReadDrop>,
        seed: u64,
    ) -> Question<'d> {
        Question {
            deck: self.deck,
            player: self.home.player,
            history: self.history,
            strokes: self.strokes,
            length,
            drop,
            seed,
        }
    }

    /// The verdict on every planned serve.
    pub fn lessons(&self) -> Result<Vec<Lesson>> {
        // No verdict depends on the length of the match.
        let question = self.question(match_length(5)?, None, 0);
        Ok(Verdicts::judge(question).lessons)
    }

    /// What the drill says of a switch: the weakest of its new answers on match day, and how often
    /// the old one came out after a call.
    pub fn drilled(&self, name: &str) -> Drilled {
        let Some(switch) = self.deck.switch_called(name) else { return Drilled::default() };
        let day = self.home.match_day();
        let recalls: Option<Vec<f64>> = switch
            .changes
            .iter()
            .map(|(serve, receive)| self.home.recall(&self.deck.pattern(serve, receive), day))
            .collect();
        let recall = recalls
            .filter(|recalls| !recalls.is_empty())
            .map(|recalls| recalls.into_iter().fold(1.0, f64::min));
        let part = PatternPart::Switch(switch.name.clone());
        let mut stands = self.home.standings(self.stem).into_iter().filter(|it| it.0 == part);
        Drilled {
            recall,
            is_firm: recall.is_some() && stands.all(|(_, standing)| standing == Standing::Ready),
            slip: self.slip(&switch.name),
        }
    }

    /// Share of old answers to the switched serve after a call of this switch.
    fn slip(&self, name: &str) -> Option<f64> {
        let is_old: Vec<bool> = self
            .home
            .events
            .iter()
            .filter_map(|event| {
                let Fact::Answer(answer) = &event.fact else { return None };
                let switched = answer.switch.as_ref()?;
                let is_it = answer.deck == self.deck.key
                    && !answer.is_let
                    && switched.name == name
                    && switched.stage == Stage::After;
                let old = switched.old.as_ref().filter(|_| is_it)?;
                Some(answer.given.as_deref() == Some(old.as_str()))
            })
            .collect();
        let old_answers = is_old.iter().filter(|is_old| **is_old).count();
        (is_old.len() >= FEWEST_AFTER_CALL).then(|| old_answers as f64 / is_old.len() as f64)
    }
}

/// The opponents that are gone through one by one: all where there are few, else those of events
/// ahead and then those met last.
pub(crate) fn foremost(mut dossiers: Vec<Dossier<'_>>) -> Vec<Dossier<'_>> {
    if dossiers.len() > FOREMOST {
        dossiers.sort_by_cached_key(|of| {
            let ahead = of.home.player.events.iter().filter(|event| event.day >= of.home.today);
            let is_met = ahead.flat_map(|event| &event.opponents).any(|one| one.deck == of.stem);
            Reverse((is_met, of.history.matches.first().map(|seen| seen.day)))
        });
        dossiers.truncate(FOREMOST);
    }
    dossiers
}

/// A line for every change that is due by the points, over these opponents.
pub(crate) fn changes_due(dossiers: &[Dossier<'_>]) -> Result<Vec<String>> {
    let mut lines = Vec::new();
    for of in dossiers.iter().filter(|of| !of.history.is_empty()) {
        let lessons = of.lessons()?;
        let due = lessons.iter().filter(|lesson| lesson.verdict == Verdict::Change);
        let whose = (dossiers.len() > 1).then_some(of.deck.opponent.as_str());
        lines.extend(due.map(|lesson| change_due(whose, of.stem, lesson)));
    }
    Ok(lines)
}
