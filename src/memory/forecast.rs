//! Recall on a day to come, for one pattern and for many; where a pattern stands.
//!
//! The expected share is the weighted mean of recalls. Its spread is that of the share really
//! recalled on the day if patterns are independent: `sqrt(sum w^2 R (1 - R)) / sum w`.

use std::ops::AddAssign;

use serde::{Deserialize, Serialize};

use super::door::{MemoryState, Model};

/// Fewer answers do not check a forecast.
const LEAST_CHECKED: u32 = 20;

/// One pattern as the planners see it. The index is the caller's own and comes back untouched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Item {
    pub index: usize,
    /// What recalling it is worth, 0 or more: how often the serve comes times what the receive is
    /// worth, times how sure the serve is and how likely the opponent.
    pub weight: f64,
    /// The memory, with the day of the last counted answer; `None` while untried.
    pub memory: Option<(MemoryState, i32)>,
}

impl Item {
    /// Recall on `day` (a fraction is allowed); 0 while untried; a day before the last answer
    /// counts as that day.
    pub fn recall_on(&self, model: &Model, day: f64) -> f64 {
        self.memory.map_or(0.0, |(state, last)| model.recall(state, day - f64::from(last)))
    }

    /// Whether its counted answer for `day` has been given.
    pub fn is_answered_on(&self, day: i32) -> bool {
        self.memory.is_some_and(|(_, last)| last >= day)
    }
}

/// Where a pattern stands with a view to a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Never drilled.
    Untried,
    /// Its forecast is below the target.
    Shaky,
    /// It will be recalled, but was not answered near match speed.
    Slow,
    /// Its forecast is at or above the target.
    Ready,
}

impl Standing {
    pub const fn word(self) -> &'static str {
        match self {
            Self::Untried => "untried",
            Self::Shaky => "shaky",
            Self::Slow => "slow",
            Self::Ready => "ready",
        }
    }

    /// The word beside an answer on a sheet, where "untried" would speak of matches.
    pub const fn on_sheet(self) -> &'static str {
        match self {
            Self::Untried => "not drilled",
            known => known.word(),
        }
    }

    /// Where `item` stands for `day` against `target`.
    pub fn judge(model: &Model, item: &Item, day: f64, target: f64) -> Self {
        if item.memory.is_none() {
            Self::Untried
        } else if item.recall_on(model, day) < target {
            Self::Shaky
        } else {
            Self::Ready
        }
    }
}

/// So many standard deviations to either side lies a normal figure nine times in ten.
pub const NINE_IN_TEN: f64 = 1.645;

/// An expected share recalled, between 0 and 1, and the standard deviation of the share that
/// will really be recalled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RecallShare {
    /// The expected weighted share.
    pub expected: f64,
    /// One standard deviation of the weighted share really recalled.
    pub spread: f64,
}

impl RecallShare {
    /// From pairs of weight and recall; nothing at all counts as 0 with no spread.
    pub fn from_recalls(pairs: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let (mut weights, mut sum, mut square) = (0.0, 0.0, 0.0);
        for (weight, recall) in pairs {
            weights += weight;
            sum += weight * recall;
            square += weight * weight * recall * (1.0 - recall);
        }
        if weights > 0.0 {
            Self { expected: sum / weights, spread: square.sqrt() / weights }
        } else {
            Self { expected: 0.0, spread: 0.0 }
        }
    }

    /// Between which shares it lies nine times in ten.
    pub fn range(self) -> (f64, f64) {
        let give_or_take = NINE_IN_TEN * self.spread;
        ((self.expected - give_or_take).max(0.0), (self.expected + give_or_take).min(1.0))
    }
}

/// Forecasts beside what came.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Checked {
    /// Answers that had a forecast: counted ones, to patterns known before.
    pub answers: u32,
    /// The sum of the recalls said, in thousandths, and how many were recalled.
    pub said_permille: u64,
    pub came: u32,
}

impl Checked {
    /// Takes an answer in that was recalled or not.
    pub fn take(&mut self, recall: f64, is_recalled: bool) {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1000")]
        let permille = (1000.0 * recall.clamp(0.0, 1.0)).round() as u64;
        *self += Self { answers: 1, said_permille: permille, came: is_recalled.into() };
    }

    /// The shares said and recalled, 0 to 1; none while there are too few answers to tell.
    pub fn shares(self) -> Option<(f64, f64)> {
        let answers = f64::from(self.answers);
        let said = self.said_permille as f64 / 1000.0;
        (self.answers >= LEAST_CHECKED).then(|| (said / answers, f64::from(self.came) / answers))
    }
}

impl AddAssign for Checked {
    fn add_assign(&mut self, other: Self) {
        self.answers = self.answers.saturating_add(other.answers);
        self.said_permille = self.said_permille.saturating_add(other.said_permille);
        self.came = self.came.saturating_add(other.came);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(weight: f64, stability: f32) -> Item {
        Item { index: 0, weight, memory: Some((MemoryState::new(stability, 5.0).unwrap(), 0)) }
    }

    fn share_on(items: &[Item], day: f64) -> RecallShare {
        let model = Model::default();
        RecallShare::from_recalls(items.iter().map(|one| (one.weight, one.recall_on(&model, day))))
    }

    #[test]
    fn recall_is_nine_tenths_after_as_many_days_as_the_stability() {
        let share = share_on(&[item(1.0, 8.0)], 8.0);
        assert!((share.expected - 0.9).abs() < 1e-6);
        assert!((share.spread - 0.3).abs() < 1e-5);
    }

    #[test]
    fn an_untried_pattern_counts_as_not_recalled_and_no_pattern_as_nothing() {
        let untried = Item { index: 1, weight: 3.0, memory: None };
        let share = share_on(&[item(1.0, 8.0), untried], 8.0);
        assert!((share.expected - 0.225).abs() < 1e-6);
        let standing = Standing::judge(&Model::default(), &untried, 8.0, 0.9);
        assert_eq!(standing, Standing::Untried);
        assert_eq!(share_on(&[], 1.0), RecallShare { expected: 0.0, spread: 0.0 });
    }

    #[test]
    fn at_the_target_is_ready_and_just_below_is_shaky() {
        let model = Model::default();
        let ready = Standing::judge(&model, &item(1.0, 8.0), 7.9, 0.9);
        let shaky = Standing::judge(&model, &item(1.0, 8.0), 8.1, 0.9);
        assert_eq!((ready, shaky), (Standing::Ready, Standing::Shaky));
    }
}
