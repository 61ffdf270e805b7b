//! The evidence behind the verdicts: all clean balls of all answers through one belief, and the
//! newest ones in numbers.
//!
//! The belief goes through every match, oldest first; between two matches the rates fade. Whether
//! an answer is read stays as its last balls left it, however long another one was played, until a
//! new match has balls enough of it to say anew. Debriefs move the rate; only "they had read it"
//! speaks of reading.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::deck::Switch;
use crate::game::{Receive, ReceiveKey, ServeId};
use crate::tactics::adaptation::{Adaptation, AnswerTo, Card, Outlook};
use crate::tactics::question::Question;
use crate::tactics::rates::{DEBRIEF, FADING, Tally, fading};
use crate::tactics::record::{CleanBall, DebriefPoints, InMatch, Record};
use crate::tactics::stroke_rates::USUAL_STRENGTH;
use crate::tactics::usual::RECEIVER_WINS;

/// Clean points that the newest matches are taken together for.
const ENOUGH_TO_SHOW: usize = 5;
/// Matches taken together at most.
const MOST_TOGETHER: usize = 3;
/// What a debrief's "they had read it" is worth: so many balls they were seen waiting for.
const TOLD_READ_BALLS: usize = 2;

/// The newest matches with points of an answer, as many as it takes to say something.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Recent {
    /// Their words, newest first.
    pub matches: Vec<String>,
    /// Points with this receive against this serve.
    pub points: u32,
    /// Of those, won.
    pub won: u32,
    /// Receives that came loose.
    pub loose: u32,
    /// Receives that missed the table.
    pub missed: u32,
    /// Clean balls.
    pub clean: usize,
    /// Of those, lost.
    pub lost: usize,
    /// Of those, for which it was noted (or left out as a "no") whether they waited.
    pub noted: usize,
    /// Of those, they waited.
    pub waited: usize,
}

/// What the newest points say about one planned receive.
#[derive(Debug)]
pub(crate) struct Evidence {
    pub recent: Recent,
    /// Points told in debriefs since the newest recorded one, at half weight.
    pub told_since: f64,
    /// The newest debrief says that it had been read.
    pub is_told_read: bool,
    /// Receives that came loose or missed, and points, in the newest match with any.
    pub badly_newest: (u32, u32),
    /// The same over all matches, older ones faded.
    pub badly_faded: (f64, f64),
    /// The same in all, as counted.
    pub badly_in_all: (u32, u32),
}

/// Gathers what the newest points of a pattern say.
pub(crate) fn gather(question: &Question<'_>, record: &Record) -> Evidence {
    let since = record.newest().unwrap_or(u32::MAX);
    let told_since = record.in_matches.range(..=since).filter_map(|(_, seen)| seen.debrief);
    let newest_told = record.in_matches.iter().find(|(_, seen)| seen.debrief.is_some());
    let (mut faded, mut in_all, mut of_newest) = ((0.0, 0.0), (0, 0), (0, 0));
    for (age, seen) in &record.in_matches {
        let weight = fading(FADING, *age);
        let (badly, points) = (seen.loose + seen.missed, seen.points);
        faded = (faded.0 + weight * f64::from(badly), faded.1 + weight * f64::from(points));
        of_newest = if in_all.1 == 0 { (badly, points) } else { of_newest };
        in_all = (in_all.0 + badly, in_all.1 + points);
    }
    Evidence {
        recent: recent(question, record),
        told_since: told_since.map(|told| told.played * DEBRIEF).sum(),
        is_told_read: newest_told
            .is_some_and(|(age, seen)| *age <= since && seen.debrief.is_some_and(|told| told.read)),
        badly_newest: of_newest,
        badly_faded: faded,
        badly_in_all: in_all,
    }
}

/// The newest matches together.
fn recent(question: &Question<'_>, record: &Record) -> Recent {
    let mut recent = Recent::default();
    let recorded = record.in_matches.iter().filter(|(_, seen)| seen.points > 0);
    for (age, seen) in recorded.take(MOST_TOGETHER) {
        if recent.clean >= ENOUGH_TO_SHOW {
            break;
        }
        recent.matches.extend(question.history.match_at(*age).map(|seen| seen.word.clone()));
        recent.points += seen.points;
        recent.won += seen.won;
        recent.loose += seen.loose;
        recent.missed += seen.missed;
        for ball in record.balls.iter().filter(|ball| ball.age == *age) {
            recent.clean += 1;
            recent.lost += usize::from(!ball.exposure.won);
            recent.noted += usize::from(ball.exposure.waiting.is_some());
            recent.waited += usize::from(ball.exposure.waiting == Some(true));
        }
    }
    recent
}

/// The belief about an opponent after every match, with the place of each answer in it.
#[derive(Debug)]
pub struct Watched {
    adaptation: Adaptation,
    places: BTreeMap<(ServeId, ReceiveKey), usize>,
}

impl Watched {
    /// After all clean balls of an opponent; `pairs` are answers to be compared, with points or
    /// without.
    pub(crate) fn from_question(
        question: &Question<'_>,
        pairs: impl IntoIterator<Item = (ServeId, ReceiveKey)>,
    ) -> Self {
        let patterns = &question.history.patterns;
        let mut places: BTreeMap<(ServeId, ReceiveKey), usize> =
            pairs.into_iter().chain(patterns.keys().cloned()).map(|answer| (answer, 0)).collect();
        let mut serves: Vec<&ServeId> = places.keys().map(|(serve, _)| serve).collect();
        serves.dedup();
        let means: Vec<f64> = serves.iter().map(|serve| mean_against(question, serve)).collect();
        let answers = places.keys().map(|(serve, _)| {
            let serve = serves.partition_point(|before| *before < serve);
            AnswerTo { serve, mean: means[serve] }
        });
        let mut adaptation = Adaptation::new(answers.collect());
        places.values_mut().enumerate().for_each(|(place, at)| *at = place);
        let of_record = |pattern| (places[pattern], &patterns[pattern]);
        let records: Vec<(usize, &Record)> = patterns.keys().map(of_record).collect();
        let mut balls: Vec<(usize, &CleanBall)> = Vec::new();
        for (at, record) in &records {
            balls.extend(record.balls.iter().map(|ball| (*at, ball)));
        }
        balls.sort_by_key(|(_, ball)| (std::cmp::Reverse(ball.age), ball.order));
        // A few balls of a new match do not wipe what the match before has shown.
        let mut balls_in: BTreeMap<(usize, u32), usize> = BTreeMap::new();
        for (at, ball) in &balls {
            *balls_in.entry((*at, ball.age)).or_default() += 1;
        }
        let is_anew = |at, age| balls_in.get(&(at, age)).is_some_and(|n| *n >= ENOUGH_TO_SHOW);
        let oldest = u32::try_from(question.history.matches.len().saturating_sub(1));
        let oldest = oldest.unwrap_or(u32::MAX);
        // The match up to which each answer has been followed.
        let mut known_at = vec![oldest; places.len()];
        let mut follow = |adaptation: &mut Adaptation, at: usize, age: u32| {
            let passed = std::mem::replace(&mut known_at[at], age) - age;
            if passed > 0 {
                adaptation.next_match(at, fading(FADING, passed), is_anew(at, age));
            }
        };
        let mut balls = balls.into_iter().peekable();
        for age in (0..=oldest).rev() {
            while let Some((at, ball)) = balls.next_if(|(_, ball)| ball.age == age) {
                follow(&mut adaptation, at, age);
                adaptation.see(at, ball.exposure);
            }
            for (at, record) in &records {
                let told = record.in_matches.get(&age).and_then(|seen| seen.debrief);
                if let Some(told) = told {
                    follow(&mut adaptation, *at, age);
                    hear_debrief(&mut adaptation, *at, record, told);
                }
            }
        }
        for at in 0..places.len() {
            follow(&mut adaptation, at, 0);
        }
        Self { adaptation, places }
    }

    fn places(&self, serve: &ServeId, answers: [&Receive; 2]) -> Option<[usize; 2]> {
        let place = |receive: &Receive| {
            self.places.get(&(serve.clone(), ReceiveKey::from_receive(receive))).copied()
        };
        Some([place(answers[0])?, place(answers[1])?])
    }

    /// What is said of an answer and another one to a serve; none when either was not asked for.
    pub fn outlook(&self, serve: &ServeId, answers: [&Receive; 2]) -> Option<Outlook> {
        let [answer, other] = self.places(serve, answers)?;
        Some(self.adaptation.outlook(answer, other))
    }

    /// The card for an answer and the one in reserve. The next match starts with nothing read, but
    /// where a change is due because it looks read.
    pub fn card(
        &self,
        serve: &ServeId,
        answers: [&Receive; 2],
        is_change: bool,
        starts_with_other: bool,
    ) -> Option<Card> {
        let [answer, other] = self.places(serve, answers)?;
        let mut next = self.adaptation.clone();
        if !is_change {
            for at in [answer, other] {
                next.next_match(at, FADING, true);
            }
        }
        Some(next.card(answer, other, starts_with_other))
    }
}

/// What a debrief tells of an answer: it is lost first by receives that came loose or missed, as
/// often as they do.
fn hear_debrief(adaptation: &mut Adaptation, at: usize, record: &Record, told: DebriefPoints) {
    let clean = f64::from(record.in_matches.values().map(InMatch::clean).sum::<u32>());
    let points = f64::from(record.points);
    let clean_share = if points > 0.0 { clean / points } else { 1.0 };
    let played = told.played * DEBRIEF * clean_share;
    let won = (told.won * DEBRIEF).min(played);
    adaptation.hear(at, won, played - won);
    for _ in 0..if told.read { TOLD_READ_BALLS } else { 0 } {
        adaptation.note(at, false, true);
    }
}

/// Where the rates of all answers to a serve start from: the clean receives against this opponent's
/// other serves that have no second answer.
fn mean_against(question: &Question<'_>, serve: &ServeId) -> f64 {
    let is_held = |id: &ServeId| {
        question.deck.switches.iter().any(|switch: &Switch| switch.changes.contains_key(id))
    };
    let mut others = Tally::default();
    for ((id, _), record) in &question.history.patterns {
        if id != serve && !is_held(id) {
            others.add(record.clean.won, record.clean.played, 1.0);
        }
    }
    RECEIVER_WINS + (others.won - RECEIVER_WINS * others.played) / (others.played + USUAL_STRENGTH)
}
