//! Where the belief about a receive starts from: the mean of its family over every opponent, how
//! the player does against this one, and how much the player's receives differ.
//!
//! The counts of a family share a mean that none of them fixes alone. It is integrated over a grid,
//! never estimated and plugged in; so is how many points it is worth.

use statrs::function::beta::ln_beta;

use crate::game::{Receive, ReceiveKey, ServeId};
use crate::receive::ReceiveFamily;
use crate::tactics::history::OpponentHistory;
use crate::tactics::rates::{Belief, STRENGTH, Tally};
use crate::tactics::record::Record;

/// Share of points a receiver wins before anything is known.
///
/// # Source
/// Receivers win slightly under half: Gomez, Garcia-de-Alcaraz & Furley 2017, 140 Olympic matches.
pub const RECEIVER_WINS: f64 = 0.48;
/// Points' worth of "slightly under half" before a family speaks for itself. Assumption.
pub(crate) const FAMILY_STRENGTH: f64 = 20.0;

/// How many points a receive's mean is worth before its own, with the weight of each: few for a
/// player whose receives differ much. The weights move with the points. Assumption.
const STRENGTHS: [(f64, f64); 5] =
    [(3.0, 0.2), (6.0, 0.25), (12.0, 0.25), (24.0, 0.2), (48.0, 0.1)];

/// What the points over every opponent say of receives in general.
#[derive(Debug, Clone, PartialEq)]
pub struct Families {
    means: [f64; ReceiveFamily::ALL.len()],
    /// How many points a mean is worth, with weights that sum to one.
    strengths: [(f64, f64); STRENGTHS.len()],
}

impl Families {
    /// From every opponent's points.
    pub fn from_histories<'a>(
        histories: impl IntoIterator<Item = &'a OpponentHistory> + Clone,
    ) -> Self {
        let mut counts: [Vec<Tally>; ReceiveFamily::ALL.len()] = Default::default();
        for (_, family, record) in histories.clone().into_iter().flat_map(of_families) {
            counts[family as usize].push(record.tally);
        }
        let prior = Belief::from_mean(RECEIVER_WINS, FAMILY_STRENGTH);
        let mean = |mut counts: Vec<Tally>| {
            counts.retain(|count| count.played > 0.0);
            if counts.is_empty() { RECEIVER_WINS } else { family_mean(&counts, prior, STRENGTH) }
        };
        let mut families = Self { means: counts.map(mean), strengths: STRENGTHS };
        let mut logs = STRENGTHS.map(|(_, weight)| weight.ln());
        for history in histories {
            let (more, points) = families.more_won(history, None);
            for (_, family, record) in of_families(history) {
                let own = families.more_of(family, record);
                let (level, _) = level((more - own.0, points - own.1));
                let mean = (families.mean(family) + level).clamp(0.05, 0.95);
                for (log, (strength, _)) in logs.iter_mut().zip(STRENGTHS) {
                    *log += log_marginal(record.tally, mean * strength, (1.0 - mean) * strength);
                }
            }
        }
        let most = logs.into_iter().fold(f64::NEG_INFINITY, f64::max);
        let weights = logs.map(|log| (log - most).exp());
        let sum: f64 = weights.iter().sum();
        for (strength, weight) in families.strengths.iter_mut().zip(weights) {
            strength.1 = weight / sum;
        }
        families
    }

    /// The mean of a family.
    pub const fn mean(&self, family: ReceiveFamily) -> f64 {
        self.means[family as usize]
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

    /// Points won beyond the mean of each family, and points, of all patterns but one.
    fn more_won(
        &self,
        history: &OpponentHistory,
        but: Option<(&ServeId, &ReceiveKey)>,
    ) -> (f64, f64) {
        let others = of_families(history)
            .filter(|((serve, receive), _, _)| but != Some((serve, receive)))
            .map(|(_, family, record)| self.more_of(family, record));
        others.fold((0.0, 0.0), |all, one| (all.0 + one.0, all.1 + one.1))
    }

    fn more_of(&self, family: ReceiveFamily, record: &Record) -> (f64, f64) {
        let Tally { won, played } = record.tally;
        (won - self.mean(family) * played, played)
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
    (more / all, (RECEIVER_WINS * (1.0 - RECEIVER_WINS) / (all + 1.0)).sqrt())
}

/// Every pattern with its family.
fn of_families(
    history: &OpponentHistory,
) -> impl Iterator<Item = (&(ServeId, ReceiveKey), ReceiveFamily, &Record)> {
    history.patterns.iter().filter_map(|(pattern, record)| {
        let receive = Receive::from_text(pattern.1.as_str()).ok()?;
        Some((pattern, ReceiveFamily::from_stroke(receive.stroke), record))
    })
}

/// Posterior mean of a family's mean `m`, integrated over m = 0.01 .. 0.99.
pub fn family_mean(counts: &[Tally], prior: Belief, strength: f64) -> f64 {
    let log = |mean: f64| {
        let (a, b) = (mean * strength, (1.0 - mean) * strength);
        let counted: f64 = counts.iter().map(|count| log_marginal(*count, a, b)).sum();
        prior.density(mean).ln() + counted
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
    fn a_family_moves_with_its_points_and_the_others_stay() {
        let mut history = OpponentHistory::default();
        let key = |text| crate::game::ReceiveKey::from_journal(text);
        for (place, text) in ["forehand flick", "backhand banana_flick"].into_iter().enumerate() {
            let serve = crate::game::ServeId::coined(&format!("s{place}"), &[]);
            let record = history.patterns.entry((serve, key(text))).or_default();
            record.tally = Tally { won: 24.0, played: 30.0 };
        }
        let families = Families::from_histories([&history]);
        assert!(families.mean(ReceiveFamily::Flick) > 0.55);
        assert!(families.mean(ReceiveFamily::Flick) < 0.8);
        assert_eq!(families.mean(ReceiveFamily::Block), RECEIVER_WINS);
    }

    #[test]
    fn without_points_a_family_stays_at_its_prior() {
        assert!((family_mean(&[], Belief::from_mean(0.48, 20.0), 8.0) - 0.48).abs() < 1e-6);
    }
}
