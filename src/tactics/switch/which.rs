//! Which answers to change, by exact gain in match chance with a cost for every change held in the head.
//!
//! The cost depends on how many changes there are, not on which; so the best set is found by sorting by
//! frequency times gain and taking while the next one pays for itself.

use crate::base::order::largest_first;
use crate::game::{End, Match, MatchLength};
use crate::tactics::chance::{Chances, slope::Gain};
use crate::tactics::fault::{TacticsError, chance, within};

/// A serve with the answer in force and the one that could replace it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Share of the opponent's serves.
    pub frequency: f64,
    /// Chance of the point with the present answer.
    pub current: f64,
    /// Chance of the point with the other one.
    pub candidate: f64,
}

impl Candidate {
    /// What the change adds to the chance of a point on the opponent's serve.
    pub fn gain(self) -> f64 {
        self.frequency * (self.candidate - self.current)
    }
}

/// What k changes at once cost on every receive: `each k + pair k (k-1)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MemoryCost {
    /// For each change.
    pub each: f64,
    /// For each ordered pair of changes that can be confused.
    pub pair: f64,
}

impl MemoryCost {
    /// Assumed when no drill says better: 0.004 each, 0.0025 for each pair.
    pub const USUAL: Self = Self { each: 0.004, pair: 0.0025 };

    /// From the drill's forecast: recall below certainty of a switch is a lost receive that often.
    ///
    /// # Errors
    /// A recall or frequency that is not a chance.
    pub fn from_recall(
        recall: f64,
        frequency: f64,
        lost_when_forgotten: f64,
    ) -> Result<Self, TacticsError> {
        let miss = 1.0 - chance("recall", recall)?;
        let frequency = chance("frequency", frequency)?;
        let lost = chance("lost_when_forgotten", lost_when_forgotten)?;
        Ok(Self { each: miss * frequency * lost, pair: Self::USUAL.pair })
    }

    /// For `changes` changes at once.
    pub fn of(self, changes: usize) -> f64 {
        let k = changes as f64;
        self.each * k + self.pair * k * (k - 1.0)
    }
}

/// A set of changes with what it is worth.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Places in the list of candidates, best first.
    pub changes: Vec<usize>,
    /// Change in the chance of a point on the opponent's serve, cost taken off.
    pub net: f64,
    /// The chance of the match before and after.
    pub gain: Gain,
}

/// The match in which the choice is weighed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// Where the match stands.
    pub at: Match,
    /// Chance of a point on one's own serve.
    pub serve: f64,
}

impl Setting {
    /// Before the first ball.
    pub fn before(length: MatchLength, serve: f64) -> Self {
        Self { at: Match::start(length, End::Me), serve }
    }

    /// Chance of a point on the opponent's serve with the present answers.
    ///
    /// # Errors
    /// No serves, rates that are not chances, frequencies that do not sum to one.
    pub fn receive(candidates: &[Candidate]) -> Result<f64, TacticsError> {
        let mut sum = 0.0;
        let mut rate = 0.0;
        for serve in candidates {
            sum += chance("frequency", serve.frequency)?;
            chance("candidate", serve.candidate)?;
            rate += serve.frequency * chance("current", serve.current)?;
        }
        within("sum of frequencies", sum, 1.0 - 1e-6, 1.0 + 1e-6)?;
        Ok(rate)
    }

    /// What a definite set of changes is worth.
    ///
    /// # Errors
    /// As [`Setting::receive`]; a state the laws cannot produce.
    pub fn worth(
        &self,
        candidates: &[Candidate],
        changes: &[usize],
        cost: MemoryCost,
    ) -> Result<Choice, TacticsError> {
        let receive = Self::receive(candidates)?;
        let gained: f64 =
            changes.iter().filter_map(|at| candidates.get(*at)).map(|serve| serve.gain()).sum();
        let net = gained - cost.of(changes.len());
        let now = Chances::new(self.serve, receive)?;
        let then = Chances::new(self.serve, (receive + net).clamp(0.0, 1.0))?;
        let gain = Gain::from_state(&self.at, now, then)?;
        Ok(Choice { changes: changes.to_vec(), net, gain })
    }

    /// The single changes, best first.
    ///
    /// # Errors
    /// As [`Setting::worth`].
    pub fn singles(
        &self,
        candidates: &[Candidate],
        cost: MemoryCost,
    ) -> Result<Vec<Choice>, TacticsError> {
        let mut choices = (0..candidates.len())
            .map(|at| self.worth(candidates, &[at], cost))
            .collect::<Result<Vec<_>, _>>()?;
        largest_first(&mut choices, |choice| choice.net);
        Ok(choices)
    }

    /// The best set of changes; empty when none pays for itself.
    ///
    /// # Errors
    /// As [`Setting::worth`].
    pub fn best(&self, candidates: &[Candidate], cost: MemoryCost) -> Result<Choice, TacticsError> {
        let mut order: Vec<usize> = (0..candidates.len()).collect();
        largest_first(&mut order, |at| candidates[*at].gain());
        let paying = order
            .iter()
            .enumerate()
            .take_while(|(k, at)| candidates[**at].gain() > cost.of(k + 1) - cost.of(*k))
            .count();
        self.worth(candidates, &order[..paying], cost)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_switched_when_nothing_is_better() {
        let serve = Candidate { frequency: 1.0, current: 0.5, candidate: 0.503 };
        let setting = Setting::before(MatchLength::best_of(5).unwrap(), 0.5);
        let choice = setting.best(&[serve], MemoryCost::USUAL).unwrap();
        assert!(choice.changes.is_empty());
        assert_eq!(choice.gain.worth(), 0.0);
    }

    #[test]
    fn frequencies_must_be_a_whole() {
        let serve = Candidate { frequency: 0.4, current: 0.5, candidate: 0.6 };
        assert!(Setting::receive(&[serve]).is_err());
    }
}
