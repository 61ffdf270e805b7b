//! Every active serve of a deck weighed, and the match as a whole: every number a screen, a sheet
//! or a file may want, no sentence and no layout.
//!
//! What is left out of its written form, a view writes with its sentences.

use rayon::prelude::*;
use serde::Serialize;

use super::choices::{Choice, RATED_FROM, choices};
use super::mixing::{Mix, OtherDrop, mix};
use crate::game::{Serve, ServeId};
use crate::tactics::chance::{Chances, Slope, win_match};
use crate::tactics::question::Question;
use crate::tactics::rates::Knowledge;
use crate::tactics::verdict::{Lesson, Verdicts};
use crate::tactics::worth::{ChangeWorth, UnsureChances};

/// Fewest recorded points that can speak about how often each serve comes.
const FEWEST_SHARES: u32 = 40;
/// Difference of a share from which it is worth a word.
const SHARE_IS_OFF: f64 = 0.07;
/// Weighted points from which a rate has moved at all.
const ANY_POINTS: f64 = 0.05;

/// What has to be known beside the rates.
#[derive(Debug, Clone, PartialEq)]
pub enum AdviceNote {
    /// No match is recorded.
    NoMatch,
    /// So many matches went in.
    Matches(usize),
    /// Receiving points without a known serve or receive.
    Unknown(usize),
    /// What being read costs is assumed for some receives; the serves whose planned answer has it
    /// measured.
    AssumedDrop(Vec<(ServeId, f64)>),
    /// How often each serve came of so many points, where that is not what the deck says.
    SharesOff { points: u32, came: Vec<(ServeId, f64)> },
    /// Some rates with few points are pulled towards what is usual of them.
    Shrunk,
}

/// Advice for one serve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServeAdvice {
    /// The serve.
    pub serve: ServeId,
    /// The serve in words.
    pub shown: String,
    /// Share among the opponent's serves.
    pub share: f64,
    /// Receives: the plan, then what has points, best first, then the others.
    pub choices: Vec<Choice>,
    /// The mix against somebody who reads; a single receive when that secures the most, none when
    /// the player holds only one.
    #[serde(skip)]
    pub mix: Option<Mix>,
    /// The mix under other drops; empty when the drop is measured or there is no mix.
    pub other_drops: Vec<OtherDrop>,
    /// The verdict on the planned receive; none without a plan.
    #[serde(skip)]
    pub lesson: Option<Lesson>,
    /// What playing the verdict's alternative instead of the plan would add to the chance of the
    /// match now.
    pub worth: Option<ChangeWorth>,
}

/// Advice for a whole deck.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Advice {
    /// The opponent.
    pub opponent: String,
    /// Matches behind it.
    pub matches: usize,
    /// Points on the opponent's serve behind it.
    pub receiving_points: f64,
    /// Chance of a point on the own serve, and on the opponent's under the plan.
    pub chances: (f64, f64),
    /// Where the two lie, eight times in ten.
    pub ranges: ((f64, f64), (f64, f64)),
    /// How much is known of the first, and of the plan's own receives.
    pub known: (Knowledge, Knowledge),
    /// Best of how many games.
    pub best_of: u32,
    /// Chance of the match under the plan as it stands now.
    pub match_chance: f64,
    /// Enough points stand behind it to speak of it, as a range.
    pub is_match_known: bool,
    /// Where it lies, eight times in ten.
    pub match_range: (f64, f64),
    /// What one point in a hundred more on the opponent's serve adds to it.
    pub one_in_a_hundred: f64,
    /// Serve by serve, most frequent first.
    #[serde(skip)]
    pub serves: Vec<ServeAdvice>,
    /// What went in that nobody measured, and what the points say beside it.
    #[serde(skip)]
    pub notes: Vec<AdviceNote>,
}

/// What the verdict's alternative would add now, when there is any suspicion and a ball of it.
fn worth(question: &Question<'_>, chances: Chances, lesson: &Lesson) -> Option<ChangeWorth> {
    let other = lesson
        .alternative
        .as_ref()
        .filter(|_| lesson.verdict.is_doubted() && lesson.alternative_points >= RATED_FROM)?;
    let planned = question.belief(&lesson.serve, &lesson.receive);
    let other = question.belief(&lesson.serve, other);
    let gain = lesson.share * (other.mean() - lesson.now);
    let sd = lesson.share * f64::hypot(planned.sd(), other.sd());
    Some(ChangeWorth::from_gain(question.length, chances, gain, sd))
}

fn weigh(verdicts: &Verdicts<'_>, chances: Chances, serve: &Serve) -> ServeAdvice {
    let question = &verdicts.question;
    let choices = choices(question, serve);
    let (mix, other_drops) = mix(question, serve, &choices);
    let lesson = verdicts.on(&serve.id).cloned();
    ServeAdvice {
        serve: serve.id.clone(),
        shown: serve.shown(),
        share: question.deck.share(&serve.id),
        worth: lesson.as_ref().and_then(|lesson| worth(question, chances, lesson)),
        choices,
        mix,
        other_drops,
        lesson,
    }
}

/// Weighs every active serve of a deck.
pub fn advise(verdicts: &Verdicts<'_>) -> Advice {
    let question = &verdicts.question;
    let unsure = UnsureChances::from_verdicts(verdicts);
    let chances = unsure.chances;
    let slope = Slope::from_match(question.length, chances);
    let active: Vec<&Serve> = question.deck.active().collect();
    let mut serves: Vec<ServeAdvice> =
        active.par_iter().map(|serve| weigh(verdicts, chances, serve)).collect();
    serves.sort_by(|a, b| b.share.total_cmp(&a.share));
    Advice {
        opponent: question.deck.opponent.clone(),
        matches: question.history.matches.len(),
        receiving_points: question.history.receiving.played,
        chances: (chances.serve(), chances.receive()),
        ranges: unsure.ranges(),
        known: (Knowledge::from_points(unsure.behind.0), Knowledge::from_points(unsure.behind.1)),
        best_of: question.length.games(),
        match_chance: win_match(question.length, chances),
        is_match_known: unsure.are_enough(),
        match_range: unsure.range_of(slope, |at| win_match(question.length, at)),
        one_in_a_hundred: slope.receive * 0.01,
        notes: notes(question, &serves),
        serves,
    }
}

/// What went in that nobody measured, and what the points say beside it.
fn notes(question: &Question<'_>, serves: &[ServeAdvice]) -> Vec<AdviceNote> {
    let (matches, unknown) = (question.history.matches.len(), question.history.unknown);
    let is_shrunk = serves.iter().flat_map(|serve| &serve.choices).any(|choice| {
        choice.points > ANY_POINTS && Knowledge::from_points(choice.points) <= Knowledge::Weak
    });
    let first = if matches == 0 { AdviceNote::NoMatch } else { AdviceNote::Matches(matches) };
    let parts = [
        Some(first),
        (unknown > 0).then_some(AdviceNote::Unknown(unknown)),
        assumed_drop(serves),
        shares(question),
        is_shrunk.then_some(AdviceNote::Shrunk),
    ];
    parts.into_iter().flatten().collect()
}

fn assumed_drop(serves: &[ServeAdvice]) -> Option<AdviceNote> {
    let choices = || serves.iter().flat_map(|of| of.choices.iter().map(move |choice| (of, choice)));
    let measured = choices().filter(|(_, choice)| choice.in_plan && !choice.drop_is_assumed);
    let measured = measured.map(|(of, choice)| (of.serve.clone(), choice.rates.drop)).collect();
    choices().any(|(_, choice)| choice.drop_is_assumed).then_some(AdviceNote::AssumedDrop(measured))
}

fn shares(question: &Question<'_>) -> Option<AdviceNote> {
    let deck = question.deck;
    let count = |id| question.history.came.get(id).copied().unwrap_or(0);
    let points: u32 = deck.active().map(|serve| count(&serve.id)).sum();
    let share = |id| f64::from(count(id)) / f64::from(points);
    let came: Vec<_> = deck.active().map(|of| (of.id.clone(), share(&of.id))).collect();
    let is_off = |(id, share): &(_, f64)| (share - deck.share(id)).abs() > SHARE_IS_OFF;
    let says = points >= FEWEST_SHARES && came.iter().any(is_off);
    says.then_some(AdviceNote::SharesOff { points, came })
}
