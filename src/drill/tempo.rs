//! The tempo: how the window shrinks from generous to match speed while the player succeeds.
//!
//! A transformed up-down staircase (Levitt 1971, *J. Acoust. Soc. Am.* 49, 467): after `downs`
//! right answers in the window in a row the tempo is one step harder, after every other answer
//! one step easier. It settles where a run of `downs` successes is as likely as not, p^downs =
//! 1/2: with three at p = 0.794, with seven at p = 0.906, which is used to ease the last two
//! days. Only the decision's share of a window shrinks; the body's and the keys' share is the
//! player's own and stays.
//!
//! Whole numbers throughout (parts of a thousand of match speed), so that another program that
//! plays a script comes to the same numbers.

use serde::Serialize;

/// Match speed: the decision has exactly the time a match gives it.
pub const MATCH_PERMILLE: u32 = 1000;
/// Where somebody starts who was never measured.
pub const GENEROUS_PERMILLE: u32 = 2500;
/// Right answers in a row for a step, on ordinary days: settles at 79.4 %.
pub const DOWNS: u32 = 3;
/// The same on the last two days before an event: settles at 90.6 %.
pub const DOWNS_EASED: u32 = 7;

/// How much easier the first ball of a day is, thousandths.
const FIRST_EASED_PERMILLE: u32 = 150;
/// Days before an event, and its own, on which nine in ten are to succeed.
const EASED_DAYS: std::ops::RangeInclusive<i64> = 0..=2;

/// One reversal follows from the last, so their spread alone would understate the error. Found by
/// simulating 1000 players with log-normal times over 80, 150 and 400 balls: 2.4 to 2.6.
pub const FOLLOW: f64 = 2.5;

/// The rules of a staircase.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct TempoRules {
    /// Where it starts, thousandths of match speed; larger is easier.
    pub start_permille: u32,
    /// The hardest it becomes.
    pub least_permille: u32,
    /// The easiest it becomes.
    pub most_permille: u32,
    /// Size of a step until the second reversal, thousandths of the present tempo.
    pub step_permille: u32,
    /// Size of a step afterwards.
    pub fine_step_permille: u32,
    /// Right answers in the window in a row for a harder step.
    pub downs: u32,
    /// How much easier the first ball is, thousandths; it moves nothing.
    pub first_eased_permille: u32,
    /// True when the tempo stays where it starts.
    pub is_fixed: bool,
}

impl Default for TempoRules {
    fn default() -> Self {
        Self {
            start_permille: GENEROUS_PERMILLE,
            least_permille: MATCH_PERMILLE,
            most_permille: 4000,
            step_permille: 150,
            fine_step_permille: 60,
            downs: DOWNS,
            first_eased_permille: 0,
            is_fixed: false,
        }
    }
}

impl TempoRules {
    /// The rules for somebody who stands at a tempo: on from there in fine steps; only the first
    /// ball of a day is easier.
    #[must_use]
    pub fn resumed(self, permille: u32, is_new_day: bool) -> Self {
        Self {
            start_permille: permille.clamp(self.least_permille, self.most_permille),
            step_permille: self.fine_step_permille,
            first_eased_permille: if is_new_day { FIRST_EASED_PERMILLE } else { 0 },
            ..self
        }
    }

    /// The rules when the next event is so many days ahead.
    #[must_use]
    pub fn towards(self, days: Option<i64>) -> Self {
        let is_near = days.is_some_and(|days| EASED_DAYS.contains(&days));
        if is_near { self.eased() } else { self }
    }

    /// The rules of the last days before an event, so that nine in ten succeed.
    #[must_use]
    pub fn eased(self) -> Self {
        Self { downs: DOWNS_EASED, ..self }
    }

    /// The tempo stays where it starts.
    #[must_use]
    pub fn fixed(self) -> Self {
        Self { is_fixed: true, first_eased_permille: 0, ..self }
    }
}

/// Where a staircase has settled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Threshold {
    /// The mean of the reversals after the first two, thousandths of match speed.
    pub permille: f64,
    /// Its standard error: [`FOLLOW`] times the spread of those reversals over the root of their
    /// number.
    pub error_permille: f64,
    /// How many reversals are behind it.
    pub reversals: usize,
}

/// A staircase under way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tempo {
    rules: TempoRules,
    permille: u32,
    /// Whether the eased first ball is still to come.
    is_first: bool,
    streak: u32,
    was_harder: Option<bool>,
    reversals: Vec<u32>,
}

impl Tempo {
    /// A staircase at its start.
    pub fn new(rules: TempoRules) -> Self {
        Self {
            permille: rules.start_permille,
            is_first: rules.first_eased_permille > 0,
            rules,
            streak: 0,
            was_harder: None,
            reversals: Vec::new(),
        }
    }

    /// The present tempo, thousandths of match speed.
    pub fn permille(&self) -> u32 {
        if !self.is_first {
            return self.permille;
        }
        let eased = self.permille * (1000 + self.rules.first_eased_permille);
        ((eased + 500) / 1000).min(self.rules.most_permille)
    }

    /// The tempo that was reached: where it has settled, else where it stands.
    pub fn reached_permille(&self) -> u32 {
        reached_permille(&self.reversals).unwrap_or(self.permille)
    }

    /// Takes an answer in: was it right and in the window?
    pub fn answered(&mut self, is_success: bool) {
        if self.rules.is_fixed || std::mem::take(&mut self.is_first) {
            return;
        }
        if is_success {
            self.streak += 1;
            if self.streak >= self.rules.downs {
                self.streak = 0;
                self.step(true);
            }
        } else {
            self.streak = 0;
            self.step(false);
        }
    }

    fn step(&mut self, is_harder: bool) {
        if self.was_harder.is_some_and(|before| before != is_harder) {
            self.reversals.push(self.permille);
        }
        self.was_harder = Some(is_harder);
        let is_coarse = self.reversals.len() < 2;
        let step = if is_coarse { self.rules.step_permille } else { self.rules.fine_step_permille };
        let shrunk = 1000 - step.min(900);
        // Up is the inverse of down, so that the two are equally long on a scale of ratios.
        let next = if is_harder {
            (self.permille * shrunk + 500) / 1000
        } else {
            (self.permille * 1000 + shrunk / 2) / shrunk
        };
        self.permille = next.clamp(self.rules.least_permille, self.rules.most_permille);
    }

    /// Where it has settled; none before six reversals.
    pub fn threshold(&self) -> Option<Threshold> {
        let late = late(&self.reversals)?;
        let count = late.len() as f64;
        let mean = late.iter().map(|&p| f64::from(p)).sum::<f64>() / count;
        let variance =
            late.iter().map(|&p| (f64::from(p) - mean).powi(2)).sum::<f64>() / (count - 1.0);
        Some(Threshold {
            permille: mean,
            error_permille: FOLLOW * (variance / count).sqrt(),
            reversals: late.len(),
        })
    }
}

/// The reversals after the first two: an even number, so that tops and bottoms weigh the same
/// (Levitt 1971), and not fewer than four.
fn late(reversals: &[u32]) -> Option<&[u32]> {
    let late = reversals.get(2..)?;
    Some(&late[late.len() % 2..]).filter(|late| late.len() >= 4)
}

/// Where a staircase with these reversals has settled, whole thousandths.
pub(super) fn reached_permille(reversals: &[u32]) -> Option<u32> {
    let late = late(reversals)?;
    u32::try_from(late.len()).ok().map(|count| (late.iter().sum::<u32>() + count / 2) / count)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn coarse() -> TempoRules {
        TempoRules { start_permille: 2000, ..TempoRules::default() }
    }

    #[test]
    fn three_successes_are_one_step_and_one_failure_is_another() {
        let mut tempo = Tempo::new(coarse());
        for _ in 0..2 {
            tempo.answered(true);
        }
        assert_eq!(tempo.permille(), 2000);
        tempo.answered(true);
        assert_eq!(tempo.permille(), 1700);
        tempo.answered(true);
        tempo.answered(false);
        assert_eq!(tempo.permille(), 2000);
    }

    #[test]
    fn match_speed_is_never_passed() {
        let mut tempo = Tempo::new(coarse());
        for _ in 0..100 {
            tempo.answered(true);
        }
        assert_eq!(tempo.permille(), MATCH_PERMILLE);
    }

    #[test]
    fn a_fixed_tempo_stays() {
        let mut tempo = Tempo::new(coarse().fixed());
        for place in 0..50 {
            tempo.answered(place % 5 != 0);
        }
        assert_eq!(tempo.permille(), 2000);
        assert!(tempo.threshold().is_none());
    }

    #[test]
    fn only_the_first_ball_of_a_day_is_easier_and_it_moves_nothing() {
        for is_right in [true, false] {
            let mut tempo = Tempo::new(TempoRules::default().resumed(1200, true));
            assert_eq!(tempo.permille(), 1380);
            tempo.answered(is_right);
            assert_eq!(tempo.permille(), 1200);
        }
        let start = |permille| Tempo::new(TempoRules::default().resumed(permille, false));
        assert_eq!(start(1200).permille(), 1200, "later on the same day");
        assert_eq!(start(4900).permille(), 4000);
        assert_eq!(start(10).permille(), MATCH_PERMILLE);
    }

    #[test]
    fn the_last_two_days_and_the_event_itself_are_eased() {
        let downs = |days| TempoRules::default().towards(days).downs;
        assert_eq!([None, Some(3), Some(-1)].map(downs), [DOWNS; 3]);
        assert_eq!([Some(0), Some(1), Some(2)].map(downs), [DOWNS_EASED; 3]);
    }

    #[test]
    fn the_threshold_is_the_mean_of_an_even_number_of_late_reversals() {
        let mut tempo = Tempo::new(coarse());
        tempo.reversals = vec![9000, 9000, 5000, 1000, 1200, 1000, 1200];
        let settled = tempo.threshold().unwrap();
        assert_eq!((settled.permille, settled.reversals), (1100.0, 4));
        // Spread of 1000, 1200, 1000, 1200 is 115.47; over the root of four, 2.5 times.
        assert!((settled.error_permille - 144.338).abs() < 1e-3);
    }
}
