//! Every active serve of a deck weighed, and the match as a whole.

use super::choices::choices;
use super::document::{Advice, ServeAdvice};
use super::mixing::mix;
use super::notes::notes;
use crate::game::Serve;
use crate::tactics::chance::{Chances, Slope, win_match};
use crate::tactics::question::Question;
use crate::tactics::rates::Knowledge;
use crate::tactics::unsure_chances::{ChangeWorth, UnsureChances};
use crate::tactics::verdict::{Lesson, Verdict, Verdicts};

/// What the verdict's alternative would add now, when there is any suspicion.
fn worth(question: &Question<'_>, chances: Chances, lesson: &Lesson) -> Option<ChangeWorth> {
    let is_suspected = matches!(lesson.verdict, Verdict::Switch | Verdict::Watch);
    let other = lesson.alternative.as_ref().filter(|_| is_suspected)?;
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
    let active = question.deck.active();
    let mut serves: Vec<ServeAdvice> =
        active.map(|serve| weigh(verdicts, chances, serve)).collect();
    serves.sort_by(|a, b| b.share.total_cmp(&a.share));
    let mut changed = chances.receive();
    for lesson in serves.iter().filter_map(|serve| serve.lesson.as_ref()) {
        if let Some(other) = lesson.alternative.as_ref().filter(|_| lesson.due_switch().is_some()) {
            changed += lesson.share * (question.belief(&lesson.serve, other).mean() - lesson.now);
        }
    }
    let (own, theirs) = unsure.behind;
    Advice {
        opponent: question.deck.opponent.clone(),
        matches: question.history.matches.len(),
        receiving_points: question.history.receiving.played,
        chances: (chances.serve(), chances.receive()),
        ranges: unsure.ranges(),
        known: (Knowledge::from_points(own), Knowledge::from_points(theirs)),
        best_of: question.length.games(),
        match_chance: win_match(question.length, chances),
        match_chance_changed: win_match(question.length, Chances::new(chances.serve(), changed)),
        match_range: unsure.range_of(slope, |at| win_match(question.length, at)),
        one_in_a_hundred: slope.receive * 0.01,
        notes: notes(question, &serves),
        serves,
    }
}
