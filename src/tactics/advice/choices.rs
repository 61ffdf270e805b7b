//! The receives weighed for one serve, each with its belief, its range and what being read costs it.

use super::Question;
use super::document::Choice;
use crate::base::order;
use crate::base::order::largest_first;
use crate::game::{Receive, ReceiveKey, Serve, ServeId};
use crate::tactics::duel::{READS_NEEDED, Side, drop_from_reads};
use crate::tactics::fault::{TacticsError, within};
use crate::tactics::habit::DROP;
use crate::tactics::history::Record;
use crate::tactics::rates::{Belief, Interval, Knowledge, STRENGTH, Tally};
use crate::tactics::usual::{Family, UNLISTED_OF_TEN, usual};
use crate::tactics::verdict::FEWEST_POINTS;

/// Share of the interval shown with every rate.
pub const LEVEL: f64 = 0.8;
/// Receives weighed for one serve at most.
const MOST_CHOICES: usize = 8;
/// What a receive is expected to lose per unlisted tenth that does not land. Assumption.
const WORTH_OF_LANDING: f64 = 0.02;
/// The repertoire's usual reliability, at which the family mean holds unchanged. Assumption.
const USUAL_OF_TEN: f64 = 7.0;

/// The belief about a pattern: family mean, moved by how reliable the player says the stroke is, then points.
///
/// # Errors
/// None for a history of less than a million points.
pub fn belief(
    question: &Question<'_>,
    serve: &ServeId,
    receive: &Receive,
) -> Result<Belief, TacticsError> {
    question.history.record(serve, receive).tally.belief(prior(question, receive)?)
}

pub(crate) fn prior(question: &Question<'_>, receive: &Receive) -> Result<Belief, TacticsError> {
    prior_from(question, receive, question.families.mean(Family::of(receive.stroke)))
}

/// The prior of a receive that comes neither loose nor missed.
pub(crate) fn clean_prior(
    question: &Question<'_>,
    receive: &Receive,
) -> Result<Belief, TacticsError> {
    prior_from(question, receive, question.families.clean_mean(Family::of(receive.stroke)))
}

fn prior_from(
    question: &Question<'_>,
    receive: &Receive,
    mean: f64,
) -> Result<Belief, TacticsError> {
    let listed = question.player.of_ten(receive);
    // Without any repertoire every stroke is taken to be as reliable as usual.
    let of_ten = match listed {
        Some(of_ten) => f64::from(of_ten),
        None if question.player.repertoire.is_empty() => USUAL_OF_TEN,
        None => f64::from(UNLISTED_OF_TEN),
    };
    Belief::from_mean(
        (mean + WORTH_OF_LANDING * (of_ten - USUAL_OF_TEN)).clamp(0.05, 0.95),
        STRENGTH,
    )
}

/// Unread rate, drop, and whether the drop is only assumed.
pub(crate) fn read_side(
    question: &Question<'_>,
    record: &Record,
    prior: Belief,
    rate: f64,
) -> Result<(Side, bool), TacticsError> {
    let assumed = question.drop.unwrap_or(DROP.mean);
    within("drop", assumed, 0.0, 0.6)?;
    let enough = |tally: Tally| tally.played >= READS_NEEDED;
    if question.drop.is_none() && enough(record.waited_for) && enough(record.not_waited_for) {
        let rates = drop_from_reads(prior, record.not_waited_for, record.waited_for)?;
        let unread = rates.unread.mean();
        return Ok((Side { unread, drop: rates.drop().clamp(0.0, unread) }, false));
    }
    Ok((Side { unread: rate, drop: assumed.min(rate * 0.9) }, true))
}

/// The receives weighed for a serve: plan, switches, what has points, then the usual ones.
fn candidates(question: &Question<'_>, serve: &Serve) -> Vec<(Receive, Option<String>, bool)> {
    let mut list: Vec<(Receive, Option<String>, bool)> = Vec::new();
    let mut add = |receive: Receive, switch: Option<String>, is_usual: bool| {
        let key = ReceiveKey::from_receive(&receive);
        if let Some(known) = list.iter_mut().find(|known| ReceiveKey::from_receive(&known.0) == key)
        {
            known.1 = known.1.take().or(switch);
        } else if list.len() < MOST_CHOICES {
            list.push((receive, switch, is_usual));
        }
    };
    if let Some(planned) = question.deck.plan.get(&serve.id) {
        add(planned.clone(), None, false);
    }
    for switch in &question.deck.switches {
        if let Some(receive) = switch.changes.get(&serve.id) {
            add(receive.clone(), Some(switch.name.clone()), false);
        }
    }
    let mut played: Vec<(&ReceiveKey, f64)> = question
        .history
        .patterns
        .iter()
        .filter(|((id, _), _)| *id == serve.id)
        .map(|((_, key), record)| (key, record.tally.played))
        .collect();
    largest_first(&mut played, |(_, balls)| *balls);
    for (key, _) in played {
        if let Ok(receive) = Receive::from_text(key.as_str()) {
            add(receive, None, false);
        }
    }
    for offered in usual(serve, question.player) {
        add(offered.receive, None, true);
    }
    list
}

/// The plan, then what has points, then what is in reserve, then the usual ones.
fn place(choice: &Choice) -> u8 {
    if choice.in_plan {
        0
    } else if choice.behind >= FEWEST_POINTS {
        1
    } else if choice.in_switch.is_some() {
        2
    } else if choice.is_common_practice {
        3
    } else {
        4
    }
}

/// Receives weighed for one serve: the plan first, then what has points, best first.
///
/// # Errors
/// A drop outside 0 to 0.6.
pub fn choices(question: &Question<'_>, serve: &Serve) -> Result<Vec<Choice>, TacticsError> {
    let planned = question.deck.plan.get(&serve.id);
    let of_plan = planned.map(|receive| belief(question, &serve.id, receive)).transpose()?;
    let mut choices = Vec::new();
    for (receive, in_switch, is_common_practice) in candidates(question, serve) {
        let record = question.history.record(&serve.id, &receive);
        let belief = belief(question, &serve.id, &receive)?;
        let in_plan = planned.is_some_and(|plan| plan.text() == receive.text());
        let better_than_plan = match of_plan {
            Some(of_plan) if !in_plan => Some(belief.above(of_plan)?),
            _ => None,
        };
        let prior = prior(question, &receive)?;
        let (side, drop_is_assumed) = read_side(question, &record, prior, belief.mean())?;
        let Interval { low, high } = belief.interval(LEVEL)?;
        choices.push(Choice {
            key: ReceiveKey::from_receive(&receive),
            of_ten: question.player.of_ten(&receive),
            receive,
            in_plan,
            in_switch,
            is_common_practice,
            rate: belief.mean(),
            interval: (low, high),
            points: record.tally.played,
            behind: record.behind(),
            known: Knowledge::from_points(record.behind()).word(),
            unread: side.unread,
            drop: side.drop,
            drop_is_assumed,
            better_than_plan,
        });
    }
    // Only receives with points are put in order by their rates; the usual ones keep the player's own order, so
    // that none of them is first by the accidents of other receives.
    order::by(&mut choices, |a, b| {
        place(a).cmp(&place(b)).then_with(|| {
            if place(a) == 1 { b.rate.total_cmp(&a.rate) } else { std::cmp::Ordering::Equal }
        })
    });
    Ok(choices)
}
