//! The share of timed answers that were right, and right within the window, by day or week.

use std::collections::BTreeMap;

use serde::Serialize;

use super::advice::{Counsel, Lack, Remark};
use super::answers::{Answered, Timed};
use super::period::{FEWEST, PeriodLength, last_periods};
use super::request::ProgressRequest;
use crate::agenda::todo::DrillMode;
use crate::base::Day;
use crate::memory::Grade;

/// Share of right answers from which the answers count as known (an assumption: the gate of a
/// switch round).
const KNOWN: f64 = 0.80;
/// Share within the window from which nothing need be done: the tempo settles at 0.79 by its own
/// rule, and a period of a few dozen answers strays from it by about this much (an assumption).
const QUICK: f64 = 0.65;
/// Days without a timed answer after which that alone is said (an assumption).
const LONG_AGO_DAYS: i64 = 14;

/// The answers of a day or week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Period {
    /// Its first day.
    pub from: Day,
    /// Timed answers, lets left out.
    pub answers: usize,
    /// Of them right, within twice the window.
    pub right: usize,
    /// Of them right within the window.
    pub in_window: usize,
}

impl Period {
    /// Share right within the window.
    pub fn window_share(&self) -> f64 {
        self.in_window as f64 / self.answers.max(1) as f64
    }

    /// Share right.
    pub fn right_share(&self) -> f64 {
        self.right as f64 / self.answers.max(1) as f64
    }
}

/// The answers over time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Windows {
    /// What one period is.
    pub step: PeriodLength,
    /// Periods with answers, oldest first.
    pub periods: Vec<Period>,
    #[serde(rename = "advice")]
    pub counsel: Counsel,
}

/// Sums the timed answers up.
pub(super) fn windows(asked: &ProgressRequest<'_>, answered: &Answered<'_>) -> Windows {
    let step = PeriodLength::for_history(answered.first, asked.today);
    let mut periods: BTreeMap<Day, Period> = BTreeMap::new();
    for &Timed { day, grade, .. } in &answered.timed {
        let from = step.begin(day);
        let period =
            periods.entry(from).or_insert(Period { from, answers: 0, right: 0, in_window: 0 });
        period.answers += 1;
        period.right += usize::from(grade.is_recalled());
        period.in_window += usize::from(grade.is_within_window());
    }
    let periods = last_periods(periods.into_values());
    let counsel = counsel(asked, answered, step, periods.last());
    Windows { step, periods, counsel }
}

fn counsel(
    asked: &ProgressRequest<'_>,
    answered: &Answered<'_>,
    step: PeriodLength,
    last: Option<&Period>,
) -> Counsel {
    let (Some(last), Some(Timed { day: last_day, .. })) = (last, answered.timed.last()) else {
        return Counsel::lacks(Lack::TimedAnswer, asked.begin());
    };
    let again = |mode| asked.once_more(answered, mode);
    let days = asked.today.days_since(*last_day);
    let since = last.from;
    if days >= LONG_AGO_DAYS {
        return Counsel::due(Remark::LongAgo { days }, again(DrillMode::Usual));
    }
    if last.answers < FEWEST {
        let remark = Remark::FewAnswers { answers: last.answers, since };
        return Counsel::due(remark, again(DrillMode::Usual));
    }
    if last.right_share() < KNOWN {
        let is_wrong = |grade: Grade| !grade.is_recalled();
        let most_wrong = asked.most_often(&answered.timed, step, since, is_wrong);
        let todo = match &most_wrong {
            Some(most) => asked.drill(DrillMode::Think, &most.deck),
            None => again(DrillMode::Think),
        };
        return Counsel::due(Remark::NotKnown { most_wrong, since }, todo);
    }
    let share = last.window_share();
    if share < QUICK {
        return Counsel::due(Remark::RightButLate { share, since }, again(DrillMode::FiveMinutes));
    }
    Counsel::nothing(Remark::WithinWindow { share, since })
}
