//! The one door to the crate `fsrs`: no other file of the house names it.
//!
//! A [`MemoryState`] is valid from birth, an answer moves it, and recall is read off it. The crate
//! clips, returns NaN or infinity, or panics on some bad input, so what goes in is kept in range
//! here. States move by whole calendar days; only the forecast reads fractions of a day. The
//! parameters are the crate's defaults: fitting them to one player makes predictions worse below
//! some ten thousand answers.

use fsrs::{DEFAULT_PARAMETERS, FSRS, FSRSItem, FSRSReview};
use serde::{Deserialize, Serialize};

use super::result::Grade;
use crate::base::{Bound, OutOfBounds};

/// Stability, within the crate's own limits.
const STABILITY: Bound =
    Bound { what: "stability", unit: "days", least: 0.001, most: 36_500.0, source: "fsrs 6.6.2" };
/// Difficulty, within the crate's own limits.
const DIFFICULTY: Bound =
    Bound { what: "difficulty", unit: "", least: 1.0, most: 10.0, source: STABILITY.source };
/// The longest time between two answers, or ahead, in days: a hundred years.
pub const MOST_DAYS: u32 = 36_500;

/// Whole days from `earlier` to `later`; none when time runs backwards, a hundred years at most.
pub fn days_between(earlier: i32, later: i32) -> u32 {
    later.saturating_sub(earlier).max(0).unsigned_abs().min(MOST_DAYS)
}

/// How well one pattern is held: stability (days until recall falls to .90, 0.001 to 36,500) and
/// difficulty (1 easy to 10 hard).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "(f32, f32)", into = "(f32, f32)")]
pub struct MemoryState {
    stability: f32,
    difficulty: f32,
}

impl MemoryState {
    /// A state from its two numbers.
    ///
    /// # Errors
    /// [`OutOfBounds`] for a number outside its range, or not finite.
    pub fn new(stability_days: f32, difficulty: f32) -> Result<Self, OutOfBounds> {
        STABILITY.check(f64::from(stability_days))?;
        DIFFICULTY.check(f64::from(difficulty))?;
        Ok(Self { stability: stability_days, difficulty })
    }

    pub const fn stability_days(self) -> f32 {
        self.stability
    }

    pub const fn difficulty(self) -> f32 {
        self.difficulty
    }
}

impl TryFrom<(f32, f32)> for MemoryState {
    type Error = OutOfBounds;

    fn try_from((stability, difficulty): (f32, f32)) -> Result<Self, OutOfBounds> {
        Self::new(stability, difficulty)
    }
}

impl From<MemoryState> for (f32, f32) {
    fn from(state: MemoryState) -> Self {
        (state.stability, state.difficulty)
    }
}

impl From<MemoryState> for fsrs::MemoryState {
    fn from(state: MemoryState) -> Self {
        Self { stability: state.stability, difficulty: state.difficulty }
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
    /// same day, more than [`MOST_DAYS`] count as that. `before` is `None` when the pattern was
    /// never answered; `days` is then ignored.
    pub fn after(&self, before: Option<MemoryState>, grade: Grade, days: u32) -> MemoryState {
        let review = FSRSReview { rating: grade.number(), delta_t: days.min(MOST_DAYS) };
        // The crate takes 0/0 as a very weak memory when it comes as a starting state, and as
        // "none" elsewhere; `MemoryState` cannot be 0/0, so the question does not arise.
        let next =
            self.inner.memory_state(FSRSItem { reviews: vec![review] }, before.map(Into::into));
        // The crate refuses only numbers that are not finite, which no state in its range leads to.
        let least = fsrs::MemoryState { stability: 0.0, difficulty: 0.0 };
        let fsrs::MemoryState { stability, difficulty } = next.unwrap_or(least);
        MemoryState {
            stability: stability.max(narrow(STABILITY.least)).min(narrow(STABILITY.most)),
            difficulty: difficulty.max(narrow(DIFFICULTY.least)).min(narrow(DIFFICULTY.most)),
        }
    }

    /// The state after a wrong answer and the one right answer that repairs it on the same day.
    pub fn after_repair(&self, before: Option<MemoryState>, days: u32) -> MemoryState {
        let wrong = self.after(before, Grade::Wrong, days);
        self.after(Some(wrong), Grade::InTime, 0)
    }

    /// The share of such patterns recalled `days` (fractions allowed) after the last answer, 0 to
    /// 1: `R = (1 + F t / S)^(-w20)`, `F = 0.9^(-1/w20) - 1`. Days before the answer count as none,
    /// and more than [`MOST_DAYS`] as that.
    pub fn recall(&self, state: MemoryState, days: f64) -> f64 {
        let days = narrow(days.max(0.0).min(f64::from(MOST_DAYS)));
        f64::from(fsrs::current_retrievability(state.into(), days, self.decay)).clamp(0.0, 1.0)
    }
}

/// Single precision, where it is enough: the crate's own, and the calendar's grid.
#[expect(clippy::cast_possible_truncation, reason = "precision is lost knowingly")]
pub(super) const fn narrow(value: f64) -> f32 {
    value as f32
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
        (w(7) * (easiest - moved) + moved).clamp(DIFFICULTY.least, DIFFICULTY.most)
    };
    (step(difficulty, 3.0), step(step(difficulty, 1.0), 3.0))
}

impl Moves {
    /// The moves from this stability (days) and difficulty.
    pub fn from_state(stability_days: f64, difficulty: f64) -> Self {
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
        let kept = |s: f64| s.clamp(STABILITY.least, STABILITY.most);
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
            assert!(MemoryState::new(stability, difficulty).is_err(), "{stability} {difficulty}");
        }
        let text = MemoryState::new(1.0, 11.0).unwrap_err().to_string();
        assert_eq!(text, "difficulty is 11, allowed is 1 to 10");
    }

    #[test]
    fn time_that_runs_backwards_or_for_ever_counts_as_its_nearest_limit() {
        let model = Model::default();
        let state = MemoryState::new(5.0, 5.0).unwrap();
        for days in [-0.1, f64::NAN, f64::NEG_INFINITY] {
            assert_eq!(model.recall(state, days), 1.0, "{days}");
        }
        for days in [f64::INFINITY, 1e9] {
            assert_eq!(model.recall(state, days), model.recall(state, 36_500.0), "{days}");
        }
        let longest = model.after(Some(state), Grade::InTime, MOST_DAYS);
        assert_eq!(model.after(Some(state), Grade::InTime, MOST_DAYS + 1), longest);
    }

    #[test]
    fn every_corner_of_the_allowed_range_stays_inside_it() {
        let model = Model::default();
        for stability in [0.001, 0.5, 10.0, 36_500.0] {
            for difficulty in [1.0, 5.0, 10.0] {
                let state = MemoryState::new(stability, difficulty).unwrap();
                for grade in Grade::ALL {
                    for days in [0, 1, 30, MOST_DAYS] {
                        let next = model.after(Some(state), grade, days);
                        let recall = model.recall(next, f64::from(days));
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
                let state = MemoryState::new(stability, difficulty).unwrap();
                let moves = Moves::from_state(f64::from(stability), f64::from(difficulty));
                let (right_d, repaired_d) = difficulty_after(f64::from(difficulty));
                for days in [1, 2, 7, 30, 200] {
                    let planned = moves.at(f64::from(days));
                    let right = model.after(Some(state), Grade::InTime, days);
                    let repaired = model.after_repair(Some(state), days);
                    let recall = model.recall(state, f64::from(days));
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
        let state = MemoryState::new(2.5, 5.0).unwrap();
        let text = serde_json::to_string(&state).unwrap();
        assert_eq!(text, "[2.5,5.0]");
        assert_eq!(serde_json::from_str::<MemoryState>(&text).unwrap(), state);
        assert!(serde_json::from_str::<MemoryState>("[0.0,0.0]").is_err());
    }
}
