//! Which answers count, and the history of one pattern.
//!
//! Per pattern and day only the first answer counts for memory, plus at most one repair: the first
//! right answer after a wrong first one. The rest of that day is warm: kept for speed, never for
//! memory, because ten quick answers in one sitting would otherwise claim months of stability.
//! A [`History`] is folded one answer at a time in the order (day, instant, id), which the caller
//! keeps, so it can be stored at any point and carried on from there.

use serde::{Deserialize, Serialize};

use super::door::{MemoryError, Model, State};
use super::result::{Behaviour, Behind, Given, Grade, OLD_ANSWER_REACH, Outcome};

/// What became of one answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Counting {
    /// A let: nothing happened.
    Let,
    /// The first answer of the day: it moves the memory.
    Counted,
    /// The one right answer after a wrong first one: it moves the memory, as in time at most.
    Repair,
    /// Any further answer of the day: speed only.
    Warm,
}

/// One pattern's memory after the answers seen so far.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct History {
    /// The state, `None` while untried.
    state: Option<State>,
    /// The day of the last counted answer.
    last_day: Option<i32>,
    /// Days with a counted answer.
    counted_days: u32,
    /// Counted first answers that were recalled, of `counted_days`.
    recalled_days: u32,
    /// All answers, warm ones too.
    answers: u32,
    /// One bit an answer, newest lowest: was it an old answer?
    old_answers: u8,
    /// Whether today's first answer was wrong and waits for its repair.
    open_repair: bool,
    /// The last days' first grades, newest in the lowest two bits.
    firsts: u16,
}

/// How many first grades [`History::first_grades`] remembers.
const FIRSTS_KEPT: u32 = 8;

impl History {
    /// The state, `None` while the pattern is untried.
    pub const fn state(&self) -> Option<State> {
        self.state
    }

    /// The day of the last counted answer.
    pub const fn last_day(&self) -> Option<i32> {
        self.last_day
    }

    /// On how many days an answer counted.
    pub const fn counted_days(&self) -> u32 {
        self.counted_days
    }

    /// On how many of them the first answer was recalled.
    pub const fn recalled_days(&self) -> u32 {
        self.recalled_days
    }

    /// How many answers were given in all, warm ones too.
    pub const fn answers(&self) -> u32 {
        self.answers
    }

    /// Whether the day's first answer was wrong and has not been repaired yet.
    pub const fn waits_for_repair(&self) -> bool {
        self.open_repair
    }

    /// The first grades of the last counted days, at most eight, newest first.
    pub fn first_grades(&self) -> impl Iterator<Item = Grade> + '_ {
        let kept = self.counted_days.min(FIRSTS_KEPT);
        (0..kept).map(|back| Grade::ALL[usize::from((self.firsts >> (2 * back)) & 3)])
    }

    /// What the result of the next answer may look back on, if it falls on `day`.
    pub fn behind(&self, day: i32) -> Behind {
        let today = u32::from(self.last_day == Some(day));
        Behind {
            counted_days: self.counted_days - today,
            recent_old_answer: self.old_answers & ((1 << OLD_ANSWER_REACH) - 1) != 0,
        }
    }

    /// Takes the next answer in: its result, and whether it counted.
    ///
    /// # Errors
    /// [`MemoryError::DayBefore`] when `day` lies before a day already counted; the history is
    /// then unchanged.
    pub fn apply(
        &mut self,
        model: &Model,
        day: i32,
        behaviour: &Behaviour,
    ) -> Result<(Outcome, Counting), MemoryError> {
        let outcome = behaviour.outcome(self.behind(day));
        let Outcome::Graded(grade) = outcome else { return Ok((outcome, Counting::Let)) };
        let counting = self.apply_grade(model, day, grade)?;
        let old = u8::from(behaviour.given == Given::OldAnswer);
        self.old_answers = (self.old_answers << 1) | old;
        Ok((outcome, counting))
    }

    /// Takes a grade in whose behaviour has been judged elsewhere.
    ///
    /// # Errors
    /// As [`History::apply`].
    pub fn apply_grade(
        &mut self,
        model: &Model,
        day: i32,
        grade: Grade,
    ) -> Result<Counting, MemoryError> {
        let gap = match self.last_day {
            None => 0,
            Some(last) => days_between(last, day)?,
        };
        let counting = if self.last_day != Some(day) {
            // Never to spare on a first answer, wherever the grade came from.
            let grade = if self.state.is_none() { grade.min(Grade::InTime) } else { grade };
            self.state = Some(model.after(self.state, grade, gap)?);
            self.last_day = Some(day);
            self.counted_days += 1;
            self.recalled_days += u32::from(grade.is_recalled());
            self.open_repair = !grade.is_recalled();
            #[expect(clippy::cast_possible_truncation, reason = "1 to 4")]
            let bits = (grade.number() - 1) as u16;
            self.firsts = (self.firsts << 2) | bits;
            Counting::Counted
        } else if self.open_repair && grade.is_recalled() {
            self.state = Some(model.after(self.state, grade.min(Grade::InTime), 0)?);
            self.open_repair = false;
            Counting::Repair
        } else {
            Counting::Warm
        };
        self.answers += 1;
        Ok(counting)
    }

    /// Recall on `day` (a fraction is allowed), 0 while untried.
    ///
    /// # Errors
    /// [`MemoryError::OutOfRange`] when `day` lies before the last answer or too far ahead.
    pub fn recall_on(&self, model: &Model, day: f64) -> Result<f64, MemoryError> {
        match (self.state, self.last_day) {
            (Some(state), Some(last)) => model.recall(state, day - f64::from(last)),
            _ => Ok(0.0),
        }
    }
}

/// Whole days from `earlier` to `later`.
///
/// # Errors
/// [`MemoryError::DayBefore`] when time runs backwards.
pub fn days_between(earlier: i32, later: i32) -> Result<u32, MemoryError> {
    u32::try_from(i64::from(later) - i64::from(earlier))
        .map_err(|_| MemoryError::DayBefore { given: later, known: earlier })
}

#[cfg(test)]
mod tests {
    use super::super::result::Kind;
    use super::*;

    fn snap(given: Given, raw_ms: i32) -> Behaviour {
        Behaviour { given, raw_ms, window_ms: 1000, kind: Kind::Snap, interrupted: false }
    }

    fn played(answers: &[(i32, Grade)]) -> (History, Vec<Counting>) {
        let model = Model::default();
        let mut history = History::default();
        let counted = answers
            .iter()
            .map(|&(day, grade)| history.apply_grade(&model, day, grade).unwrap())
            .collect();
        (history, counted)
    }

    #[test]
    fn ten_quick_answers_in_one_sitting_count_once() {
        let (many, counted) = played(&[(4, Grade::InTime); 10]);
        let (once, _) = played(&[(4, Grade::InTime)]);
        assert_eq!(many.state(), once.state());
        assert_eq!(counted[0], Counting::Counted);
        assert!(counted[1..].iter().all(|&c| c == Counting::Warm));
        assert_eq!((many.answers(), many.counted_days()), (10, 1));
    }

    #[test]
    fn a_wrong_answer_may_be_repaired_once_and_only_as_in_time() {
        let (history, counted) = played(&[
            (0, Grade::Wrong),
            (0, Grade::Wrong),
            (0, Grade::ToSpare),
            (0, Grade::InTime),
        ]);
        assert_eq!(counted, [Counting::Counted, Counting::Warm, Counting::Repair, Counting::Warm]);
        let model = Model::default();
        assert_eq!(history.state(), Some(model.after_repair(None, 0).unwrap()));
        assert!(!history.waits_for_repair());
    }

    #[test]
    fn a_right_first_answer_leaves_nothing_to_repair() {
        let (history, counted) = played(&[(0, Grade::Late), (0, Grade::Wrong), (0, Grade::InTime)]);
        assert_eq!(counted, [Counting::Counted, Counting::Warm, Counting::Warm]);
        assert_eq!(history.recalled_days(), 1);
    }

    #[test]
    fn the_first_answer_of_all_is_never_to_spare() {
        let (spare, _) = played(&[(0, Grade::ToSpare)]);
        let (in_time, _) = played(&[(0, Grade::InTime)]);
        assert_eq!(spare.state(), in_time.state());
    }

    #[test]
    fn a_let_leaves_the_history_alone() {
        let mut history = History::default();
        let got = history.apply(&Model::default(), 0, &snap(Given::Right, 90)).unwrap();
        assert_eq!(got, (Outcome::Let, Counting::Let));
        assert_eq!(history, History::default());
    }

    #[test]
    fn an_old_answer_forbids_to_spare_for_five_answers() {
        let model = Model::default();
        let mut history = History::default();
        for day in 0..4 {
            history.apply(&model, day, &snap(Given::Right, 400)).unwrap();
        }
        history.apply(&model, 4, &snap(Given::OldAnswer, 400)).unwrap();
        for day in 5..=9 {
            let (outcome, _) = history.apply(&model, day, &snap(Given::Right, 400)).unwrap();
            assert_eq!(outcome, Outcome::Graded(Grade::InTime), "day {day}");
        }
        let (outcome, _) = history.apply(&model, 10, &snap(Given::Right, 400)).unwrap();
        assert_eq!(outcome, Outcome::Graded(Grade::ToSpare));
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
        let refused = history.apply_grade(&Model::default(), 4, Grade::InTime);
        assert_eq!(refused, Err(MemoryError::DayBefore { given: 4, known: 5 }));
        assert_eq!(history, before);
    }

    #[test]
    fn a_stored_history_carries_on_where_it_stopped() {
        let (history, _) =
            played(&[(0, Grade::Wrong), (0, Grade::InTime), (2, Grade::Late), (9, Grade::InTime)]);
        let text = serde_json::to_string(&history).unwrap();
        assert_eq!(serde_json::from_str::<History>(&text).unwrap(), history);
        let grades: Vec<_> = history.first_grades().collect();
        assert_eq!(grades, [Grade::InTime, Grade::Late, Grade::Wrong]);
    }
}
