//! The share of timed answers that were right, and right within the window, by day or week.

use std::collections::BTreeMap;

use serde::Serialize;

use super::answers::{Answered, Timed};
use super::{Advice, Asked, FEWEST, PERIODS, Step, share};
use crate::base::{Day, text};
use crate::game::ServeId;

/// Share of right answers from which the answers count as known (an assumption: the gate of a switch round).
const KNOWN: f64 = 0.80;
/// Share within the window from which nothing need be done: the tempo settles at 0.79 by its own rule, and a
/// period of a few dozen answers strays from it by about this much (an assumption).
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
        share(self.in_window, self.answers).unwrap_or(0.0)
    }

    /// Share right.
    pub fn right_share(&self) -> f64 {
        share(self.right, self.answers).unwrap_or(0.0)
    }
}

/// The answers over time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Windows {
    /// What one period is.
    pub step: Step,
    /// Periods with answers, oldest first.
    pub periods: Vec<Period>,
    /// What to do.
    pub advice: Advice,
}

/// Sums the timed answers up.
pub(super) fn windows(asked: &Asked<'_>, answered: &Answered<'_>) -> Windows {
    let step = Step::of(answered.first, asked.today);
    let mut periods: BTreeMap<Day, Period> = BTreeMap::new();
    for &Timed { day, grade, .. } in &answered.timed {
        let from = step.begin(day);
        let period =
            periods.entry(from).or_insert(Period { from, answers: 0, right: 0, in_window: 0 });
        period.answers += 1;
        period.right += usize::from(grade.is_recalled());
        period.in_window += usize::from(grade.is_within_window());
    }
    let skipped = periods.len().saturating_sub(PERIODS);
    let periods: Vec<Period> = periods.into_values().skip(skipped).collect();
    let advice = advice(asked, answered, step, periods.last());
    Windows { step, periods, advice }
}

fn advice(asked: &Asked<'_>, answered: &Answered<'_>, step: Step, last: Option<&Period>) -> Advice {
    let (Some(last), Some(Timed { day: last_day, .. })) = (last, answered.timed.last()) else {
        return Advice::due("No timed answer yet: a few minutes are enough.", asked.begin());
    };
    let ago = asked.today.days_since(*last_day);
    if ago >= LONG_AGO_DAYS {
        let again = asked.once_more(answered, "drill");
        return Advice::due(format!("Nothing was answered for {ago} days."), again);
    }
    let since = format!("since {}", last.from.spoken());
    if last.answers < FEWEST {
        return Advice::due(
            format!("Too few answers {since} to say anything: {}.", last.answers),
            asked.once_more(answered, "drill"),
        );
    }
    if last.right_share() < KNOWN {
        return match most(&answered.timed, step, last.from, |grade| !grade.is_recalled()) {
            Some(((deck, serve), wrong, of)) => Advice::due(
                format!(
                    "Know it before you hurry: {} was wrong {wrong} of {} {since}.",
                    asked.named(&deck, &serve),
                    text::count(of, "time")
                ),
                asked.command("drill --think", &deck),
            ),
            None => {
                Advice::due("Know it before you hurry.", asked.once_more(answered, "drill --think"))
            }
        };
    }
    if last.window_share() < QUICK {
        return Advice::due(
            format!(
                "Right but late, {:.0} of 100 within the window {since}: shorter and more often.",
                last.window_share() * 100.0
            ),
            asked.once_more(answered, "drill --minutes 5"),
        );
    }
    Advice::nothing(&format!(
        "{:.0} of 100 within the window {since}; the tempo keeps it near 80.",
        last.window_share() * 100.0
    ))
}

/// A serve of a deck, how often something was true of it, and of how many answers.
pub(super) type Most = ((String, ServeId), usize, usize);

/// The serve of which something was true most often since a day.
pub(super) fn most(
    timed: &[Timed<'_>],
    step: Step,
    from: Day,
    is: impl Fn(crate::memory::Grade) -> bool,
) -> Option<Most> {
    let mut counts: BTreeMap<(&str, &ServeId), (usize, usize)> = BTreeMap::new();
    for one in timed.iter().rev().take_while(|one| step.begin(one.day) >= from) {
        let count = counts.entry((one.deck, one.serve)).or_default();
        count.0 += usize::from(is(one.grade));
        count.1 += 1;
    }
    counts
        .into_iter()
        .filter(|(_, (times, _))| *times > 0)
        .max_by_key(|(_, (times, _))| *times)
        .map(|((deck, serve), (times, of))| ((deck.to_owned(), serve.clone()), times, of))
}
