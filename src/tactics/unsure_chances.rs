//! The chances of a point under the plan, with what is not known of them, and what a change of them
//! is worth.

use serde::Serialize;

use crate::game::MatchLength;
use crate::tactics::chance::{Chances, Slope, win_match};
use crate::tactics::verdict::Verdicts;

/// Standard deviations either side that hold eight in ten of a bell.
const EIGHT_IN_TEN: f64 = 1.281_551_565_544_9;

/// The chances of a point with what is not known of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnsureChances {
    /// Expected.
    pub chances: Chances,
    /// Standard deviation on the own serve, and on the opponent's under the plan.
    pub sds: (f64, f64),
    /// Points behind the own serve, and behind the plan's own receives.
    pub behind: (f64, f64),
}

impl UnsureChances {
    /// From the verdicts: every serve by its share, each as uncertain as its own receive.
    pub fn from_verdicts(verdicts: &Verdicts<'_>) -> Self {
        let question = &verdicts.question;
        let own = question.serving();
        let (mut variance, mut shares, mut points) = (0.0, 0.0, 0.0);
        for serve in question.deck.active() {
            let share = question.deck.share(&serve.id);
            let belief = match question.deck.plan.get(&serve.id) {
                Some(receive) => {
                    points += question.history.record(&serve.id, receive).behind();
                    question.belief(&serve.id, receive)
                }
                None => question.receiving(),
            };
            variance += (share * belief.sd()).powi(2);
            shares += share;
        }
        let receiving =
            if shares > 0.0 { variance.sqrt() / shares } else { question.receiving().sd() };
        Self {
            chances: Chances::new(own.mean(), receive_chance(verdicts)),
            sds: (own.sd(), receiving),
            behind: (f64::from(question.history.own_points), points),
        }
    }

    /// Where the two chances lie, eight times in ten.
    pub fn ranges(&self) -> ((f64, f64), (f64, f64)) {
        let around = |mean: f64, sd: f64| {
            let spread = EIGHT_IN_TEN * sd;
            ((mean - spread).max(0.0), (mean + spread).min(1.0))
        };
        (around(self.chances.serve(), self.sds.0), around(self.chances.receive(), self.sds.1))
    }

    /// Where a chance of the match lies, eight times in ten: both chances moved along the steepest
    /// way.
    pub fn range_of(&self, slope: Slope, win: impl Fn(Chances) -> f64) -> (f64, f64) {
        let (along_serve, along_receive) =
            (slope.serve * self.sds.0.powi(2), slope.receive * self.sds.1.powi(2));
        let sd = f64::hypot(slope.serve * self.sds.0, slope.receive * self.sds.1).max(1e-12);
        let at = |z: f64| {
            let moved = |mean: f64, along: f64| (mean + z * along / sd).clamp(0.01, 0.99);
            win(Chances::new(
                moved(self.chances.serve(), along_serve),
                moved(self.chances.receive(), along_receive),
            ))
        };
        (at(-EIGHT_IN_TEN), at(EIGHT_IN_TEN))
    }
}

/// Chance of a point on the opponent's serve under the plan as it stands now: every serve by its
/// share, an answer that looks read with what is left of it.
///
/// A serve without a plan counts with the safe receive's prior, or the overall share.
fn receive_chance(verdicts: &Verdicts<'_>) -> f64 {
    let question = &verdicts.question;
    let (mut sum, mut shares) = (0.0, 0.0);
    for serve in question.deck.active() {
        let share = question.deck.share(&serve.id);
        let rate = match (verdicts.on(&serve.id), question.deck.safe.as_ref()) {
            (Some(lesson), _) => lesson.now,
            (None, Some(receive)) => question.belief(&serve.id, receive).mean(),
            (None, None) => match question.history.serves.get(&serve.id) {
                Some(tally) => tally.belief(question.receiving()).mean(),
                None => question.receiving().mean(),
            },
        };
        sum += share * rate;
        shares += share;
    }
    if shares > 0.0 { sum / shares } else { question.receiving().mean() }
}

/// What a change of plan is worth in chance of the match, with the range its rates leave open.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ChangeWorth {
    /// Chance of the match without it.
    pub before: f64,
    /// Expected to be added.
    pub expected: f64,
    /// Low and high end of what is added, eight times in ten.
    pub range: (f64, f64),
}

impl ChangeWorth {
    /// Of winning so many more points on the opponent's serve; `sd` is what is not known of that
    /// gain.
    pub fn from_gain(length: MatchLength, before: Chances, gain: f64, sd: f64) -> Self {
        let start = win_match(length, before);
        let added = |gain: f64| {
            let then = Chances::new(before.serve(), before.receive() + gain);
            win_match(length, then) - start
        };
        let spread = sd * EIGHT_IN_TEN;
        Self {
            before: start,
            expected: added(gain),
            range: (added(gain - spread), added(gain + spread)),
        }
    }
}
