//! Where the belief about a receive starts from: what the knowledge gives it against this serve,
//! the mean of its stroke over every opponent, how the player does against this one, and how much
//! the player's receives differ.
//!
//! The counts of a stroke share a mean that none of them fixes alone. It is integrated over a grid,
//! never estimated and plugged in; so is how many points it is worth.

use statrs::function::beta::ln_beta;

use crate::game::{Receive, ReceiveKey, ServeId, Stroke};
use crate::tactics::history::OpponentHistory;
use crate::tactics::rates::{Belief, STRENGTH, Tally};
use crate::tactics::record::Record;
use crate::tactics::usual;

/// Points' worth of what is usual before a stroke speaks for itself. Assumption.
pub(crate) const USUAL_STRENGTH: f64 = 20.0;

/// How many points a receive's mean is worth before its own, with the weight of each: few for a
/// player whose receives differ much. The weights move with the points. Assumption.
const STRENGTHS: [(f64, f64); 5] =
    [(3.0, 0.2), (6.0, 0.25), (12.0, 0.25), (24.0, 0.2), (48.0, 0.1)];

/// What the points over every opponent say of receives in general.
#[derive(Debug, Clone, PartialEq)]
pub struct StrokeRates {
    means: [f64; Stroke::ALL.len()],
    /// How many points a mean is worth, with weights that sum to one.
    strengths: [(f64, f64); STRENGTHS.len()],
}

impl StrokeRates {
    /// From every opponent's points.
    pub fn from_histories<'a>(
        histories: impl IntoIterator<Item = &'a OpponentHistory> + Clone,
    ) -> Self {
        let mut counts: [Vec<(Tally, f64)>; Stroke::ALL.len()] = Default::default();
        for (_, stroke, record) in histories.clone().into_iter().flat_map(of_strokes) {
            if record.tally.played > 0.0 {
                counts[stroke as usize].push((record.tally, record.beyond_stroke.unwrap_or(0.0)));
            }
        }
        let mut means = [0.0; Stroke::ALL.len()];
        for (&stroke, counts) in Stroke::ALL.iter().zip(&counts) {
            let usual = usual::of_stroke(stroke);
            let prior = Belief::from_mean(usual, USUAL_STRENGTH);
            means[stroke as usize] =
                if counts.is_empty() { usual } else { shared_mean(counts, prior, STRENGTH) };
        }
        let mut strokes = Self { means, strengths: STRENGTHS };
        let mut logs = STRENGTHS.map(|(_, weight)| weight.ln());
        for history in histories {
            let (more, points) = strokes.more_won(history, None);
            for (_, stroke, record) in of_strokes(history) {
                let own = strokes.more_of(stroke, record);
                let (level, _) = level((more - own.0, points - own.1));
                let mean = (strokes.mean_of(stroke, record) + level).clamp(0.05, 0.95);
                for (log, (strength, _)) in logs.iter_mut().zip(STRENGTHS) {
                    *log += log_marginal(record.tally, mean * strength, (1.0 - mean) * strength);
                }
            }
        }
        let most = logs.into_iter().fold(f64::NEG_INFINITY, f64::max);
        let weights = logs.map(|log| (log - most).exp());
        let sum: f64 = weights.iter().sum();
        for (strength, weight) in strokes.strengths.iter_mut().zip(weights) {
            strength.1 = weight / sum;
        }
        strokes
    }

    /// The mean of a stroke.
    pub const fn mean(&self, stroke: Stroke) -> f64 {
        self.means[stroke as usize]
    }

    fn mean_of(&self, stroke: Stroke, record: &Record) -> f64 {
        self.mean(stroke) + record.beyond_stroke.unwrap_or(0.0)
    }

    /// How much more than usual is won against this opponent, whatever the receive, and its
    /// standard deviation; from all patterns but one.
    pub(crate) fn level(
        &self,
        history: &OpponentHistory,
        but: Option<(&ServeId, &ReceiveKey)>,
    ) -> (f64, f64) {
        level(self.more_won(history, but))
    }

    /// Points won beyond what is usual of each receive, and points, of all patterns but one.
    fn more_won(
        &self,
        history: &OpponentHistory,
        but: Option<(&ServeId, &ReceiveKey)>,
    ) -> (f64, f64) {
        let others = of_strokes(history)
            .filter(|((serve, receive), _, _)| but != Some((serve, receive)))
            .map(|(_, stroke, record)| self.more_of(stroke, record));
        others.fold((0.0, 0.0), |all, one| (all.0 + one.0, all.1 + one.1))
    }

    fn more_of(&self, stroke: Stroke, record: &Record) -> (f64, f64) {
        let Tally { won, played } = record.tally;
        (won - self.mean_of(stroke, record) * played, played)
    }

    /// The belief after a count, from a mean whose standard deviation is `unsure`: over all
    /// strengths, its own part and the part that it has in common with the other receives.
    pub(crate) fn belief(&self, tally: Tally, mean: f64, unsure: f64) -> SharedBelief {
        let after = |strength| tally.belief(Belief::from_mean(mean, strength));
        let over = |of: &dyn Fn(f64) -> f64| {
            self.strengths.iter().map(|(strength, weight)| weight * of(*strength)).sum::<f64>()
        };
        let centre = over(&|strength| after(strength).mean());
        let own = over(&|strength| {
            let one = after(strength);
            one.sd().powi(2) + (one.mean() - centre).powi(2)
        });
        let shared = unsure * over(&|strength| strength / (strength + tally.played));
        SharedBelief { mean: centre, own_sd: own.sqrt(), shared_sd: shared }
    }
}

/// Belief about a rate whose error is partly its own and partly that of all receives against one
/// opponent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SharedBelief {
    pub mean: f64,
    pub own_sd: f64,
    pub shared_sd: f64,
}

impl SharedBelief {
    /// Alone.
    pub fn alone(self) -> Belief {
        Belief::from_moments(self.mean, self.own_sd.hypot(self.shared_sd))
    }
}

/// The level, and its standard deviation, of so many points won beyond what is usual.
fn level((more, points): (f64, f64)) -> (f64, f64) {
    let all = points + STRENGTH;
    (more / all, (usual::RECEIVER_WINS * (1.0 - usual::RECEIVER_WINS) / (all + 1.0)).sqrt())
}

/// Every pattern with its stroke.
fn of_strokes(
    history: &OpponentHistory,
) -> impl Iterator<Item = (&(ServeId, ReceiveKey), Stroke, &Record)> {
    history.patterns.iter().filter_map(|(pattern, record)| {
        let receive = Receive::from_text(pattern.1.as_str()).ok()?;
        Some((pattern, receive.stroke, record))
    })
}

/// Posterior mean of the mean `m` that counts share, each with what its own lies beyond it,
/// integrated over m = 0.01 .. 0.99.
pub fn shared_mean(counts: &[(Tally, f64)], prior: Belief, strength: f64) -> f64 {
    let log = |mean: f64| {
        let of = |(count, beyond): &(Tally, f64)| {
            let mean = (mean + beyond).clamp(0.01, 0.99);
            log_marginal(*count, mean * strength, (1.0 - mean) * strength)
        };
        prior.density(mean).ln() + counts.iter().map(of).sum::<f64>()
    };
    let grid: Vec<(f64, f64)> =
        (1..100).map(|percent| f64::from(percent) / 100.0).map(|mean| (mean, log(mean))).collect();
    let most = grid.iter().map(|(_, log)| *log).fold(f64::NEG_INFINITY, f64::max);
    let (sum, mass) = grid.into_iter().fold((0.0, 0.0), |(sum, mass), (mean, log)| {
        let weight = (log - most).exp();
        (sum + weight * mean, mass + weight)
    });
    sum / mass
}

/// `ln B(a + x, b + n - x) - ln B(a, b)`: the beta-binomial likelihood without its coefficient.
pub fn log_marginal(count: Tally, a: f64, b: f64) -> f64 {
    ln_beta(a + count.won, b + count.lost().max(0.0)) - ln_beta(a, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_moves_with_its_points_and_the_others_stay() {
        let mut history = OpponentHistory::default();
        let key = |text| crate::game::ReceiveKey::from_journal(text);
        for (place, text) in ["forehand flick", "backhand flick"].into_iter().enumerate() {
            let serve = crate::game::ServeId::coined(&format!("s{place}"), &[]);
            let record = history.patterns.entry((serve, key(text))).or_default();
            record.tally = Tally { won: 24.0, played: 30.0 };
        }
        let strokes = StrokeRates::from_histories([&history]);
        assert!(strokes.mean(Stroke::Flick) > 0.55);
        assert!(strokes.mean(Stroke::Flick) < 0.8);
        assert_eq!(strokes.mean(Stroke::Block), usual::of_stroke(Stroke::Block));
    }

    #[test]
    fn without_points_a_mean_stays_at_its_prior() {
        assert!((shared_mean(&[], Belief::from_mean(0.48, 20.0), 8.0) - 0.48).abs() < 1e-6);
    }
}
