//! Which answers count, and the history of one pattern.
//!
//! Per pattern and day only the first answer counts for memory, plus at most one repair: the first
//! right answer after a wrong first one. The rest of that day is warm: kept for speed, never for
//! memory, because ten quick answers in one sitting would otherwise claim months of stability.
//! A [`History`] is folded one answer at a time in the order (day, instant, id), which the caller
//! keeps, so it can be stored at any point and carried on from there.

use serde::{Deserialize, Serialize};

use super::door::{MemoryState, Model, days_between};
use super::forecast::Checked;
use super::result::{Behaviour, Behind, Given, Grade, OLD_ANSWER_REACH, Outcome};

/// One pattern's memory after the answers seen so far.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct History {
    /// The state, `None` while untried.
    state: Option<MemoryState>,
    /// The day of the last counted answer.
    last_day: Option<i32>,
    /// Days with a counted answer.
    counted_days: u32,
    /// Those in a row, up to the last one, whose first answer was right.
    #[serde(default)]
    right_days: u32,
    /// One bit an answer, newest lowest: was it an old answer?
    old_answers: u8,
    /// Whether today's first answer was wrong and waits for its repair.
    open_repair: bool,
    /// The day on which its answer was shown before it was asked.
    #[serde(default)]
    shown_day: Option<i32>,
    /// What was forecast of its counted answers, and what came.
    #[serde(default)]
    checked: Checked,
}

impl History {
    /// The state and the day of the last counted answer; `None` while the pattern is untried.
    pub fn memory(&self) -> Option<(MemoryState, i32)> {
        self.state.zip(self.last_day)
    }

    /// What was forecast of its answers, and what came.
    pub fn checked(&self) -> Checked {
        self.checked
    }

    /// What the result of the next answer may look back on, if it falls on `day`.
    pub fn behind(&self, day: i32) -> Behind {
        let today = u32::from(self.last_day == Some(day));
        Behind {
            counted_days: self.counted_days - today,
            recent_old_answer: self.old_answers & ((1 << OLD_ANSWER_REACH) - 1) != 0,
        }
    }

    /// The days in a row, up to the one before `day`, whose first answer was right.
    pub fn right_days(&self, day: i32) -> u32 {
        self.right_days.saturating_sub(u32::from(self.last_day == Some(day)))
    }

    /// The answer is shown before it is asked: nothing counts on that day any more.
    pub fn show(&mut self, day: i32) {
        if self.last_day != Some(day) {
            self.shown_day = Some(day);
        }
    }

    /// Takes the next answer in, and says its result.
    pub fn apply(&mut self, model: &Model, day: i32, behaviour: &Behaviour) -> Outcome {
        let outcome = behaviour.outcome(self.behind(day));
        if let Outcome::Graded(grade) = outcome {
            self.apply_grade(model, day, grade);
            let old = u8::from(behaviour.given == Given::OldAnswer);
            self.old_answers = (self.old_answers << 1) | old;
        }
        outcome
    }

    /// Takes an answer in that is only supposed: what is said of the pattern does not fade by it.
    pub fn suppose(&mut self, model: &Model, day: i32, behaviour: &Behaviour) {
        let right_days = self.right_days;
        self.apply(model, day, behaviour);
        self.right_days = right_days;
    }

    /// Takes a grade in. The first of a day moves the memory, and so does the one right answer that
    /// repairs a wrong first one, as in time at most; any other is for speed only. A day before the
    /// last one, which the journal's order excludes, changes nothing.
    fn apply_grade(&mut self, model: &Model, day: i32, grade: Grade) {
        let last = self.last_day.unwrap_or(day);
        if self.shown_day == Some(day) {
            return;
        }
        if self.state.is_none() || day > last {
            // Never to spare on a first answer, wherever the grade came from.
            let grade = if self.state.is_none() { grade.min(Grade::InTime) } else { grade };
            if let Some(state) = self.state {
                let recall = model.recall(state, f64::from(days_between(last, day)));
                self.checked.take(recall, grade.is_recalled());
            }
            self.state = Some(model.after(self.state, grade, days_between(last, day)));
            self.last_day = Some(day);
            self.counted_days += 1;
            self.open_repair = !grade.is_recalled();
            self.right_days = if grade.is_recalled() { self.right_days + 1 } else { 0 };
        } else if day == last && self.open_repair && grade.is_recalled() {
            self.state = Some(model.after(self.state, grade.min(Grade::InTime), 0));
            self.open_repair = false;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::How;

    fn snap(given: Given, raw_ms: i32) -> Behaviour {
        Behaviour { given, raw_ms, window_ms: 1000, kind: How::Snap, interrupted: false }
    }

    /// The history of these answers, and whether each moved the memory.
    fn played(answers: &[(i32, Grade)]) -> (History, Vec<bool>) {
        let model = Model::default();
        let mut history = History::default();
        let moved = answers.iter().map(|&(day, grade)| {
            let before = history.memory();
            history.apply_grade(&model, day, grade);
            history.memory() != before
        });
        let moved = moved.collect();
        (history, moved)
    }

    #[test]
    fn ten_quick_answers_in_one_sitting_count_once() {
        let (many, moved) = played(&[(4, Grade::InTime); 10]);
        let (once, _) = played(&[(4, Grade::InTime)]);
        assert_eq!(many.memory(), once.memory());
        assert!(moved[0]);
        assert!(!moved[1..].contains(&true));
        assert_eq!(many.behind(5).counted_days, 1);
    }

    #[test]
    fn what_was_shown_before_it_was_asked_does_not_count_on_that_day() {
        let model = Model::default();
        let (mut history, _) = played(&[(0, Grade::InTime)]);
        let before = history.memory();
        history.show(3);
        for _ in 0..2 {
            assert!(history.apply(&model, 3, &snap(Given::Right, 400)).grade().is_some());
        }
        assert_eq!(history.memory(), before);
        history.apply(&model, 4, &snap(Given::Right, 400));
        assert_ne!(history.memory(), before, "the next day counts");
        let counted = history;
        history.show(4);
        assert_eq!(history, counted, "shown when it had been answered");
    }

    #[test]
    fn a_wrong_answer_may_be_repaired_once_and_only_as_in_time() {
        let (history, moved) = played(&[
            (0, Grade::Wrong),
            (0, Grade::Wrong),
            (0, Grade::ToSpare),
            (0, Grade::InTime),
        ]);
        assert_eq!(moved, [true, false, true, false]);
        let model = Model::default();
        assert_eq!(history.memory(), Some((model.after_repair(None, 0), 0)));
    }

    #[test]
    fn a_right_first_answer_leaves_nothing_to_repair() {
        let (_, moved) = played(&[(0, Grade::Late), (0, Grade::Wrong), (0, Grade::InTime)]);
        assert_eq!(moved, [true, false, false]);
    }

    #[test]
    fn the_first_answer_of_all_is_never_to_spare() {
        let (spare, _) = played(&[(0, Grade::ToSpare)]);
        let (in_time, _) = played(&[(0, Grade::InTime)]);
        assert_eq!(spare.memory(), in_time.memory());
    }

    #[test]
    fn every_counted_answer_after_the_first_checks_what_was_forecast_of_it() {
        let answers: Vec<_> = (0..=40)
            .flat_map(|day| {
                let grade = if day % 10 == 5 { Grade::Wrong } else { Grade::InTime };
                [(day, grade), (day, Grade::InTime)]
            })
            .collect();
        let checked = played(&answers).0.checked();
        assert_eq!((checked.answers, checked.came), (40, 36));
        let (said, came) = checked.shares().unwrap();
        assert!(said > 0.9 && said < 1.0 && (came - 0.9).abs() < 1e-12, "{said} {came}");
        assert_eq!(played(&answers[..20]).0.checked().shares(), None, "too few to tell");
    }

    #[test]
    fn a_let_leaves_the_history_alone() {
        let mut history = History::default();
        let got = history.apply(&Model::default(), 0, &snap(Given::Right, 90));
        assert_eq!(got, Outcome::Let);
        assert_eq!(history, History::default());
    }

    #[test]
    fn an_old_answer_forbids_to_spare_for_five_answers() {
        let model = Model::default();
        let mut history = History::default();
        for day in 0..4 {
            history.apply(&model, day, &snap(Given::Right, 400));
        }
        history.apply(&model, 4, &snap(Given::OldAnswer, 400));
        for day in 5..=9 {
            let outcome = history.apply(&model, day, &snap(Given::Right, 400));
            assert_eq!(outcome, Outcome::Graded(Grade::InTime), "day {day}");
        }
        let outcome = history.apply(&model, 10, &snap(Given::Right, 400));
        assert_eq!(outcome, Outcome::Graded(Grade::ToSpare));
    }

    #[test]
    fn days_right_in_a_row_end_with_a_wrong_first_answer_and_not_with_a_supposed_one() {
        let (mut history, _) =
            played(&[(1, Grade::InTime), (2, Grade::Wrong), (2, Grade::InTime), (3, Grade::Late)]);
        assert_eq!(history.right_days(3), 0, "today is no earlier day");
        assert_eq!(history.right_days(4), 1);
        history.suppose(&Model::default(), 4, &snap(Given::Right, 500));
        assert_eq!((history.right_days(5), history.behind(5).counted_days), (1, 4));
    }

    #[test]
    fn todays_own_answer_is_not_one_of_the_three_counted_days() {
        let (history, _) = played(&[(0, Grade::InTime), (1, Grade::InTime), (3, Grade::InTime)]);
        assert_eq!(history.behind(3).counted_days, 2);
        assert_eq!(history.behind(4).counted_days, 3);
    }

    #[test]
    fn a_day_before_the_last_is_refused_and_changes_nothing() {
        let (mut history, _) = played(&[(5, Grade::InTime)]);
        let before = history;
        history.apply_grade(&Model::default(), 4, Grade::InTime);
        assert_eq!(history, before);
    }

    #[test]
    fn a_stored_history_carries_on_where_it_stopped() {
        let (history, _) =
            played(&[(0, Grade::Wrong), (0, Grade::InTime), (2, Grade::Late), (9, Grade::InTime)]);
        let text = serde_json::to_string(&history).unwrap();
        assert_eq!(serde_json::from_str::<History>(&text).unwrap(), history);
    }
}
