//! What went into the advice that nobody measured, and what the points say beside it.

use super::document::{AdviceNote, ServeAdvice};
use crate::tactics::question::Question;
use crate::tactics::rates::Knowledge;

/// Fewest recorded points that can speak about how often each serve comes.
const FEWEST_SHARES: u32 = 40;
/// Difference of a share from which it is worth a word.
const SHARE_IS_OFF: f64 = 0.07;
/// Weighted points from which a rate has moved at all.
const ANY_POINTS: f64 = 0.05;

pub(super) fn notes(question: &Question<'_>, serves: &[ServeAdvice]) -> Vec<AdviceNote> {
    let history = question.history;
    let is_shrunk = serves.iter().flat_map(|serve| &serve.choices).any(|choice| {
        choice.points > ANY_POINTS && Knowledge::from_points(choice.points) <= Knowledge::Weak
    });
    let first = if history.is_empty() {
        AdviceNote::NoMatch
    } else {
        AdviceNote::Matches(history.matches.len())
    };
    let unknown = (history.unknown > 0).then_some(AdviceNote::Unknown(history.unknown));
    let parts =
        [unknown, assumed_drop(serves), shares(question), is_shrunk.then_some(AdviceNote::Shrunk)];
    std::iter::once(first).chain(parts.into_iter().flatten()).collect()
}

fn assumed_drop(serves: &[ServeAdvice]) -> Option<AdviceNote> {
    let choices = || serves.iter().flat_map(|of| of.choices.iter().map(move |choice| (of, choice)));
    let measured = choices().filter(|(_, choice)| choice.in_plan && !choice.drop_is_assumed);
    let measured = measured.map(|(of, choice)| (of.serve.clone(), choice.drop)).collect();
    choices().any(|(_, choice)| choice.drop_is_assumed).then_some(AdviceNote::AssumedDrop(measured))
}

fn shares(question: &Question<'_>) -> Option<AdviceNote> {
    let count = |id| question.history.came.get(id).copied().unwrap_or(0);
    let points: u32 = question.deck.active().map(|serve| count(&serve.id)).sum();
    if points < FEWEST_SHARES {
        return None;
    }
    let share = |id| f64::from(count(id)) / f64::from(points);
    let came: Vec<_> =
        question.deck.active().map(|serve| (serve.id.clone(), share(&serve.id))).collect();
    let is_off = |(id, share): &(_, f64)| (share - question.deck.share(id)).abs() > SHARE_IS_OFF;
    came.iter().any(is_off).then(|| AdviceNote::SharesOff { points, came: came.clone() })
}
