//! Which answers to change, by exact gain in match chance with a cost for every change held in the
//! head.
//!
//! The cost depends on how many changes there are, not on which; so the best set is found by
//! sorting by frequency times gain and taking while the next one pays for itself.

use secondball::game::{End, Match, MatchLength};
use secondball::tactics::reserve::{MemoryCost, win_before_and_after};

/// A serve with the answer in force and the one that could replace it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Candidate {
    /// Share of the opponent's serves.
    pub(super) frequency: f64,
    /// Chance of the point with the present answer.
    pub(super) current: f64,
    /// Chance of the point with the other one.
    pub(super) replacement: f64,
}

impl Candidate {
    /// What the change adds to the chance of a point on the opponent's serve.
    pub(super) fn gain(self) -> f64 {
        self.frequency * (self.replacement - self.current)
    }
}

/// A set of changes with what it is worth.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ChangeSet {
    /// Places in the list of candidates, best first.
    pub(super) changes: Vec<usize>,
    /// Change in the chance of a point on the opponent's serve, cost taken off.
    pub(super) net: f64,
    /// The chance of the match before them.
    pub(super) before: f64,
    /// After them.
    pub(super) after: f64,
}

/// The match in which the choice is weighed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Setting {
    /// Where the match stands.
    pub(super) at: Match,
    /// Chance of a point on one's own serve.
    pub(super) serve: f64,
}

impl Setting {
    /// Before the first ball.
    pub(super) fn before(length: MatchLength, serve: f64) -> Self {
        Self { at: Match::start(length, End::Me), serve }
    }

    /// Chance of a point on the opponent's serve with the present answers.
    pub(super) fn receive(candidates: &[Candidate]) -> f64 {
        candidates.iter().map(|serve| serve.frequency * serve.current).sum()
    }

    /// What a definite set of changes is worth.
    pub(super) fn worth(
        &self,
        candidates: &[Candidate],
        changes: &[usize],
        cost: MemoryCost,
    ) -> ChangeSet {
        let gained: f64 = changes.iter().map(|at| candidates[*at].gain()).sum();
        let net = gained - cost.total(changes.len());
        let receive = Self::receive(candidates);
        let (before, after) = win_before_and_after(&self.at, self.serve, receive, net);
        ChangeSet { changes: changes.to_vec(), net, before, after }
    }

    /// The single changes, best first.
    pub(super) fn singles(&self, candidates: &[Candidate], cost: MemoryCost) -> Vec<ChangeSet> {
        let mut choices =
            (0..candidates.len()).map(|at| self.worth(candidates, &[at], cost)).collect::<Vec<_>>();
        choices.sort_by(|a, b| b.net.total_cmp(&a.net));
        choices
    }

    /// The best set of changes; empty when none pays for itself.
    pub(super) fn best(&self, candidates: &[Candidate], cost: MemoryCost) -> ChangeSet {
        let mut order: Vec<usize> = (0..candidates.len()).collect();
        order.sort_by(|a, b| candidates[*b].gain().total_cmp(&candidates[*a].gain()));
        let paying = order
            .iter()
            .enumerate()
            .take_while(|(k, at)| candidates[**at].gain() > cost.total(k + 1) - cost.total(*k))
            .count();
        self.worth(candidates, &order[..paying], cost)
    }
}

#[test]
fn nothing_is_switched_when_nothing_is_better() {
    let serve = Candidate { frequency: 1.0, current: 0.5, replacement: 0.503 };
    let setting = Setting::before(MatchLength::best_of(5).unwrap(), 0.5);
    let choice = setting.best(&[serve], MemoryCost::USUAL);
    assert!(choice.changes.is_empty());
    assert_eq!(choice.after - choice.before, 0.0);
}
