//! The switch in reserve: what it is worth, when to make it, and whether it is ready.
//!
//! Which and when come from [`crate::tactics::switch`]; the cost of holding it in the head comes from the
//! drill's forecast when there is one. Timing rests on how fast this opponent reads, which nobody knows: so a
//! small table over assumptions is given, never a single moment. Whether the plan looks read now is
//! [`crate::tactics::verdict`]'s to say; what a switch adds now starts from there.

use serde::Serialize;

use crate::base::on_all_cores;
use crate::base::order::largest_first;
use crate::deck::Switch;
use crate::game::{End, Game, Match, MatchLength, ServeId};
use crate::tactics::advice::{
    ChangeWorth, LEVEL, Question, belief, change_worth, prior, read_side, receive_chance,
    serve_chance,
};
use crate::tactics::chance::Chances;
use crate::tactics::fault::{TacticsError, within};
use crate::tactics::habit::DROP;
use crate::tactics::rates::Belief;
use crate::tactics::switch::which::{Choice, Setting};
use crate::tactics::switch::{Candidate, MemoryCost, Story, Trigger};
use crate::tactics::verdict::{Verdict, behind, judge, judged_once};
use crate::tactics::words::{of_hundred, signed, suspected};

/// What a forgotten switch loses: the receive comes out wrong. Assumption.
const LOST_WHEN_FORGOTTEN: f64 = 0.4;
/// Chance that the old answer slips out after a switch, when no drill has measured it. Assumption.
const SLIP: f64 = 0.05;
/// What a switch costs on the serves that were kept, when no drill has measured it. Assumption.
const SPILL: f64 = 0.005;
/// How many balls it takes to be read, as tried.
const READ_AFTER: [usize; 2] = [4, 10];

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

impl Drilled {
    /// What has to be said before a switch of this name is called; nothing when it is firm.
    pub fn warning(self, name: &str) -> Option<String> {
        match self {
            Self { is_firm: true, .. } => None,
            Self { recall: Some(recall), .. } => Some(format!(
                "`{name}` is not firm: recall on the day {} of 100.",
                of_hundred(recall)
            )),
            Self { recall: None, .. } => Some(format!(
                "`{name}` has not been drilled: under stress the old answer will come out."
            )),
        }
    }
}

/// One row of the timing table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TimingRow {
    /// What is assumed, in words.
    pub assumes: String,
    /// The best simple rule under it, in words.
    pub best: String,
    /// Chance of the match with that rule.
    pub match_chance: f64,
    /// What it adds to never switching.
    pub gain: f64,
    /// The same with the new answer's rate at the low and at the high end of its range.
    pub range: (f64, f64),
    /// What the perfect moment would add to never switching.
    pub perfect: f64,
    /// Every rule tried with its chance of the match, best first.
    pub rules: Vec<(String, f64)>,
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
    /// What holding it in the head costs, in points on the opponent's serve; already taken off `net`.
    pub memory_cost: f64,
    /// That cost is assumed, because the drill has no forecast for the switch.
    pub cost_is_assumed: bool,
    /// Chance of the match without and with it, from the score asked for.
    pub match_chance: (f64, f64),
    /// What its answers alone add at the start of a match, cost of memory not taken off, with what the points
    /// leave open.
    pub worth: ChangeWorth,
    /// The verdict calls for it now.
    pub is_due: bool,
    /// Every one of its receives is the plan's already.
    pub is_in_plan: bool,
    /// Chance that the plan's answer is read now; none when too few points say.
    pub read: Option<f64>,
    /// Points behind its least known answer.
    pub behind: f64,
    /// What the table of moments takes the answers to win: the old one unread and read, the new one with the low
    /// and high end of its range.
    pub rates: Option<TimingRates>,
    /// Chance that its answers really win more than the plan's.
    pub better: f64,
    /// What the drill says.
    pub drilled: Drilled,
    /// When, under several assumptions; empty for a switch of more than one serve.
    pub timing: Vec<TimingRow>,
    /// What to say about it, most important first.
    pub says: Vec<String>,
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

/// Weighs one switch of the deck from a score.
///
/// # Errors
/// A forecast that is not a chance; a score the laws cannot produce.
pub fn weigh(
    question: &Question<'_>,
    switch: &Switch,
    drilled: Drilled,
    at: &Match,
) -> Result<Reserve, TacticsError> {
    let (mut candidates, mut changes) = (Vec::new(), Vec::new());
    let mut better: f64 = 1.0;
    let mut known = f64::INFINITY;
    let (mut is_due, mut read) = (false, None);
    // Share, the old answer's belief and its rate now, the new answer's belief.
    let mut rates: Vec<(f64, Belief, f64, Belief)> = Vec::new();
    for serve in question.deck.active() {
        let share = question.deck.share(&serve.id);
        let planned = question.deck.plan.get(&serve.id).or(question.deck.safe.as_ref());
        let now = match planned {
            Some(receive) => belief(question, &serve.id, receive)?,
            None => Belief::from_mean(crate::tactics::families::RECEIVER_WINS, 8.0)?,
        };
        let lesson = question.deck.plan.get(&serve.id);
        let lesson = lesson.map(|planned| judge(question, serve, planned)).transpose()?;
        let current = lesson.as_ref().map_or(now.mean(), |lesson| lesson.now);
        let mut candidate = current;
        let new = switch.changes.get(&serve.id);
        if let Some(receive) = new.filter(|new| planned.is_none_or(|p| p.text() != new.text())) {
            let then = belief(question, &serve.id, receive)?;
            let mut above = then.above(now)?;
            if let Some(lesson) = lesson {
                read = lesson.read.or(read);
                if lesson.switch.as_deref() == Some(&switch.name) {
                    above = lesson.other_better.unwrap_or(above);
                    is_due |= lesson.verdict == Verdict::Switch;
                }
            }
            candidate = then.mean();
            changes.push(candidates.len());
            better = better.min(above);
            known = known.min(question.history.record(&serve.id, receive).behind());
            rates.push((share, now, current, then));
        }
        candidates.push(Candidate { frequency: share, current, candidate });
    }
    let frequency: f64 =
        changes.iter().filter_map(|at| candidates.get(*at)).map(|serve| serve.frequency).sum();
    let serving = serve_chance(question.history)?;
    let cost = memory_cost(drilled, frequency, changes.len())?;
    let setting = Setting { at: *at, serve: serving };
    let (net, match_chance) = if changes.is_empty() {
        (0.0, (0.0, 0.0))
    } else {
        let Choice { net, gain, .. } = setting.worth(&candidates, &changes, cost)?;
        (net, (gain.before, gain.after))
    };
    let worth = worth(question, serving, &rates)?;
    let (timing, of_table) = match (changes.as_slice(), rates.first()) {
        ([only], Some((_, now, _, then))) => {
            let whole = receive_chance(question)?;
            let serve = switch.changes.keys().next();
            let old = match serve.and_then(|id| Some((id, question.deck.plan.get(id)?))) {
                Some((id, planned)) => {
                    let record = question.history.record(id, planned);
                    let prior = prior(question, planned)?;
                    let (side, is_assumed) = read_side(question, &record, prior, now.mean())?;
                    // An unmeasured rate is a mean over balls read and unread.
                    let fresh = side.unread + if is_assumed { side.drop / 2.0 } else { 0.0 };
                    (fresh, fresh - side.drop)
                }
                None => (now.mean(), now.mean()),
            };
            let range = then.interval(LEVEL)?;
            let rates = TimingRates { old, new: then.mean(), range: (range.low, range.high) };
            (timing(at.length, serving, whole, candidates[*only], drilled, rates)?, Some(rates))
        }
        _ => (Vec::new(), None),
    };
    let mut reserve = Reserve {
        name: switch.name.clone(),
        cue: switch.cue.clone(),
        serves: switch.changes.keys().cloned().collect(),
        net,
        memory_cost: cost.of(changes.len()),
        cost_is_assumed: drilled.recall.is_none(),
        match_chance,
        worth,
        is_due,
        is_in_plan: changes.is_empty(),
        read,
        behind: if known.is_finite() { known } else { 0.0 },
        rates: of_table,
        better,
        drilled,
        timing,
        says: Vec::new(),
    };
    reserve.says = says(&reserve);
    Ok(reserve)
}

/// What the new answers alone add from the first ball.
fn worth(
    question: &Question<'_>,
    serving: f64,
    rates: &[(f64, Belief, f64, Belief)],
) -> Result<ChangeWorth, TacticsError> {
    let chances = Chances::new(serving, receive_chance(question)?)?;
    // All changes as one serve that makes up everything: their shares are in the rates.
    let gain: f64 = rates.iter().map(|(share, _, now, then)| share * (then.mean() - now)).sum();
    let spread = |(share, old, _, then): &(f64, Belief, f64, Belief)| {
        (share * f64::hypot(old.sd(), then.sd())).powi(2)
    };
    let spread = rates.iter().map(spread).sum::<f64>().sqrt();
    change_worth(question.length, (chances, 1.0), (0.0, gain), spread)
}

/// Every switch of the deck weighed from a score, the most worthwhile first.
///
/// # Errors
/// As [`weigh`].
pub fn rank(
    question: &Question<'_>,
    drilled: &dyn Fn(&str) -> Drilled,
    at: &Match,
) -> Result<Vec<Reserve>, TacticsError> {
    let mut ranked = judged_once(question, |question| {
        let switches = question.deck.switches.iter();
        switches
            .map(|switch| weigh(question, switch, drilled(&switch.name), at))
            .collect::<Result<Vec<_>, _>>()
    })?;
    largest_first(&mut ranked, |reserve| reserve.net);
    Ok(ranked)
}

fn memory_cost(
    drilled: Drilled,
    frequency: f64,
    changes: usize,
) -> Result<MemoryCost, TacticsError> {
    match drilled.recall {
        Some(recall) if changes > 0 => {
            MemoryCost::from_recall(recall, frequency / changes as f64, LOST_WHEN_FORGOTTEN)
        }
        _ => Ok(MemoryCost::USUAL),
    }
}

/// The table: does he read fast or slowly, and does the new answer last?
fn timing(
    length: MatchLength,
    serve: f64,
    receive: f64,
    candidate: Candidate,
    drilled: Drilled,
    TimingRates { old: (fresh, read), new, range }: TimingRates,
) -> Result<Vec<TimingRow>, TacticsError> {
    let f = within("frequency", candidate.frequency, 0.0, 1.0)?;
    let rest = if f < 1.0 { (receive - f * candidate.current) / (1.0 - f) } else { receive };
    let rest = rest.clamp(SPILL, 1.0);
    let row = |&(read_after, (lasts, swing)): &(usize, (&str, f64))| {
        let with = |new: f64| Story {
            serve,
            frequency: f,
            rest,
            fresh: fresh.min(0.98),
            read: read.max(0.02),
            read_after,
            new_fresh: (new + swing).min(0.98),
            new_read: (new - swing).max(0.02),
            new_read_after: READ_AFTER[0],
            slip: drilled.slip.unwrap_or(SLIP),
            spill: SPILL,
        };
        let story = with(new);
        let mut rules = Vec::new();
        for trigger in RULES {
            rules.push((trigger, story.win(length, End::Me, trigger)?));
        }
        let never = rules[RULES.len() - 1].1;
        let perfect = story.win(length, End::Me, Trigger::Best)? - never;
        largest_first(&mut rules, |(_, chance)| *chance);
        let (best, match_chance) = rules[0];
        let at = |new: f64| Ok::<_, TacticsError>(with(new).win(length, End::Me, best)? - never);
        Ok(TimingRow {
            assumes: format!("they read in {read_after} balls; {lasts}"),
            best: best.words(),
            match_chance,
            gain: match_chance - never,
            range: (at(range.0)?, at(range.1)?),
            perfect,
            rules: rules.into_iter().map(|(rule, win)| (rule.words(), win)).collect(),
        })
    };
    let lasts = [("the new answer lasts", 0.0), ("the new one soon fades", DROP.mean / 2.0)];
    let rows: Vec<_> = READ_AFTER.iter().flat_map(|&balls| lasts.map(|how| (balls, how))).collect();
    on_all_cores(&rows, row).into_iter().collect()
}

fn says(reserve: &Reserve) -> Vec<String> {
    if reserve.is_in_plan {
        return vec![
            "Already in the plan: nothing is left to switch. Put another answer in reserve."
                .to_owned(),
        ];
    }
    let mut says = Vec::new();
    says.extend(reserve.drilled.warning(&reserve.name));
    says.push(match (reserve.is_due, reserve.read) {
        (true, _) => "Due now, by the points: see above.".to_owned(),
        (false, Some(read)) => format!(
            "Keep it in reserve: by the points the plan's answer is read now with {} in 100.",
            suspected(read)
        ),
        (false, None) => {
            "Keep it in reserve: too few points say anything about the plan.".to_owned()
        }
    });
    let gain = reserve.match_chance.1 - reserve.match_chance.0;
    let low_high = reserve.worth.range;
    says.push(format!(
        "Made at the first ball, it takes {} of 100 matches to {} ({}) if the rates hold; what is known of its \
         answer ({}) leaves {} to {} open. It is better now with a chance of {} in 100.",
        of_hundred(reserve.match_chance.0),
        of_hundred(reserve.match_chance.1),
        signed(gain),
        behind(reserve.behind),
        signed(low_high.0),
        signed(low_high.1),
        suspected(reserve.better)
    ));
    if reserve.is_due {
        says.push(match reserve.read {
            Some(read) => format!(
                "When: from the first ball. The old answer is taken to be read already, with {} in 100 at the next \
                 ball.",
                suspected(read)
            ),
            None => "When: from the first ball.".to_owned(),
        });
        return says;
    }
    let mut bests: Vec<&str> = reserve.timing.iter().map(|row| row.best.as_str()).collect();
    bests.dedup();
    if let [only] = bests.as_slice() {
        says.push(format!(
            "When, if the match starts with nothing read: {only}, whatever is assumed below."
        ));
    } else if !bests.is_empty() {
        says.push(
            "When depends on how they read: see the table; it starts with nothing read.".to_owned(),
        );
    }
    says
}

/// A moment at which a switch can be called without breaking play.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Chance {
    /// Its name.
    pub name: &'static str,
    /// When it comes.
    pub when: &'static str,
}

/// The moments of a match at which there is time to think.
pub const MOMENTS: [Chance; 3] = [
    Chance {
        name: "towel",
        when: "after every six points, and at the change of ends in the decider",
    },
    Chance { name: "time-out", when: "once a match, up to one minute" },
    Chance { name: "between games", when: "up to one minute" },
];

/// How many points until the next towel, in a running game.
pub const fn points_to_towel(game: &Game) -> u32 {
    6 - (game.me + game.them) % 6
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_towel_comes_every_six_points() {
        let at = |me, them| points_to_towel(&Game { me, them, first_server: End::Me });
        assert_eq!((at(0, 0), at(3, 2), at(3, 3), at(10, 10)), (6, 1, 6, 4));
    }
}
