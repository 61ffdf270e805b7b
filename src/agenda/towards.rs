//! The plan towards the events ahead, and what is kept of it: the same question is not worked out
//! twice on one day, and another one begins from its prices.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use serde::{Deserialize, Serialize};

use super::days::{DAYS_AHEAD, DayLoad, SECONDS_AN_ANSWER, minutes_spent};
use super::patterns::patterns;
use crate::base::Day;
use crate::deck::{Deck, Player};
use crate::memory::{Budget, EventWeights, Habits, Item, Model, Plan, Task, plan};

/// Days that are planned ahead at most; a later event is planned when it comes nearer.
const MOST_DAYS: u32 = 366;

/// The plan last made, with the question it answers. It makes the next one faster and changes
/// nothing else; it may be lost at any time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptPlan {
    /// A hash of every number that was asked about; good within one build of the program.
    question: u64,
    pub(super) plan: Plan,
}

/// The calendar towards every event ahead, each with its own opponents and so its own weights. What
/// was answered today already is taken off today's minutes.
pub(super) fn towards(
    model: &Model,
    items: &[Item],
    player: &Player,
    decks: &[(String, Deck)],
    today: Day,
    days_kept: f64,
    known: Option<&KeptPlan>,
) -> Option<KeptPlan> {
    let events: Vec<_> = player
        .events
        .iter()
        .filter(|event| event.day > today)
        .map(|event| EventWeights {
            day: event.day.number(),
            weights: patterns(player, decks, Some(event)).iter().map(|p| p.weight).collect(),
        })
        .collect();
    let last = events.iter().map(|event| event.day).max().unwrap_or(today.number());
    let days = u32::try_from(last - today.number()).unwrap_or(0).min(MOST_DAYS);
    let budgets = (0..=days)
        .map(|ahead| {
            if player.days_off.contains(&today.plus(ahead).weekday()) {
                return Budget::OFF;
            }
            let spent = if ahead == 0 { minutes_spent(items, today) } else { 0.0 };
            Budget::Minutes {
                minutes: (player.minutes_a_day - spent).max(0.0),
                seconds_an_answer: SECONDS_AN_ANSWER,
                seconds_a_repair: SECONDS_AN_ANSWER,
            }
        })
        .collect();
    let habits = Habits { days_kept: days_kept.clamp(0.3, 1.0), ..Habits::default() };
    let task = Task { today: today.number(), events, budgets, habits };
    let question = question_of(items, &task);
    if let Some(known) = known.filter(|known| known.question == question) {
        return Some(known.clone());
    }
    let plan = plan(model, items, &task, known.map(|known| &known.plan.carried))?;
    Some(KeptPlan { question, plan })
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
