//! The mean of each receive family over every opponent: where a receive without points starts from.
//!
//! The counts of a family share a mean that none of them fixes alone. It is integrated over a grid,
//! never estimated and plugged in; how many points it is worth is fixed ([`STRENGTH`]).

use statrs::function::beta::ln_beta;

use crate::game::Receive;
use crate::tactics::history::OpponentHistory;
use crate::tactics::rates::{Belief, STRENGTH, Tally};
use crate::tactics::usual::ReceiveFamily;

/// Share of points a receiver wins before anything is known.
///
/// # Source
/// Receivers win slightly under half: Gomez, Garcia-de-Alcaraz & Furley 2017, 140 Olympic matches.
pub const RECEIVER_WINS: f64 = 0.48;
/// Points' worth of "slightly under half" before a family speaks for itself. Assumption.
const FAMILY_STRENGTH: f64 = 20.0;

/// The mean of each receive family, over every opponent in the journal.
#[derive(Debug, Clone, PartialEq)]
pub struct Families {
    all: [f64; ReceiveFamily::ALL.len()],
    /// Over points whose receive came neither loose nor missed.
    clean: [f64; ReceiveFamily::ALL.len()],
}

impl Families {
    /// From every opponent's points.
    pub fn from_histories<'a>(histories: impl IntoIterator<Item = &'a OpponentHistory>) -> Self {
        let mut all: [Vec<Tally>; ReceiveFamily::ALL.len()] = Default::default();
        let mut clean = all.clone();
        for ((_, receive), record) in histories.into_iter().flat_map(|of| &of.patterns) {
            if let Ok(receive) = Receive::from_text(receive.as_str()) {
                let family = ReceiveFamily::from_stroke(receive.stroke) as usize;
                all[family].push(record.tally);
                clean[family].push(record.clean);
            }
        }
        let prior = Belief::from_mean(RECEIVER_WINS, FAMILY_STRENGTH);
        let mean = |mut counts: Vec<Tally>| {
            counts.retain(|count| count.played > 0.0);
            if counts.is_empty() { RECEIVER_WINS } else { family_mean(&counts, prior, STRENGTH) }
        };
        Self { all: all.map(mean), clean: clean.map(mean) }
    }

    /// The mean of a family, of all its points or of those that came neither loose nor missed.
    pub fn mean(&self, family: ReceiveFamily, only_clean: bool) -> f64 {
        if only_clean { self.clean[family as usize] } else { self.all[family as usize] }
    }
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
        assert!(families.mean(ReceiveFamily::Flick, false) > 0.55);
        assert!(families.mean(ReceiveFamily::Flick, false) < 0.8);
        assert_eq!(families.mean(ReceiveFamily::Block, false), RECEIVER_WINS);
    }

    #[test]
    fn without_points_a_family_stays_at_its_prior() {
        assert!((family_mean(&[], Belief::from_mean(0.48, 20.0), 8.0) - 0.48).abs() < 1e-6);
    }
}
