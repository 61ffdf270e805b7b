//! Where the tempo settled, by day or week.
//!
//! A journal holds the tempo at which each answer was asked; the staircase of a round is then
//! played again ([`crate::drill::Tempo`]), and its threshold is the point. A round too short
//! for a threshold shows the middle of the tempi it was asked at, and is marked so.

use std::collections::BTreeMap;

use serde::Serialize;

use super::advice::{Counsel, Lack, Remark};
use super::answers::Answered;
use super::period::{PeriodLength, last_periods};
use super::request::ProgressRequest;
use crate::agenda::todo::DrillMode;
use crate::base::Day;
use crate::deck::Player;
use crate::drill::{MATCH_PERMILLE, Tempo, TempoRules};
use crate::memory::Grade;

/// As good as match speed, thousandths of it (an assumption: less than one fine step of the
/// staircase).
const AS_GOOD_PERMILLE: f64 = 1050.0;
/// An asked tempo this far from the staircase played again belongs to another round, thousandths.
const SAME_ROUND_PERMILLE: u32 = 40;

/// The tempo of a day or week.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TempoPeriod {
    /// Its first day.
    pub from: Day,
    /// Timed answers.
    pub answers: usize,
    /// Thousandths of match speed: the threshold, or the middle of what was asked.
    pub permille: f64,
    /// True when it is a threshold.
    pub is_settled: bool,
    /// Turns of the staircase behind a threshold.
    pub reversals: usize,
}

/// The tempo over time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tempi {
    /// What one period is.
    pub step: PeriodLength,
    /// Periods with answers, oldest first.
    pub periods: Vec<TempoPeriod>,
    #[serde(rename = "advice")]
    pub counsel: Counsel,
}

/// What is collected of a period.
#[derive(Default)]
struct Heap {
    asked_permille: Vec<u32>,
    /// Thresholds with the turns behind them.
    thresholds: Vec<(f64, usize)>,
}

impl Heap {
    fn period(mut self, from: Day) -> TempoPeriod {
        self.asked_permille.sort_unstable();
        let answers = self.asked_permille.len();
        let reversals: usize = self.thresholds.iter().map(|(_, turns)| turns).sum();
        let permille = if reversals > 0 {
            let sum: f64 = self.thresholds.iter().map(|(at, turns)| at * *turns as f64).sum();
            sum / reversals as f64
        } else {
            f64::from(self.asked_permille.get(answers / 2).copied().unwrap_or(MATCH_PERMILLE))
        };
        TempoPeriod { from, answers, permille, is_settled: reversals > 0, reversals }
    }
}

/// The rules of the staircase on a day, beginning at a tempo.
fn rules(player: &Player, day: Day, start_permille: u32) -> TempoRules {
    let rules = TempoRules { start_permille, ..TempoRules::default() };
    rules.towards(player.next_event(day).map(|event| event.day.days_since(day)))
}

/// The tempo by day or week.
pub(super) fn tempi(asked: &ProgressRequest<'_>, answered: &Answered<'_>) -> Tempi {
    let step = PeriodLength::for_history(answered.first, asked.today);
    let mut heaps: BTreeMap<Day, Heap> = BTreeMap::new();
    let mut rounds: Vec<(Day, Tempo)> = Vec::new();
    for one in &answered.timed {
        let day = one.day;
        let Some(permille) = one.permille else { continue };
        let goes_on = rounds.last().is_some_and(|(of, tempo)| {
            let off = tempo.permille().abs_diff(permille);
            *of == day && off * 1000 <= SAME_ROUND_PERMILLE * permille.max(1)
        });
        if !goes_on {
            rounds.push((day, Tempo::new(rules(asked.player, day, permille))));
        }
        if let Some((_, tempo)) = rounds.last_mut() {
            tempo.answered(one.grade.is_within_window());
        }
        heaps.entry(step.begin(day)).or_default().asked_permille.push(permille);
    }
    for (of, tempo) in rounds {
        let settled = tempo.threshold().map(|settled| (settled.permille, settled.reversals));
        heaps.entry(step.begin(of)).or_default().thresholds.extend(settled);
    }
    let periods = last_periods(heaps.into_iter());
    let periods: Vec<TempoPeriod> =
        periods.into_iter().map(|(from, heap)| heap.period(from)).collect();
    let counsel = counsel(asked, answered, step, periods.last());
    Tempi { step, periods, counsel }
}

fn counsel(
    asked: &ProgressRequest<'_>,
    answered: &Answered<'_>,
    step: PeriodLength,
    last: Option<&TempoPeriod>,
) -> Counsel {
    let Some(last) = last else { return Counsel::lacks(Lack::Tempo, asked.begin()) };
    if last.permille <= AS_GOOD_PERMILLE {
        return Counsel::nothing(Remark::MatchSpeed);
    }
    let is_late = |grade| grade == Grade::Late;
    let most_late = asked.most_often(&answered.timed, step, last.from, is_late);
    let todo = match &most_late {
        Some(most) => asked.drill(DrillMode::Usual, &most.deck),
        None => asked.once_more(answered, DrillMode::FiveMinutes),
    };
    let (times, is_settled) = (last.permille / 1000.0, last.is_settled);
    Counsel::due(Remark::Slow { times, is_settled, most_late }, todo)
}
