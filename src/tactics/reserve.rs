//! The switch in reserve: what it is worth, and whether it is ready.
//!
//! The cost of holding it in the head comes from the drill's forecast when there is one. Whether
//! the plan looks read now, and the card that says when to change at the table, are
//! [`crate::tactics::verdict`]'s; what a switch adds now starts from there.

use serde::Serialize;

use crate::deck::Switch;
use crate::game::{Match, Receive, Serve, ServeId};
use crate::tactics::adaptation::Card;
use crate::tactics::chance::{Chances, win_match_from};
use crate::tactics::rates::{Belief, STRENGTH};
use crate::tactics::usual::RECEIVER_WINS;
use crate::tactics::verdict::{Verdict, Verdicts};
use crate::tactics::worth::{ChangeWorth, UnsureChances};

/// What a forgotten switch loses: the receive comes out wrong. Assumption.
const LOST_WHEN_FORGOTTEN: f64 = 0.4;

/// What the drill says about a switch.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Drilled {
    /// Forecast recall of the new answer on the day; none when it was never drilled.
    pub recall: Option<f64>,
    /// The forecast reaches the player's target.
    pub is_firm: bool,
    /// Share of old answers after the call, when a switch round has measured it.
    pub slip: Option<f64>,
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
    /// Taken when no drill says better. Assumption.
    pub const USUAL: Self = Self { each: 0.004, pair: 0.0025 };

    /// For so many changes at once.
    pub fn total(self, changes: usize) -> f64 {
        let k = changes as f64;
        self.each * k + self.pair * k * (k - 1.0)
    }
}

/// A switch weighed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reserve {
    /// The switch.
    pub name: String,
    /// Its cue, when one is written.
    pub cue: Option<String>,
    /// The serves it changes.
    pub serves: Vec<ServeId>,
    /// What it adds to the share of points on the opponent's serve, cost of memory taken off.
    pub net: f64,
    /// What holding it in the head costs, in points on the opponent's serve; already taken off
    /// `net`.
    pub memory_cost: f64,
    /// That cost is assumed, because the drill has no forecast for the switch.
    pub cost_is_assumed: bool,
    /// Chance of the match without and with it, from the score asked for.
    pub match_chance: (f64, f64),
    /// What its answers alone add at the start of a match, cost of memory not taken off, with what
    /// the points leave open.
    pub worth: ChangeWorth,
    /// The verdict calls for it now.
    pub is_due: bool,
    /// Every one of its receives is the plan's already.
    pub is_in_plan: bool,
    /// Points behind its least known answer.
    pub behind: f64,
    /// When to change at the table, serve by serve.
    pub cards: Vec<(ServeId, Card)>,
    /// Chance that its answers really win more than the plan's.
    pub better: f64,
    /// What the drill says.
    pub drilled: Drilled,
}

/// One serve whose answer a switch changes.
struct SwitchedServe {
    id: ServeId,
    share: f64,
    /// The belief about the old answer, and its rate as it looks now.
    old: Belief,
    now: f64,
    new: Belief,
    /// Chance that the new one is better.
    better: f64,
    card: Option<Card>,
    is_due: bool,
    /// Points behind the new answer.
    behind: f64,
}

/// The receive a serve gets without the switch, the belief about it, and its rate as it looks now.
fn old_answer<'a>(verdicts: &Verdicts<'a>, serve: &Serve) -> (Option<&'a Receive>, Belief, f64) {
    let question = &verdicts.question;
    let planned = question.deck.plan.get(&serve.id).or_else(|| question.deck.safe_answer(serve));
    let old = planned.map_or_else(
        || Belief::from_mean(RECEIVER_WINS, STRENGTH),
        |receive| question.belief(&serve.id, receive),
    );
    (planned, old, verdicts.on(&serve.id).map_or(old.mean(), |lesson| lesson.now))
}

fn switched(verdicts: &Verdicts<'_>, switch: &Switch, serve: &Serve) -> Option<SwitchedServe> {
    let question = &verdicts.question;
    let (planned, old, now) = old_answer(verdicts, serve);
    let receive = switch.changes.get(&serve.id);
    let receive = receive.filter(|new| planned.is_none_or(|old| old.text() != new.text()))?;
    let new = question.belief(&serve.id, receive);
    let lesson = verdicts.on(&serve.id);
    let of_this = lesson.filter(|lesson| lesson.switch.as_deref() == Some(&switch.name));
    Some(SwitchedServe {
        id: serve.id.clone(),
        share: question.deck.share(&serve.id),
        old,
        now,
        new,
        better: of_this
            .and_then(|lesson| lesson.outlook)
            .map_or_else(|| new.above(old), |next| next.other_better),
        card: of_this.and_then(|lesson| lesson.card),
        is_due: of_this.is_some_and(|lesson| lesson.verdict == Verdict::Change),
        behind: question.history.record(&serve.id, receive).behind(),
    })
}

/// Weighs one switch of the deck from a score.
pub fn weigh(verdicts: &Verdicts<'_>, switch: &Switch, drilled: Drilled, at: &Match) -> Reserve {
    let question = &verdicts.question;
    let serves = || question.deck.active();
    let changes: Vec<SwitchedServe> =
        serves().filter_map(|serve| switched(verdicts, switch, serve)).collect();
    let chances = UnsureChances::from_verdicts(verdicts).chances;
    let cost = memory_cost(drilled, &changes).total(changes.len());
    let gain: f64 = changes.iter().map(|of| of.share * (of.new.mean() - of.now)).sum();
    let variance = |of: &SwitchedServe| (of.share * f64::hypot(of.old.sd(), of.new.sd())).powi(2);
    let sd = changes.iter().map(variance).sum::<f64>().sqrt();
    let (net, match_chance) = if changes.is_empty() {
        (0.0, (0.0, 0.0))
    } else {
        let rate = |serve: &Serve| question.deck.share(&serve.id) * old_answer(verdicts, serve).2;
        let receive = serves().map(rate).sum();
        (gain - cost, win_before_and_after(at, chances.serve(), receive, gain - cost))
    };
    Reserve {
        name: switch.name.clone(),
        cue: switch.cue.clone(),
        serves: switch.changes.keys().cloned().collect(),
        net,
        memory_cost: cost,
        cost_is_assumed: drilled.recall.is_none(),
        match_chance,
        worth: ChangeWorth::from_gain(question.length, chances, gain, sd),
        is_due: changes.iter().any(|of| of.is_due),
        is_in_plan: changes.is_empty(),
        behind: changes.iter().map(|of| of.behind).reduce(f64::min).unwrap_or(0.0),
        cards: changes.iter().filter_map(|of| Some((of.id.clone(), of.card?))).collect(),
        better: changes.iter().map(|of| of.better).fold(1.0, f64::min),
        drilled,
    }
}

/// Every switch of the deck weighed from a score, the most worthwhile first.
pub fn rank(
    verdicts: &Verdicts<'_>,
    drilled: &dyn Fn(&str) -> Drilled,
    at: &Match,
) -> Vec<Reserve> {
    let switches = verdicts.question.deck.switches.iter();
    let mut ranked: Vec<Reserve> =
        switches.map(|switch| weigh(verdicts, switch, drilled(&switch.name), at)).collect();
    ranked.sort_by(|a, b| b.net.total_cmp(&a.net));
    ranked
}

/// Chance of the match from a score before and after `net` more points are won on the opponent's
/// serve.
pub fn win_before_and_after(at: &Match, serve: f64, receive: f64, net: f64) -> (f64, f64) {
    let win = |receive| win_match_from(Chances::new(serve, receive), at);
    (win(receive), win(receive + net))
}

/// Recall below certainty is a lost receive that often, against serves of this frequency.
fn memory_cost(drilled: Drilled, changes: &[SwitchedServe]) -> MemoryCost {
    let frequency = changes.iter().map(|of| of.share).sum::<f64>() / changes.len() as f64;
    match drilled.recall.filter(|_| !changes.is_empty()) {
        Some(recall) => {
            let each = (1.0 - recall) * frequency * LOST_WHEN_FORGOTTEN;
            MemoryCost { each, ..MemoryCost::USUAL }
        }
        None => MemoryCost::USUAL,
    }
}
