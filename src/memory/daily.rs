//! The daily list: without an event, whatever would fall below a target; with one, the greedy rule.
//!
//! Greedy: weight x (gain at the event if answered now) x sqrt(1 - recall now), best first, as long
//! as there is a gain and the day's budget lasts. It is the fallback of the priced calendar and its
//! opponent in simulation. A floor keeps rare serves from being starved: no weight counts for less
//! than a share of the mean.

use serde::{Deserialize, Serialize};

use super::door::{MemoryError, Model, TARGET, within};
use super::forecast::{Item, check_weights};
use super::result::Grade;
use crate::base::order::largest_first;

/// What is known about first answers and about fairness to rare serves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Habits {
    /// The chance that the first answer to an untried pattern is right, 0 to 1. The player wrote
    /// the receive down, but has not yet had to find it against the clock. An assumption.
    pub first_right: f64,
    /// No weight counts for less than this share of the mean weight, 0 to 1.
    pub floor: f64,
    /// Untried patterns are not begun in the last days before the event, this many; 2 by design.
    pub nothing_new_days: u32,
    /// The share of planned days on which the player really practises, 0.1 to 1, as the journal
    /// shows it; a calendar that counts on missed days puts work off too long.
    pub days_kept: f64,
}

impl Default for Habits {
    fn default() -> Self {
        Self { first_right: 0.5, floor: 0.1, nothing_new_days: 2, days_kept: 1.0 }
    }
}

impl Habits {
    /// Checks the ranges.
    ///
    /// # Errors
    /// [`MemoryError::OutOfRange`].
    pub fn check(&self) -> Result<(), MemoryError> {
        within("chance of a right first answer", self.first_right, "", (0.0, 1.0))?;
        within("floor", self.floor, "", (0.0, 1.0))?;
        within("share of days kept", self.days_kept, "", (0.1, 1.0))?;
        Ok(())
    }

    /// The weights with the floor under them, in the order of `items`.
    pub fn floored(&self, items: &[Item]) -> Vec<f64> {
        let mean = items.iter().map(|i| i.weight).sum::<f64>() / items.len().max(1) as f64;
        items.iter().map(|i| i.weight.max(self.floor * mean)).collect()
    }
}

/// One pattern chosen for today.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pick {
    /// The caller's number for the pattern.
    pub index: usize,
    /// Recall just before it is asked; 0 when untried.
    pub recall_now: f64,
    /// What answering it today adds to its own recall on the day it is wanted, before weighting.
    pub gain: f64,
    /// Whether it is asked for the first time.
    pub is_new: bool,
}

/// The list without an event: patterns whose recall would fall below `target` before tomorrow is
/// over, most weighted risk first, then untried ones by weight, at most `budget` answers in all and
/// at most `new_a_day` untried.
///
/// # Errors
/// [`MemoryError::OutOfRange`] for a target outside [`TARGET`] or bad weights.
pub fn daily_list(
    model: &Model,
    items: &[Item],
    today: i32,
    target: f64,
    budget: usize,
    new_a_day: usize,
) -> Result<Vec<Pick>, MemoryError> {
    within("target recall", target, "", TARGET)?;
    check_weights(items)?;
    let mut known = Vec::new();
    let mut untried = Vec::new();
    for item in items.iter().filter(|i| !i.is_answered_on(today)) {
        let now = item.recall_on(model, f64::from(today))?;
        let tomorrow = item.recall_on(model, f64::from(today) + 1.0)?;
        let gain = gain(model, item, today, f64::from(today) + 1.0, 1.0)?;
        let is_new = item.memory.is_none();
        let pick = Pick { index: item.index, recall_now: now, gain, is_new };
        if is_new {
            untried.push((item.weight, pick));
        } else if tomorrow < target {
            known.push((item.weight * (1.0 - now), pick));
        }
    }
    let mut list = best_first(known);
    let mut new = best_first(untried);
    new.truncate(new_a_day);
    list.extend(new);
    list.truncate(budget);
    Ok(list)
}

/// The list towards an event on day `event`, by the greedy rule, at most `budget` answers.
///
/// # Errors
/// [`MemoryError::OutOfRange`] for bad weights or habits; [`MemoryError::DayBefore`] when the
/// event is not after today.
pub fn greedy_list(
    model: &Model,
    items: &[Item],
    today: i32,
    event: i32,
    budget: usize,
    habits: &Habits,
) -> Result<Vec<Pick>, MemoryError> {
    check_weights(items)?;
    habits.check()?;
    if event <= today {
        return Err(MemoryError::DayBefore { given: event, known: today });
    }
    let closed = i64::from(event) - i64::from(today) <= i64::from(habits.nothing_new_days);
    let mut scored = Vec::new();
    for (item, weight) in items.iter().zip(habits.floored(items)) {
        let is_new = item.memory.is_none();
        if item.is_answered_on(today) || (is_new && closed) {
            continue;
        }
        let now = item.recall_on(model, f64::from(today))?;
        let gain = gain(model, item, today, f64::from(event), habits.first_right)?;
        if gain > 0.0 {
            let pick = Pick { index: item.index, recall_now: now, gain, is_new };
            scored.push((weight * gain * (1.0 - now).sqrt(), pick));
        }
    }
    let mut list = best_first(scored);
    list.truncate(budget);
    Ok(list)
}

/// How much an answer on `today` raises expected recall on day `on`: right with today's recall, and
/// otherwise wrong with its repair.
///
/// # Errors
/// As [`Model::recall`] and [`Model::after`].
pub fn gain(
    model: &Model,
    item: &Item,
    today: i32,
    on: f64,
    first_right: f64,
) -> Result<f64, MemoryError> {
    let ahead = on - f64::from(today);
    let (before, gap, right) = match item.memory {
        None => (None, 0, first_right),
        Some((state, last)) => {
            let gap = super::counted::days_between(last, today)?;
            (Some(state), gap, model.recall(state, f64::from(gap))?)
        }
    };
    let after_right = model.recall(model.after(before, Grade::InTime, gap)?, ahead)?;
    let after_wrong = model.recall(model.after_repair(before, gap)?, ahead)?;
    let without = item.recall_on(model, on)?;
    Ok(right * after_right + (1.0 - right) * after_wrong - without)
}

/// Highest score first; equal scores keep the caller's order, so a list is repeatable.
fn best_first(mut scored: Vec<(f64, Pick)>) -> Vec<Pick> {
    largest_first(&mut scored, |(score, _)| *score);
    scored.into_iter().map(|(_, pick)| pick).collect()
}

#[cfg(test)]
mod tests {
    use super::super::door::State;
    use super::*;

    fn known(index: usize, weight: f64, stability: f32, last: i32) -> Item {
        Item { index, weight, memory: Some((State::new(stability, 5.0).unwrap(), last)) }
    }

    fn indices(list: &[Pick]) -> Vec<usize> {
        list.iter().map(|p| p.index).collect()
    }

    #[test]
    fn without_an_event_only_what_would_fall_below_the_target_is_due() {
        let items = [known(0, 1.0, 30.0, 9), known(1, 1.0, 2.0, 5), known(2, 4.0, 2.0, 5)];
        let list = daily_list(&Model::default(), &items, 10, 0.9, 9, 9).unwrap();
        assert_eq!(indices(&list), [2, 1]);
    }

    #[test]
    fn untried_patterns_come_after_the_due_ones_and_within_their_own_limit() {
        let mut items = vec![known(7, 1.0, 2.0, 5)];
        items.extend((0..5).map(|index| Item { index, weight: 9.0, memory: None }));
        let list = daily_list(&Model::default(), &items, 10, 0.9, 4, 2).unwrap();
        assert_eq!(indices(&list), [7, 0, 1]);
        assert_eq!(list.iter().filter(|p| p.is_new).count(), 2);
    }

    #[test]
    fn what_was_answered_today_is_not_asked_again() {
        let items = [known(0, 1.0, 0.5, 10)];
        let model = Model::default();
        assert!(daily_list(&model, &items, 10, 0.9, 5, 5).unwrap().is_empty());
        assert!(greedy_list(&model, &items, 10, 20, 5, &Habits::default()).unwrap().is_empty());
    }

    #[test]
    fn greedy_prefers_the_serve_that_comes_more_often() {
        let items = [known(0, 1.0, 3.0, 0), known(1, 2.0, 3.0, 0)];
        let list = greedy_list(&Model::default(), &items, 4, 10, 1, &Habits::default()).unwrap();
        assert_eq!(indices(&list), [1]);
    }

    #[test]
    fn nothing_new_is_begun_in_the_last_two_days() {
        let items = [Item { index: 0, weight: 1.0, memory: None }];
        let model = Model::default();
        let on = |today| greedy_list(&model, &items, today, 10, 5, &Habits::default()).unwrap();
        assert_eq!(on(7).len(), 1);
        assert!(on(8).is_empty());
        assert!(on(9).is_empty());
    }

    #[test]
    fn the_floor_brings_a_rare_serve_forward() {
        let mut items: Vec<_> = (0..8).map(|i| known(i, 1.0, 40.0, 3)).collect();
        items.push(known(8, 0.001, 1.0, 0));
        let model = Model::default();
        let first = |floor| {
            let habits = Habits { floor, ..Habits::default() };
            indices(&greedy_list(&model, &items, 4, 10, 1, &habits).unwrap())
        };
        assert_ne!(first(0.0), [8]);
        assert_eq!(first(0.2), [8]);
    }
}
