//! The switch in reserve: what it is worth, when to make it, and whether it is ready.
//!
//! The cost of holding it in the head comes from the drill's forecast when there is one. Timing
//! rests on how fast this opponent reads, which nobody knows: so a small table over assumptions is
//! given ([`crate::tactics::timing`]), never a single moment. Whether the plan looks read now is
//! [`crate::tactics::verdict`]'s to say; what a switch adds now starts from there.

use rayon::prelude::*;
use serde::Serialize;

use crate::deck::Switch;
use crate::game::{End, Match, MatchLength, Receive, Serve, ServeId};
use crate::tactics::advice::LEVEL;
use crate::tactics::chance::{Chances, win_match_from};
use crate::tactics::drops::ReadDrop;
use crate::tactics::families::RECEIVER_WINS;
use crate::tactics::question::Question;
use crate::tactics::rates::{Belief, STRENGTH};
use crate::tactics::timing::{Story, Trigger};
use crate::tactics::verdict::{Verdict, Verdicts};
use crate::tactics::worth::{ChangeWorth, UnsureChances};

/// What a forgotten switch loses: the receive comes out wrong. Assumption.
const LOST_WHEN_FORGOTTEN: f64 = 0.4;
/// Chance that the old answer slips out after a switch, when no drill has measured it. Assumption.
const SLIP: f64 = 0.05;
/// What a switch costs on the serves that were kept, when no drill has measured it. Assumption.
const SPILL: f64 = 0.005;
/// How many balls it takes to be read, as tried.
const READ_AFTER: [usize; 2] = [4, 10];
/// Rates in the timing table are kept this far from certainty.
const EDGE: f64 = 0.02;

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

/// One row of the timing table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TimingRow {
    /// Balls in which they are assumed to read an answer.
    pub read_after: usize,
    /// The new answer is assumed to last; else it soon fades.
    pub lasts: bool,
    /// The best simple rule under it.
    #[serde(skip)]
    pub best: Trigger,
    /// Chance of the match with that rule.
    pub match_chance: f64,
    /// What it adds to never switching.
    pub gain: f64,
    /// The same with the new answer's rate at the low and at the high end of its range.
    pub range: (f64, f64),
    /// What the perfect moment would add to never switching.
    pub perfect: f64,
    /// Every rule tried with its chance of the match, best first.
    #[serde(skip)]
    pub rules: Vec<(Trigger, f64)>,
}

/// Rates behind a timing table.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TimingRates {
    /// The plan's answer, unread and read.
    pub old: (f64, f64),
    /// The new answer.
    pub new: f64,
    /// Its range.
    pub range: (f64, f64),
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
    /// Chance that the plan's answer is read now; none when too few points say.
    pub read: Option<f64>,
    /// Points behind its least known answer.
    pub behind: f64,
    /// What the table of moments takes the answers to win: the old one unread and read, the new one
    /// with the low and high end of its range.
    pub rates: Option<TimingRates>,
    /// Chance that its answers really win more than the plan's.
    pub better: f64,
    /// What the drill says.
    pub drilled: Drilled,
    /// When, under several assumptions; empty for a switch of more than one serve. A view writes it
    /// in words.
    #[serde(skip)]
    pub timing: Vec<TimingRow>,
}

/// The rules a player can carry in the head.
const RULES: [Trigger; 6] = [
    Trigger::OnceRead,
    Trigger::FromTheStart,
    Trigger::SecondGame,
    Trigger::EitherAt(8),
    Trigger::Decider,
    Trigger::Never,
];

/// One serve whose answer a switch changes.
struct SwitchedServe<'a> {
    serve: &'a Serve,
    share: f64,
    /// The belief about the old answer, and its rate as it looks now.
    old: Belief,
    now: f64,
    new: Belief,
    /// Chance that the new one is better.
    better: f64,
    read: Option<f64>,
    is_due: bool,
    /// Points behind the new answer.
    behind: f64,
}

/// The receive a serve gets without the switch, the belief about it, and its rate as it looks now.
fn old_answer<'a>(verdicts: &Verdicts<'a>, serve: &Serve) -> (Option<&'a Receive>, Belief, f64) {
    let question = &verdicts.question;
    let planned = question.deck.plan.get(&serve.id).or(question.deck.safe.as_ref());
    let old = planned.map_or_else(
        || Belief::from_mean(RECEIVER_WINS, STRENGTH),
        |receive| question.belief(&serve.id, receive),
    );
    (planned, old, verdicts.on(&serve.id).map_or(old.mean(), |lesson| lesson.now))
}

fn switched<'a>(
    verdicts: &Verdicts<'a>,
    switch: &Switch,
    serve: &'a Serve,
) -> Option<SwitchedServe<'a>> {
    let question = &verdicts.question;
    let (planned, old, now) = old_answer(verdicts, serve);
    let receive = switch.changes.get(&serve.id);
    let receive = receive.filter(|new| planned.is_none_or(|old| old.text() != new.text()))?;
    let new = question.belief(&serve.id, receive);
    let lesson = verdicts.on(&serve.id);
    let of_this = lesson.filter(|lesson| lesson.switch.as_deref() == Some(&switch.name));
    Some(SwitchedServe {
        serve,
        share: question.deck.share(&serve.id),
        old,
        now,
        new,
        better: of_this.and_then(|lesson| lesson.other_better).unwrap_or_else(|| new.above(old)),
        read: lesson.and_then(|lesson| lesson.read),
        is_due: of_this.is_some_and(|lesson| lesson.verdict == Verdict::Switch),
        behind: question.history.record(&serve.id, receive).behind(),
    })
}

/// Weighs one switch of the deck from a score.
pub fn weigh(verdicts: &Verdicts<'_>, switch: &Switch, drilled: Drilled, at: &Match) -> Reserve {
    let question = &verdicts.question;
    let serves = || question.deck.active();
    let changes: Vec<SwitchedServe<'_>> =
        serves().filter_map(|serve| switched(verdicts, switch, serve)).collect();
    let chances = UnsureChances::from_verdicts(verdicts).chances;
    let cost = memory_cost(drilled, &changes).total(changes.len());
    let gain: f64 = changes.iter().map(|of| of.share * (of.new.mean() - of.now)).sum();
    let variance =
        |of: &SwitchedServe<'_>| (of.share * f64::hypot(of.old.sd(), of.new.sd())).powi(2);
    let sd = changes.iter().map(variance).sum::<f64>().sqrt();
    let (net, match_chance) = if changes.is_empty() {
        (0.0, (0.0, 0.0))
    } else {
        let rate = |serve: &Serve| question.deck.share(&serve.id) * old_answer(verdicts, serve).2;
        let receive = serves().map(rate).sum();
        (gain - cost, win_before_and_after(at, chances.serve(), receive, gain - cost))
    };
    let (rates, timing) = if let [only] = &changes[..] {
        let rates = timing_rates(question, only);
        (Some(rates), timing(at.length, chances, only, drilled, rates))
    } else {
        (None, Vec::new())
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
        read: changes.iter().rev().find_map(|of| of.read),
        behind: changes.iter().map(|of| of.behind).reduce(f64::min).unwrap_or(0.0),
        rates,
        better: changes.iter().map(|of| of.better).fold(1.0, f64::min),
        drilled,
        timing,
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
fn memory_cost(drilled: Drilled, changes: &[SwitchedServe<'_>]) -> MemoryCost {
    let frequency = changes.iter().map(|of| of.share).sum::<f64>() / changes.len() as f64;
    match drilled.recall.filter(|_| !changes.is_empty()) {
        Some(recall) => {
            let each = (1.0 - recall) * frequency * LOST_WHEN_FORGOTTEN;
            MemoryCost { each, ..MemoryCost::USUAL }
        }
        None => MemoryCost::USUAL,
    }
}

/// What the table of moments takes the answers to win.
fn timing_rates(question: &Question<'_>, changed: &SwitchedServe<'_>) -> TimingRates {
    let mean = changed.old.mean();
    let old = question.deck.plan.get(&changed.serve.id).map_or((mean, mean), |planned| {
        let record = question.history.record(&changed.serve.id, planned);
        let (rates, is_assumed) = question.rates_when_read(planned, &record, mean);
        // An unmeasured rate is a mean over balls read and unread.
        let fresh = rates.unread + if is_assumed { rates.drop / 2.0 } else { 0.0 };
        (fresh, fresh - rates.drop)
    });
    TimingRates { old, new: changed.new.mean(), range: changed.new.interval(LEVEL) }
}

/// The table: do they read fast or slowly, and does the new answer last?
fn timing(
    length: MatchLength,
    chances: Chances,
    changed: &SwitchedServe<'_>,
    drilled: Drilled,
    rates: TimingRates,
) -> Vec<TimingRow> {
    let (frequency, receive) = (changed.share, chances.receive());
    let rest = if frequency < 1.0 {
        (receive - frequency * changed.now) / (1.0 - frequency)
    } else {
        receive
    };
    let row = |(read_after, lasts)| {
        let swing = if lasts { 0.0 } else { ReadDrop::ASSUMED.share() / 2.0 };
        let with = |new: f64| Story {
            serve: chances.serve(),
            frequency,
            rest: rest.clamp(SPILL, 1.0),
            fresh: rates.old.0.min(1.0 - EDGE),
            read: rates.old.1.max(EDGE),
            read_after,
            new_fresh: (new + swing).min(1.0 - EDGE),
            new_read: (new - swing).max(EDGE),
            new_read_after: READ_AFTER[0],
            slip: drilled.slip.unwrap_or(SLIP),
            spill: SPILL,
        };
        let win = |new: f64, trigger| with(new).win(length, End::Me, trigger);
        let mut rules = RULES.map(|rule| (rule, win(rates.new, rule)));
        let never = rules[RULES.len() - 1].1;
        rules.sort_by(|a, b| b.1.total_cmp(&a.1));
        let (best, match_chance) = rules[0];
        TimingRow {
            read_after,
            lasts,
            best,
            match_chance,
            gain: match_chance - never,
            range: (win(rates.range.0, best) - never, win(rates.range.1, best) - never),
            perfect: win(rates.new, Trigger::Best) - never,
            rules: rules.to_vec(),
        }
    };
    let [fast, slowly] = READ_AFTER;
    [(fast, true), (fast, false), (slowly, true), (slowly, false)]
        .into_par_iter()
        .map(row)
        .collect()
}
