//! The daily list without an event, whatever would fall below a target; and what one answer gains.

use serde::{Deserialize, Serialize};

use super::door::{Model, days_between};
use super::forecast::Item;
use super::result::Grade;

/// What is known about first answers and about fairness to rare serves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Habits {
    /// The chance that the first answer to an untried pattern is right, 0 to 1. The player wrote
    /// the receive down, but has not yet had to find it against the clock. An assumption.
    pub first_right: f64,
    /// No weight counts for less than this share of the mean weight, 0 to 1.
    pub floor: f64,
    /// What a pattern counts for that is begun in the last two days before the event, against one
    /// that had time to settle, 0 to 1. No simulation can say it: a judgement.
    pub late_new: f64,
    /// The share of planned days on which the player really practises, 0.1 to 1; a calendar that
    /// counts on missed days puts work off too long.
    pub days_kept: f64,
    /// The share of a begun list that is answered, 0.1 to 1.
    pub lists_done: f64,
}

impl Default for Habits {
    fn default() -> Self {
        Self { first_right: 0.5, floor: 0.1, late_new: 0.5, days_kept: 1.0, lists_done: 1.0 }
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
pub fn daily_list(
    model: &Model,
    items: &[Item],
    today: i32,
    target: f64,
    budget: usize,
    new_a_day: usize,
) -> Vec<Pick> {
    let tomorrow = f64::from(today) + 1.0;
    let (mut due, mut new) = (Vec::new(), Vec::new());
    for item in items.iter().filter(|item| !item.is_answered_on(today)) {
        let recall_now = item.recall_on(model, f64::from(today));
        let gain = gain(model, item, today, tomorrow, 1.0);
        let is_new = item.memory.is_none();
        let pick = Pick { index: item.index, recall_now, gain, is_new };
        if is_new {
            new.push((item.weight, pick));
        } else if item.recall_on(model, tomorrow) < target {
            due.push((item.weight * (1.0 - recall_now), pick));
        }
    }
    for scored in [&mut due, &mut new] {
        // Equal scores keep the caller's order, so a list is repeatable.
        scored.sort_by(|a, b| b.0.total_cmp(&a.0));
    }
    new.truncate(new_a_day);
    due.into_iter().chain(new).take(budget).map(|(_, pick)| pick).collect()
}

/// How much an answer on `today` raises expected recall on day `on`: right with today's recall, and
/// otherwise wrong with its repair.
pub fn gain(model: &Model, item: &Item, today: i32, on: f64, first_right: f64) -> f64 {
    let ahead = on - f64::from(today);
    let (before, gap, right) = match item.memory {
        None => (None, 0, first_right),
        Some((state, last)) => {
            let gap = days_between(last, today);
            (Some(state), gap, model.recall(state, f64::from(gap)))
        }
    };
    let after_right = model.recall(model.after(before, Grade::InTime, gap), ahead);
    let after_wrong = model.recall(model.after_repair(before, gap), ahead);
    right * after_right + (1.0 - right) * after_wrong - item.recall_on(model, on)
}

#[cfg(test)]
mod tests {
    use super::super::door::MemoryState;
    use super::*;

    fn known(index: usize, weight: f64, stability: f32, last: i32) -> Item {
        Item { index, weight, memory: Some((MemoryState::new(stability, 5.0).unwrap(), last)) }
    }

    fn indices(list: &[Pick]) -> Vec<usize> {
        list.iter().map(|p| p.index).collect()
    }

    #[test]
    fn without_an_event_only_what_would_fall_below_the_target_is_due() {
        let items = [known(0, 1.0, 30.0, 9), known(1, 1.0, 2.0, 5), known(2, 4.0, 2.0, 5)];
        let list = daily_list(&Model::default(), &items, 10, 0.9, 9, 9);
        assert_eq!(indices(&list), [2, 1]);
    }

    #[test]
    fn untried_patterns_come_after_the_due_ones_and_within_their_own_limit() {
        let mut items = vec![known(7, 1.0, 2.0, 5)];
        items.extend((0..5).map(|index| Item { index, weight: 9.0, memory: None }));
        let list = daily_list(&Model::default(), &items, 10, 0.9, 4, 2);
        assert_eq!(indices(&list), [7, 0, 1]);
        assert_eq!(list.iter().filter(|p| p.is_new).count(), 2);
    }

    #[test]
    fn what_was_answered_today_is_not_asked_again() {
        let items = [known(0, 1.0, 0.5, 10)];
        assert!(daily_list(&Model::default(), &items, 10, 0.9, 5, 5).is_empty());
    }
}
