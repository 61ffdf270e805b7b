//! The plan towards the events ahead, and what is kept of it: the same question is not worked out
//! twice on one day, and another one begins from its prices.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use serde::{Deserialize, Serialize};

use super::days::{DAYS_AHEAD, DayLoad, SECONDS_AN_ANSWER, minutes_spent};
use super::patterns::{Pattern, is_met};
use crate::base::Day;
use crate::deck::{MatchDay, Player};
use crate::memory::{self, Budget, EventWeights, Habits, Item, Model, Plan, Regularity, Task};

/// Days that are planned ahead at most; a later event is planned when it comes nearer.
const MOST_DAYS: u32 = 366;
/// Patterns that are planned at most, but for those of the opponents of events, which always are:
/// more than a player answers in a week.
const MOST_PLANNED: usize = 600;

/// Who keeps fewer days than this is planned for as if it were this.
const LEAST_KEPT: f64 = 0.3;
/// Whoever keeps so much is not told what every day would bring.
const REGULAR: f64 = 0.95;

/// The plan last made, with the question it answers. It makes the next one faster and changes
/// nothing else; it may be lost at any time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptPlan {
    /// A hash of every number that was asked about; good within one build of the program.
    question: u64,
    pub(super) plan: Plan,
    /// What is expected if every day is kept, where the player keeps fewer.
    pub(super) every_day: Option<f64>,
}

/// The calendar towards every event ahead, each with its own opponents and so its own weights. What
/// was answered today already is taken off today's minutes.
pub(super) fn towards(
    model: &Model,
    all: &[Pattern],
    items: &[Item],
    player: &Player,
    today: Day,
    record: &Regularity,
    known: Option<&KeptPlan>,
) -> Option<KeptPlan> {
    let ahead: Vec<&MatchDay> = player.events.iter().filter(|event| event.day > today).collect();
    let spent = minutes_spent(items, today);
    let items = &planned(model, all, items, &ahead, player.wanted_share, today)[..];
    let weight = |event: &MatchDay, item: &Item| all[item.index].weight_at(event);
    let events: Vec<_> = ahead
        .iter()
        .map(|event| EventWeights {
            day: event.day.number(),
            weights: items.iter().map(|item| weight(event, item)).collect(),
        })
        .collect();
    let last = events.iter().map(|event| event.day).max().unwrap_or(today.number());
    let days = u32::try_from(last - today.number()).unwrap_or(0).min(MOST_DAYS);
    let budgets = (0..=days)
        .map(|ahead| {
            if player.days_off.contains(&today.plus(ahead).weekday()) {
                return Budget::OFF;
            }
            let spent = if ahead == 0 { spent } else { 0.0 };
            Budget::Minutes {
                minutes: (player.minutes_a_day - spent).max(0.0),
                seconds_an_answer: SECONDS_AN_ANSWER,
                seconds_a_repair: SECONDS_AN_ANSWER,
            }
        })
        .collect();
    let habits = Habits {
        days_kept: record.days_kept().max(LEAST_KEPT),
        lists_done: record.lists_done().max(LEAST_KEPT),
        ..Habits::default()
    };
    let mut task = Task { today: today.number(), events, budgets, habits };
    let question = question_of(items, &task);
    if let Some(known) = known.filter(|known| known.question == question) {
        return Some(known.clone());
    }
    let plan = memory::plan(model, items, &task, known.map(|known| &known.plan.carried))?;
    let is_regular = habits.days_kept * habits.lists_done >= REGULAR;
    task.habits = Habits { days_kept: 1.0, lists_done: 1.0, ..habits };
    let kept = || memory::plan(model, items, &task, Some(&plan.carried));
    let every_day = if is_regular { None } else { kept().map(|kept| kept.with.expected) };
    Some(KeptPlan { question, plan, every_day })
}

/// What is planned, in the order given: every pattern of the opponents of these events; of the
/// others, as far as there is room, those that would fall below the target before tomorrow is
/// over, most weighted risk first, then the rest by weight.
fn planned(
    model: &Model,
    all: &[Pattern],
    items: &[Item],
    events: &[&MatchDay],
    target: f64,
    today: Day,
) -> Vec<Item> {
    let tomorrow = f64::from(today.number()) + 1.0;
    let is_met = |item: &Item| events.iter().any(|event| is_met(&all[item.index].stem, event));
    let (mut planned, others): (Vec<Item>, Vec<Item>) = items.iter().partition(|item| is_met(item));
    let mut others: Vec<(bool, f64, Item)> = others
        .into_iter()
        .map(|item| {
            let recall = item.recall_on(model, tomorrow);
            let is_due = item.memory.is_some() && recall < target;
            let risk = if is_due { 1.0 - recall } else { 1.0 };
            (is_due, item.weight * risk, item)
        })
        .collect();
    others.sort_by(|a, b| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1)));
    let room = MOST_PLANNED.saturating_sub(planned.len());
    planned.extend(others.into_iter().take(room).map(|(.., item)| item));
    planned.sort_by_key(|item| item.index);
    planned
}

/// Everything that the plan depends on, in one number.
fn question_of(items: &[Item], task: &Task) -> u64 {
    let mut hash = DefaultHasher::new();
    env!("CARGO_PKG_VERSION").hash(&mut hash);
    // The shortest decimal form of a number is the number: nothing is lost, whatever is added to a
    // task.
    format!("{items:?} {task:?}").hash(&mut hash);
    hash.finish()
}

impl KeptPlan {
    /// The next days, with the days off among them; a step of several days is shared by its open
    /// ones.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "answers of a day")]
    pub(super) fn days(&self, player: &Player, today: Day) -> Vec<DayLoad> {
        let is_off = |day: Day| player.days_off.contains(&day.weekday());
        let number = |day: Day| i64::from(day.number());
        let begins: Vec<i64> = self.plan.ahead.iter().map(|step| i64::from(step.day)).collect();
        let last_day = player.events.iter().map(|event| number(event.day)).max().unwrap_or(0);
        (1..=DAYS_AHEAD)
            .map(|ahead| today.plus(ahead))
            .take_while(|day| number(*day) < last_day)
            .map(|day| {
                let step = begins.partition_point(|begin| *begin <= number(day)).saturating_sub(1);
                let from = begins.get(step).copied().unwrap_or_else(|| number(day));
                let to = begins.get(step + 1).copied().unwrap_or(last_day);
                let open = (from..to)
                    .filter(|other| *other > number(today))
                    .filter_map(|other| u32::try_from(other - number(today)).ok())
                    .filter(|ahead| !is_off(today.plus(*ahead)))
                    .count();
                let wanted = self.plan.ahead.get(step).map_or(0.0, |step| step.answers);
                let answers =
                    if is_off(day) { 0.0 } else { (wanted / open.max(1) as f64).round().max(0.0) };
                DayLoad { day, answers: answers as usize, is_off: is_off(day) }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::agenda::patterns::{patterns, tests::two_decks};

    #[test]
    fn however_many_opponents_there_are_only_those_of_events_and_what_is_due_are_planned() {
        let (player, two) = two_decks();
        let mut decks = two;
        for number in 0..300 {
            let (stem, mut deck) = decks[1].clone();
            deck.key = format!("{stem}{number}");
            decks.push((deck.key.clone(), deck));
        }
        let model = Model::default();
        let today: Day = "2026-11-25".parse().unwrap();
        let all = patterns(&player, &decks, player.events.first());
        let state = model.after(None, crate::memory::Grade::InTime, 0);
        // Of the last opponent of all one is about to be forgotten.
        let memory = |index| (index + 2 == all.len()).then_some((state, today.number() - 60));
        let item = |(index, pattern): (usize, &Pattern)| Item {
            index,
            weight: pattern.weight,
            memory: memory(index),
        };
        let items: Vec<Item> = all.iter().enumerate().map(item).collect();
        let events = [&player.events[0]];
        let planned = planned(&model, &all, &items, &events, player.wanted_share, today);
        assert!(all.len() > 900 && planned.len() == MOST_PLANNED, "{}", planned.len());
        let north = |item: &&Item| all[item.index].stem == "north";
        assert_eq!(planned.iter().filter(north).count(), items.iter().filter(north).count());
        assert!(planned.iter().any(|item| item.memory.is_some()));
        assert_eq!(planned.len(), {
            let mut own: Vec<_> = planned.iter().map(|item| item.index).collect();
            own.dedup();
            own.len()
        });
    }
}
