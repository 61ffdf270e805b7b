//! The receives weighed for one serve, each with its belief, its range and what being read costs
//! it.

use super::document::Choice;
use crate::game::{Receive, ReceiveKey, Serve};
use crate::tactics::question::Question;
use crate::tactics::rates::Knowledge;
use crate::tactics::usual::usual;
use crate::tactics::verdict::FEWEST_POINTS;

/// Share of the interval shown with every rate.
pub const LEVEL: f64 = 0.8;
/// Receives weighed for one serve at most.
const MOST_CHOICES: usize = 8;

/// A receive to weigh.
struct Offered {
    receive: Receive,
    in_switch: Option<String>,
    is_common_practice: bool,
}

/// The receives weighed for a serve: plan, switches, what has points, then the usual ones.
fn offered(question: &Question<'_>, serve: &Serve) -> Vec<Offered> {
    let mut list: Vec<Offered> = Vec::new();
    let mut add = |receive: Receive, in_switch: Option<String>, is_common_practice: bool| {
        let key = ReceiveKey::from_receive(&receive);
        if let Some(known) =
            list.iter_mut().find(|known| ReceiveKey::from_receive(&known.receive) == key)
        {
            known.in_switch = known.in_switch.take().or(in_switch);
        } else if list.len() < MOST_CHOICES {
            list.push(Offered { receive, in_switch, is_common_practice });
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
    let patterns = question.history.patterns.iter().filter(|((id, _), _)| *id == serve.id);
    let mut played: Vec<(&ReceiveKey, f64)> =
        patterns.map(|((_, key), record)| (key, record.tally.played)).collect();
    played.sort_by(|a, b| b.1.total_cmp(&a.1));
    for (key, _) in played {
        if let Ok(receive) = Receive::from_text(key.as_str()) {
            add(receive, None, false);
        }
    }
    for receive in usual(serve, question.player) {
        add(receive, None, true);
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
pub(super) fn choices(question: &Question<'_>, serve: &Serve) -> Vec<Choice> {
    let planned = question.deck.plan.get(&serve.id);
    let belief_of_plan = planned.map(|receive| question.belief(&serve.id, receive));
    let mut choices: Vec<Choice> = offered(question, serve)
        .into_iter()
        .map(|Offered { receive, in_switch, is_common_practice }| {
            let record = question.history.record(&serve.id, &receive);
            let belief = question.belief(&serve.id, &receive);
            let in_plan = planned.is_some_and(|plan| plan.text() == receive.text());
            let (rates, drop_is_assumed) =
                question.rates_when_read(&receive, &record, belief.mean());
            Choice {
                key: ReceiveKey::from_receive(&receive),
                of_ten: question.player.of_ten(&receive),
                receive,
                in_plan,
                in_switch,
                is_common_practice,
                rate: belief.mean(),
                interval: belief.interval(LEVEL),
                points: record.tally.played,
                behind: record.behind(),
                known: Knowledge::from_points(record.behind()),
                unread: rates.unread,
                drop: rates.drop,
                drop_is_assumed,
                better_than_plan: belief_of_plan
                    .filter(|_| !in_plan)
                    .map(|of_plan| belief.above(of_plan)),
            }
        })
        .collect();
    // Only receives with points are put in order by their rates; the usual ones keep the player's
    // own order, so that none of them is first by the accidents of other receives.
    let rate = |choice: &Choice| if place(choice) == 1 { choice.rate } else { 0.0 };
    choices.sort_by(|a, b| place(a).cmp(&place(b)).then_with(|| rate(b).total_cmp(&rate(a))));
    choices
}
