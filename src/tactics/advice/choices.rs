//! The receives weighed for one serve, each with its belief, its range and what being read costs
//! it.

use serde::Serialize;

use crate::game::{Receive, ReceiveKey, Serve};
use crate::tactics::duel::ReceiveRates;
use crate::tactics::question::Question;
use crate::tactics::rates::Knowledge;
use crate::tactics::verdict::FEWEST_POINTS;

/// Share of the interval shown with every rate.
pub const LEVEL: f64 = 0.8;
/// Receives proposed for one serve.
const MOST_PROPOSED: usize = 5;
/// Points behind a receive from which it has a rate: one told in a debrief.
pub const RATED_FROM: f64 = 0.5;
/// Receives weighed for one serve at most.
const MOST_CHOICES: usize = 8;

/// One receive weighed against one serve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Choice {
    /// The receive, with its reason when it has one.
    pub receive: Receive,
    /// Its key.
    pub key: ReceiveKey,
    /// It is the plan's.
    pub in_plan: bool,
    /// The switch that holds it in reserve.
    pub in_switch: Option<String>,
    /// Offered from common practice: neither plan, switch nor points know it.
    pub is_common_practice: bool,
    /// Of ten, how many land, when the player has listed it.
    pub of_ten: Option<u8>,
    /// What its balls say; none without any.
    #[serde(flatten)]
    pub measured: Option<ChoiceRate>,
    /// Points behind it, after weighing.
    pub points: f64,
    /// Points behind it as a person counts them: recorded ones, and half of those told.
    pub behind: f64,
    /// How much that many say.
    pub known: Knowledge,
    /// Rate when he is not waiting for it, and what is lost when he is.
    #[serde(skip)]
    pub rates: ReceiveRates,
    /// The drop is an assumption, not a measurement.
    pub drop_is_assumed: bool,
}

/// What the balls of a receive say of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChoiceRate {
    /// Expected share of points won.
    pub rate: f64,
    /// Where that share lies, eight times in ten: low and high.
    pub interval: (f64, f64),
    /// Rate when he is not waiting for it.
    pub unread: f64,
    /// What is lost when he is.
    pub drop: f64,
    /// Chance that this receive wins more often than the planned one; none for the plan itself.
    pub better_than_plan: Option<f64>,
}

impl Choice {
    fn rate(&self) -> f64 {
        self.measured.as_ref().map_or(0.0, |measured| measured.rate)
    }
}

/// The receives offered for a serve, each with the switch that holds it and whether it is only
/// common practice: plan, switches, what has points, then the usual ones.
fn offered(question: &Question<'_>, serve: &Serve) -> Vec<(Receive, Option<String>, bool)> {
    let Question { deck, history, .. } = question;
    let planned = deck.plan.get(&serve.id).map(|receive| (receive.clone(), None, false));
    let held = deck.switches.iter().filter_map(|switch| {
        Some((switch.changes.get(&serve.id)?.clone(), Some(switch.name.clone()), false))
    });
    let mut played: Vec<_> =
        history.patterns.iter().filter(|((id, _), _)| *id == serve.id).collect();
    played.sort_by(|(_, a), (_, b)| b.tally.played.total_cmp(&a.tally.played));
    let played =
        played.into_iter().filter_map(|((_, key), _)| Receive::from_text(key.as_str()).ok());
    let played = played.map(|receive| (receive, None, false));
    let proposed = question.meeting(serve).proposals(MOST_PROPOSED).into_iter();
    let proposed = proposed.map(|one| (one.receive, None, true));
    planned.into_iter().chain(held).chain(played).chain(proposed).collect()
}

/// The plan, then what has points, then what is in reserve, then the usual ones.
fn place(choice: &Choice) -> usize {
    let (has_points, is_held) = (choice.behind >= FEWEST_POINTS, choice.in_switch.is_some());
    let kinds = [choice.in_plan, has_points, is_held, choice.is_common_practice];
    kinds.iter().position(|is_of_it| *is_of_it).unwrap_or(kinds.len())
}

/// Receives weighed for one serve: the plan first, then what has points, best first.
pub(super) fn choices(question: &Question<'_>, serve: &Serve) -> Vec<Choice> {
    let planned = question.deck.plan.get(&serve.id);
    let of_plan = planned.map(|receive| question.belief(&serve.id, receive));
    let mut choices: Vec<Choice> = Vec::new();
    for (receive, in_switch, is_common_practice) in offered(question, serve) {
        let key = ReceiveKey::from_receive(&receive);
        if let Some(known) = choices.iter_mut().find(|known| known.key == key) {
            known.in_switch = known.in_switch.take().or(in_switch);
            continue;
        }
        if choices.len() == MOST_CHOICES {
            continue;
        }
        let record = question.history.record(&serve.id, &receive);
        let belief = question.belief(&serve.id, &receive);
        let in_plan = planned.is_some_and(|plan| plan.text() == receive.text());
        let (rates, drop_is_assumed) =
            question.rates_when_read(&receive, Some(serve), &record, belief.mean());
        choices.push(Choice {
            key,
            of_ten: question.player.of_ten(&receive, Some(serve)),
            receive,
            in_plan,
            in_switch,
            is_common_practice,
            measured: (record.behind() >= RATED_FROM).then(|| ChoiceRate {
                rate: belief.mean(),
                interval: belief.interval(LEVEL),
                unread: rates.unread,
                drop: rates.drop,
                better_than_plan: of_plan.filter(|_| !in_plan).map(|plan| belief.above(plan)),
            }),
            points: record.tally.played,
            behind: record.behind(),
            known: Knowledge::from_points(record.behind()),
            rates,
            drop_is_assumed,
        });
    }
    // Only receives with points are put in order by their rates; the usual ones keep the player's
    // own order, so that none of them is first by the accidents of other receives.
    let rate = |choice: &Choice| if place(choice) == 1 { choice.rate() } else { 0.0 };
    choices.sort_by(|a, b| place(a).cmp(&place(b)).then_with(|| rate(b).total_cmp(&rate(a))));
    choices
}
