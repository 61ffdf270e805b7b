//! The one door to the crate `fsrs`: no other file of the house names it.
//!
//! A [`State`] is valid from birth, an answer moves it, and recall is read off it. The crate clips,
//! returns NaN or infinity, or panics on some bad input, so everything is checked here and comes
//! back as a [`MemoryError`] with the number and its allowed range. States move by whole calendar
//! days; only the forecast reads fractions of a day. The parameters are the crate's defaults:
//! fitting them to one player makes predictions worse below some ten thousand answers.

use fsrs::{DEFAULT_PARAMETERS, FSRS, FSRSItem, FSRSReview, MemoryState};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::result::Grade;

/// Least and most stability in days, the crate's own limits.
pub const STABILITY_DAYS: (f32, f32) = (0.001, 36_500.0);
/// Least and most difficulty, the crate's own limits.
pub const DIFFICULTY: (f32, f32) = (1.0, 10.0);
/// The longest time between two answers, or ahead, that is accepted, in days: a hundred years.
pub const MOST_DAYS: u32 = 36_500;
/// Least and most recall that can be asked for as a target.
pub const TARGET: (f64, f64) = (0.30, 0.99);

/// What the memory model refuses.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MemoryError {
    /// A number outside its range, or not a number.
    #[error("`{what}` is {value}{unit}; allowed are {least} to {most}{unit}")]
    OutOfRange {
        /// Which number.
        what: &'static str,
        /// What was given.
        value: f64,
        /// Its unit, with a leading space, or empty.
        unit: &'static str,
        /// Least allowed.
        least: f64,
        /// Most allowed.
        most: f64,
    },
    /// A day that lies before one already known.
    #[error("day {given} lies before day {known}, which is already counted")]
    DayBefore {
        /// The day given.
        given: i32,
        /// The day already known.
        known: i32,
    },
    /// The model gave no finite number for input that was allowed.
    #[error("the memory model gave no usable `{what}`")]
    Unusable {
        /// Which number.
        what: &'static str,
    },
}

/// Checks that `value` is a number from `least` to `most`.
///
/// # Errors
/// [`MemoryError::OutOfRange`], also for NaN and infinities.
pub fn within(
    what: &'static str,
    value: f64,
    unit: &'static str,
    (least, most): (f64, f64),
) -> Result<f64, MemoryError> {
    if value >= least && value <= most {
        Ok(value)
    } else {
        Err(MemoryError::OutOfRange { what, value, unit, least, most })
    }
}

/// How well one pattern is held: stability (days until recall falls to .90) and difficulty
/// (1 easy to 10 hard). Always inside [`STABILITY_DAYS`] and [`DIFFICULTY`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "(f32, f32)", into = "(f32, f32)")]
pub struct State {
    stability: f32,
    difficulty: f32,
}

impl State {
    /// A state from its two numbers.
    ///
    /// # Errors
    /// [`MemoryError::OutOfRange`] outside [`STABILITY_DAYS`] or [`DIFFICULTY`], or not finite.
    pub fn new(stability_days: f32, difficulty: f32) -> Result<Self, MemoryError> {
        let wide = |(least, most): (f32, f32)| (f64::from(least), f64::from(most));
        within("stability", f64::from(stability_days), " days", wide(STABILITY_DAYS))?;
        within("difficulty", f64::from(difficulty), "", wide(DIFFICULTY))?;
        Ok(Self { stability: stability_days, difficulty })
    }

    /// Days until recall has fallen to .90.
    pub const fn stability_days(self) -> f32 {
        self.stability
    }

    /// From 1 (easy) to 10 (hard).
    pub const fn difficulty(self) -> f32 {
        self.difficulty
    }
}

impl TryFrom<(f32, f32)> for State {
    type Error = MemoryError;

    fn try_from((stability, difficulty): (f32, f32)) -> Result<Self, MemoryError> {
        Self::new(stability, difficulty)
    }
}

impl From<State> for (f32, f32) {
    fn from(state: State) -> Self {
        (state.stability, state.difficulty)
    }
}

/// The memory model with its parameters.
#[derive(Debug, Clone)]
pub struct Model {
    inner: FSRS,
    /// `w20`, the exponent of the forgetting curve.
    decay: f32,
}

impl Default for Model {
    fn default() -> Self {
        Self { inner: FSRS::default(), decay: DEFAULT_PARAMETERS[20] }
    }
}

impl Model {
    /// The state after an answer, `days` whole calendar days after the last counted one; 0 is the
    /// same day. `before` is `None` when the pattern was never answered; `days` is then ignored.
    ///
    /// # Errors
    /// [`MemoryError::OutOfRange`] for more than [`MOST_DAYS`] days.
    pub fn after(
        &self,
        before: Option<State>,
        grade: Grade,
        days: u32,
    ) -> Result<State, MemoryError> {
        within("days since the last answer", f64::from(days), "", (0.0, f64::from(MOST_DAYS)))?;
        // The crate takes 0/0 as a very weak memory when it comes as a starting state, and as
        // "none" elsewhere; `State` cannot be 0/0, so the question does not arise.
        let start =
            before.map(|s| MemoryState { stability: s.stability, difficulty: s.difficulty });
        let item = FSRSItem { reviews: vec![FSRSReview { rating: grade.number(), delta_t: days }] };
        let next = self
            .inner
            .memory_state(item, start)
            .map_err(|_| MemoryError::Unusable { what: "state" })?;
        State::new(next.stability, next.difficulty)
            .map_err(|_| MemoryError::Unusable { what: "state" })
    }

    /// The state after a wrong answer and the one right answer that repairs it on the same day.
    ///
    /// # Errors
    /// As [`Model::after`].
    pub fn after_repair(&self, before: Option<State>, days: u32) -> Result<State, MemoryError> {
        let wrong = self.after(before, Grade::Wrong, days)?;
        self.after(Some(wrong), Grade::InTime, 0)
    }

    /// The state after a whole history: each answer with the days since the one before it.
    ///
    /// # Errors
    /// As [`Model::after`].
    pub fn replay(&self, answers: &[(Grade, u32)]) -> Result<Option<State>, MemoryError> {
        answers
            .iter()
            .try_fold(None, |state, &(grade, days)| self.after(state, grade, days).map(Some))
    }

    /// The share of such patterns recalled `days` (fractions allowed) after the last answer:
    /// `R = (1 + F t / S)^(-w20)`, `F = 0.9^(-1/w20) - 1`.
    ///
    /// # Errors
    /// [`MemoryError::OutOfRange`] for days that are negative, not finite or above [`MOST_DAYS`].
    pub fn recall(&self, state: State, days: f64) -> Result<f64, MemoryError> {
        within("days ahead", days, "", (0.0, f64::from(MOST_DAYS)))?;
        let inner = MemoryState { stability: state.stability, difficulty: state.difficulty };
        #[expect(clippy::cast_possible_truncation, reason = "at most 36 500, checked above")]
        let recall = f64::from(fsrs::current_retrievability(inner, days as f32, self.decay));
        if recall.is_finite() {
            Ok(recall.clamp(0.0, 1.0))
        } else {
            Err(MemoryError::Unusable { what: "recall" })
        }
    }

    /// Days (a real number) until recall has fallen to `target`.
    ///
    /// # Errors
    /// [`MemoryError::OutOfRange`] for a target outside [`TARGET`].
    pub fn days_until(&self, state: State, target: f64) -> Result<f64, MemoryError> {
        within("target recall", target, "", TARGET)?;
        #[expect(clippy::cast_possible_truncation, reason = "between .30 and .99")]
        let days = self.inner.next_interval(Some(state.stability), target as f32, 3);
        if days.is_finite() && days >= 0.0 {
            Ok(f64::from(days))
        } else {
            Err(MemoryError::Unusable { what: "interval" })
        }
    }

    /// The whole number of days, at least 1, nearest to [`Model::days_until`].
    ///
    /// # Errors
    /// As [`Model::days_until`].
    pub fn whole_days_until(&self, state: State, target: f64) -> Result<u32, MemoryError> {
        let days = self.days_until(state, target)?.round().clamp(1.0, f64::from(MOST_DAYS));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to 1 ..= 36 500"
        )]
        Ok(days as u32)
    }
}

/// The model in closed form for one state, for planning ahead over many gaps: what does not depend
/// on the gap is worked out once. The crate stays the authority; a test holds the two together.
///
/// # Source
/// The formulas are those of the crate `fsrs` 6.6.2 with its 21 default parameters `w`:
/// `R = (1 + F t / S)^(-w20)`, right: `S' = S (1 + e^w8 (11 - D) S^-w9 (e^(w10 (1 - R)) - 1))`,
/// wrong: `S' = min(w11 D^-w12 ((S + 1)^w13 - 1) e^(w14 (1 - R)), S e^(-w17 w18))`, then the repair
/// on the same day `S'' = S' max(1, e^(w17 w18) S'^-w19)`.
#[derive(Debug, Clone, Copy)]
pub struct Moves {
    stability: f64,
    growth: f64,
    lapse: f64,
    lapse_most: f64,
}

/// What an answer after some gap would do, right or wrong and repaired.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// The chance that it is right.
    pub recall: f64,
    /// Stability in days after a right answer in time.
    pub right_days: f64,
    /// Stability in days after a wrong answer and its repair.
    pub repaired_days: f64,
}

fn w(n: usize) -> f64 {
    f64::from(DEFAULT_PARAMETERS[n])
}

/// Recall `days` after the last answer at this stability, both in days.
pub fn recall_at(stability_days: f64, days: f64) -> f64 {
    let factor = 0.9_f64.powf(-1.0 / w(20)) - 1.0;
    (1.0 + factor * days / stability_days).powf(-w(20))
}

/// Difficulty after a right answer in time, and after a wrong one with its repair.
pub fn difficulty_after(difficulty: f64) -> (f64, f64) {
    let easiest = w(4) - (3.0 * w(5)).exp() + 1.0;
    let step = |d: f64, grade: f64| {
        let moved = d + (10.0 - d) * (-w(6) * (grade - 3.0)) / 9.0;
        (w(7) * (easiest - moved) + moved).clamp(f64::from(DIFFICULTY.0), f64::from(DIFFICULTY.1))
    };
    (step(difficulty, 3.0), step(step(difficulty, 1.0), 3.0))
}

impl Moves {
    /// The moves from this stability (days) and difficulty.
    pub fn of(stability_days: f64, difficulty: f64) -> Self {
        let s = stability_days;
        Self {
            stability: s,
            growth: w(8).exp() * (11.0 - difficulty) * s.powf(-w(9)),
            lapse: w(11) * difficulty.powf(-w(12)) * ((s + 1.0).powf(w(13)) - 1.0),
            lapse_most: s * (-w(17) * w(18)).exp(),
        }
    }

    /// What an answer `days` after the last one does; at least one day.
    pub fn at(&self, days: f64) -> Move {
        let recall = recall_at(self.stability, days);
        let right = self.stability * (1.0 + self.growth * ((w(10) * (1.0 - recall)).exp() - 1.0));
        let wrong = (self.lapse * (w(14) * (1.0 - recall)).exp()).min(self.lapse_most);
        let repair = ((w(17) * w(18)).exp() * wrong.powf(-w(19))).max(1.0);
        let kept = |s: f64| s.clamp(f64::from(STABILITY_DAYS.0), f64::from(STABILITY_DAYS.1));
        Move { recall, right_days: kept(right), repaired_days: kept(kept(wrong) * repair) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_state_is_refused_with_its_range() {
        for (stability, difficulty) in [
            (0.0, 0.0),
            (f32::NAN, 5.0),
            (1.0, f32::NAN),
            (f32::INFINITY, 5.0),
            (-1.0, 5.0),
            (1.0, 0.5),
            (1.0, 10.5),
            (40_000.0, 5.0),
        ] {
            assert!(State::new(stability, difficulty).is_err(), "{stability} {difficulty}");
        }
        let text = State::new(1.0, 11.0).unwrap_err().to_string();
        assert_eq!(text, "`difficulty` is 11; allowed are 1 to 10");
    }

    #[test]
    fn targets_the_crate_would_turn_into_nonsense_are_refused() {
        let model = Model::default();
        let state = State::new(5.0, 5.0).unwrap();
        for target in [0.0, 1.0, 1.2, -0.5, f64::NAN, f64::INFINITY] {
            assert!(model.days_until(state, target).is_err(), "{target}");
        }
        assert!((model.days_until(state, 0.9).unwrap() - 5.0).abs() < 1e-4);
    }

    #[test]
    fn time_that_runs_backwards_or_for_ever_is_refused() {
        let model = Model::default();
        let state = State::new(5.0, 5.0).unwrap();
        for days in [-0.1, f64::NAN, f64::INFINITY, 1e9] {
            assert!(model.recall(state, days).is_err(), "{days}");
        }
        assert!(model.after(Some(state), Grade::InTime, MOST_DAYS + 1).is_err());
    }

    #[test]
    fn every_corner_of_the_allowed_range_stays_inside_it() {
        let model = Model::default();
        for stability in [0.001, 0.5, 10.0, 36_500.0] {
            for difficulty in [1.0, 5.0, 10.0] {
                let state = State::new(stability, difficulty).unwrap();
                for grade in Grade::ALL {
                    for days in [0, 1, 30, MOST_DAYS] {
                        let next = model.after(Some(state), grade, days).unwrap();
                        let recall = model.recall(next, f64::from(days)).unwrap();
                        assert!((0.0..=1.0).contains(&recall));
                    }
                }
            }
        }
    }

    #[test]
    fn the_closed_form_for_planning_is_the_crates_own() {
        let model = Model::default();
        for stability in [0.05, 0.5, 3.0, 20.0, 400.0] {
            for difficulty in [1.0, 3.5, 6.0, 9.9] {
                let state = State::new(stability, difficulty).unwrap();
                let moves = Moves::of(f64::from(stability), f64::from(difficulty));
                let (right_d, repaired_d) = difficulty_after(f64::from(difficulty));
                for days in [1, 2, 7, 30, 200] {
                    let planned = moves.at(f64::from(days));
                    let right = model.after(Some(state), Grade::InTime, days).unwrap();
                    let repaired = model.after_repair(Some(state), days).unwrap();
                    let recall = model.recall(state, f64::from(days)).unwrap();
                    for (got, crates) in [
                        (planned.recall, recall),
                        (planned.right_days, f64::from(right.stability_days())),
                        (planned.repaired_days, f64::from(repaired.stability_days())),
                        (right_d, f64::from(right.difficulty())),
                        (repaired_d, f64::from(repaired.difficulty())),
                    ] {
                        assert!(
                            (got / crates - 1.0).abs() < 1e-4,
                            "{state:?} {days}: {got} {crates}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn a_state_reads_back_and_a_broken_one_does_not() {
        let state = State::new(2.5, 5.0).unwrap();
        let text = serde_json::to_string(&state).unwrap();
        assert_eq!(text, "[2.5,5.0]");
        assert_eq!(serde_json::from_str::<State>(&text).unwrap(), state);
        assert!(serde_json::from_str::<State>("[0.0,0.0]").is_err());
    }
}
