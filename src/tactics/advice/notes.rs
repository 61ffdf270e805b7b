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
    let measured = measured.map(|(of, choice)| (of.serve.clone(), choice.drop)).collect();
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
