//! Where the tempo settled, by day or week.
//!
//! A journal holds each answer's window, so the tempo at which it was asked follows; the staircase of a round is
//! then played again ([`crate::drill::Tempo`]), and its threshold is the point. A round too short for a threshold
//! shows the middle of the tempi it was asked at, and is marked so.

use std::collections::BTreeMap;

use serde::Serialize;

use super::answers::Answered;
use super::windows::most;
use super::{Advice, Asked, PERIODS, Step};
use crate::base::Day;
use crate::deck::Player;
use crate::drill::{MATCH_PERMILLE, Tempo, TempoRules, window};
use crate::game::ServeId;
use crate::memory::Grade;

/// As good as match speed, thousandths of it (an assumption: less than one fine step of the staircase).
const AS_GOOD_PERMILLE: f64 = 1050.0;
/// An asked tempo this far from the staircase played again belongs to another round, thousandths.
const SAME_ROUND_PERMILLE: u32 = 40;
/// Days before an event on which the drill eases the tempo.
const EASED_DAYS: i64 = 2;

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
    pub step: Step,
    /// Periods with answers, oldest first.
    pub periods: Vec<TempoPeriod>,
    /// What to do.
    pub advice: Advice,
}

/// What is collected of a period.
#[derive(Default)]
struct Heap {
    asked_permille: Vec<u32>,
    /// Thresholds with the turns behind them.
    thresholds: Vec<(f64, usize)>,
}

impl Heap {
    fn take(&mut self, round: Option<&Tempo>) {
        if let Some(settled) = round.and_then(Tempo::threshold) {
            self.thresholds.push((settled.permille, settled.reversals));
        }
    }

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
    let is_eased =
        player.events.iter().any(|event| (1..=EASED_DAYS).contains(&event.day.days_since(day)));
    if is_eased { rules.eased() } else { rules }
}

/// The tempo by day or week.
pub(super) fn tempi(asked: &Asked<'_>, answered: &Answered<'_>) -> Tempi {
    let step = Step::of(answered.first, asked.today);
    let mut heaps: BTreeMap<Day, Heap> = BTreeMap::new();
    let mut round: Option<(Day, Tempo)> = None;
    // Looked up once a serve: there may be some ten thousand answers.
    let mut decisions: BTreeMap<(&str, &ServeId), u32> = BTreeMap::new();
    for one in &answered.timed {
        let day = one.day;
        let decision_ms = *decisions
            .entry((one.deck, one.serve))
            .or_insert_with(|| (asked.decision_ms)(one.deck, one.serve));
        let Some(permille) = window::tempo_permille(one.window_ms, decision_ms, one.motor_ms)
        else {
            continue;
        };
        let goes_on = round.as_ref().is_some_and(|(of, tempo)| {
            let off = tempo.permille().abs_diff(permille);
            *of == day && off * 1000 <= SAME_ROUND_PERMILLE * permille.max(1)
        });
        if !goes_on {
            if let Some((of, tempo)) = round.take() {
                heaps.entry(step.begin(of)).or_default().take(Some(&tempo));
            }
            round = Some((day, Tempo::new(rules(asked.player, day, permille))));
        }
        if let Some((_, tempo)) = &mut round {
            tempo.answered(one.grade.is_within_window());
        }
        heaps.entry(step.begin(day)).or_default().asked_permille.push(permille);
    }
    if let Some((of, tempo)) = round {
        heaps.entry(step.begin(of)).or_default().take(Some(&tempo));
    }
    let skipped = heaps.len().saturating_sub(PERIODS);
    let periods: Vec<TempoPeriod> =
        heaps.into_iter().skip(skipped).map(|(from, heap)| heap.period(from)).collect();
    let advice = advice(asked, answered, step, periods.last());
    Tempi { step, periods, advice }
}

fn advice(
    asked: &Asked<'_>,
    answered: &Answered<'_>,
    step: Step,
    last: Option<&TempoPeriod>,
) -> Advice {
    let Some(last) = last else {
        return Advice::due("No tempo yet: it shows after a timed round.", asked.begin());
    };
    if last.permille <= AS_GOOD_PERMILLE {
        return Advice::nothing("you answer at match speed.");
    }
    let times = format!("{:.2} times the time of a match", last.permille / 1000.0);
    let at = if last.is_settled {
        format!("Four in five come right at {times}")
    } else {
        format!("You were asked at {times}, in the middle")
    };
    if let Some(((deck, serve), late, of)) =
        most(&answered.timed, step, last.from, |grade| grade == Grade::Late)
    {
        return Advice::due(
            format!("{at}; {} is late most often, {late} of {of}.", asked.named(&deck, &serve)),
            asked.command("drill", &deck),
        );
    }
    let again = asked.once_more(answered, "drill --minutes 5");
    Advice::due(format!("{at}: a few minutes a day."), again)
}
