//! The evidence behind a verdict: all clean balls of an answer through the filter, and the newest
//! ones in numbers.
//!
//! The filter goes through every match, oldest first; between two matches the rate fades and what
//! was read may be forgotten. Balls of other serves answered with the same receive speak about
//! being read (the server sees one stroke) but not about the rate of this serve. Debriefs move the
//! rate; only "they had read it" speaks of reading.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::game::{Receive, ReceiveKey, ServeId};
use crate::tactics::drops::OpenDrop;
use crate::tactics::question::Question;
use crate::tactics::rates::{DEBRIEF, FADING, fading};
use crate::tactics::record::{CleanBall, InMatch, Record};

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
    /// Clean balls with this receive, against any serve it answers.
    pub clean: usize,
    /// Of those, lost.
    pub lost: usize,
    /// Of those, for which it was noted (or left out as a "no") whether they waited.
    pub noted: usize,
    /// Of those, they waited.
    pub waited: usize,
}

/// Everything the points say about one planned receive.
#[derive(Debug)]
pub(crate) struct Evidence {
    pub recent: Recent,
    /// Clean balls with the same receive against other serves, all matches.
    pub elsewhere: usize,
    /// The other serves whose balls are in `recent`.
    pub together_with: Vec<ServeId>,
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
    /// Having seen everything.
    pub filter: OpenDrop,
}

/// A clean ball; of another serve with the same receive, with that serve's rate when nobody waits.
type SeenBall = (CleanBall, Option<f64>);

/// Gathers the evidence on `receive` against `serve`.
pub(crate) fn gather(
    question: &Question<'_>,
    serve: &ServeId,
    receive: &Receive,
    record: &Record,
) -> Evidence {
    let key = ReceiveKey::from_receive(receive);
    let mut balls: Vec<SeenBall> = record.balls.iter().map(|ball| (*ball, None)).collect();
    let mut serves: Vec<(&ServeId, &Record)> = Vec::new();
    for ((id, with), other) in &question.history.patterns {
        if *with == key && id != serve && !other.balls.is_empty() {
            let rate = other.clean.belief(question.prior(receive, true)).mean();
            balls.extend(other.balls.iter().map(|ball| (*ball, Some(rate))));
            serves.push((id, other));
        }
    }
    balls.sort_by_key(|(ball, _)| (std::cmp::Reverse(ball.age), ball.order));
    let newest = record.newest().or_else(|| balls.last().map(|(ball, _)| ball.age));
    let (recent, ages) = recent(question, record, &balls);
    let since = newest.unwrap_or(u32::MAX);
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
    serves.retain(|(_, record)| record.balls.iter().any(|ball| ages.contains(&ball.age)));
    Evidence {
        recent,
        elsewhere: balls.len() - record.balls.len(),
        together_with: serves.into_iter().map(|(id, _)| id.clone()).collect(),
        told_since: told_since.map(|told| told.played * DEBRIEF).sum(),
        is_told_read: newest_told
            .is_some_and(|(age, seen)| *age <= since && seen.debrief.is_some_and(|told| told.read)),
        badly_newest: of_newest,
        badly_faded: faded,
        badly_in_all: in_all,
        filter: filtered(question, receive, record, &balls),
    }
}

/// The filter after every match, oldest first.
fn filtered(
    question: &Question<'_>,
    receive: &Receive,
    record: &Record,
    balls: &[SeenBall],
) -> OpenDrop {
    let mut filter = OpenDrop::new(question.prior(receive, true), question.drop);
    // What a debrief tells is lost first by receives that came loose or missed, as often as they
    // do.
    let clean = f64::from(record.in_matches.values().map(InMatch::clean).sum::<u32>());
    let played = f64::from(record.points);
    let clean_share = if played > 0.0 { clean / played } else { 1.0 };
    let oldest = balls.first().map(|(ball, _)| ball.age);
    let oldest = oldest.max(record.in_matches.keys().next_back().copied());
    let mut balls = balls.iter().peekable();
    for age in (0..=oldest.unwrap_or(0)).rev() {
        while let Some((ball, rate)) = balls.next_if(|(ball, _)| ball.age == age) {
            filter.weigh(|one| match rate {
                None => one.see(ball.exposure),
                Some(rate) => one.see_elsewhere(ball.exposure, *rate),
            });
        }
        if let Some(told) = record.in_matches.get(&age).and_then(|seen| seen.debrief) {
            let played = told.played * DEBRIEF * clean_share;
            let won = (told.won * DEBRIEF).min(played);
            let noticed = if told.read { TOLD_READ_BALLS } else { 0 };
            filter.each(|one| {
                one.hear(won, played - won);
                (0..noticed).for_each(|_| one.notice(true));
            });
        }
        if age > 0 {
            filter.each(|one| one.next_match(FADING));
        }
    }
    filter
}

/// The newest matches together, and how many matches back they are.
fn recent(question: &Question<'_>, record: &Record, balls: &[SeenBall]) -> (Recent, Vec<u32>) {
    let recorded = record.in_matches.iter().filter(|(_, seen)| seen.points > 0);
    let ages: BTreeSet<u32> =
        recorded.map(|(age, _)| *age).chain(balls.iter().map(|(ball, _)| ball.age)).collect();
    let mut recent = Recent::default();
    let mut taken = Vec::new();
    for age in ages.into_iter().take(MOST_TOGETHER) {
        if recent.clean >= ENOUGH_TO_SHOW {
            break;
        }
        taken.push(age);
        recent.matches.extend(question.history.match_at(age).map(|seen| seen.word.clone()));
        if let Some(seen) = record.in_matches.get(&age) {
            recent.points += seen.points;
            recent.won += seen.won;
            recent.loose += seen.loose;
            recent.missed += seen.missed;
        }
        for (ball, _) in balls.iter().filter(|(ball, _)| ball.age == age) {
            recent.clean += 1;
            recent.lost += usize::from(!ball.exposure.won);
            recent.noted += usize::from(ball.exposure.waiting.is_some());
            recent.waited += usize::from(ball.exposure.waiting == Some(true));
        }
    }
    (recent, taken)
}
