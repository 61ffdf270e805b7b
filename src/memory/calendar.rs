//! The match-day calendar: which patterns to answer today so that the weighted share recalled at
//! the event, or at several competing ones, is as high as the budget allows.
//!
//! Re-solved every day from where the player really is. Two ways, chosen here: a small set is
//! searched ([`super::search`]); otherwise days are priced ([`super::priced`]). Yesterday's
//! [`Carried`] prices make today's start warm.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::board::{Board, Held, Results, Seat};
use super::daily::{Habits, Pick, gain};
use super::door::{Model, days_between};
use super::forecast::{Item, RecallShare};
use super::priced::{Priced, Pricer};
use super::result::Grade;
use super::search;
use super::task::Task;

/// The most steps a plan has; a later event is planned in steps of several days.
const MOST_STEPS: u32 = 60;
/// Rounds when the question has changed, at least.
const ROUNDS_CHANGED: usize = 4;
/// Shorter plans are not worth a coarse beginning.
const LEAST_STEPS_TO_COARSEN: usize = 16;
/// A pattern begun when no more days than these are left counts for less.
const LATE_DAYS: u32 = 2;
/// Days, not answers, are missed: all that slides meets a day already full, so that a missed day
/// costs more than its share. With 1 a forecast is up to .03 too high, with 1.5 .025 too low;
/// recall is the same.
const SLIDE: f64 = 1.25;
/// The price of a step of which nothing is known, in mean weights.
const USUAL_PRICE: f64 = 0.15;

/// What today leaves for tomorrow's plan. It only makes it faster: without it the same question is
/// solved from nothing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Carried {
    /// The day of the plan.
    day: i32,
    /// The last event's day.
    until: i32,
    /// Days in a step.
    stride: u32,
    /// How many patterns there were, and how many answers were to be given.
    patterns: usize,
    answers: f64,
    /// The price of an answer in each step, per unit of mean weight; empty after a search.
    prices: Vec<f64>,
}

/// A day of the plan.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct DayAhead {
    /// Which day; the first of a step when steps are longer.
    pub day: i32,
    /// How many answers are wanted.
    pub answers: f64,
}

/// The calendar's answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// What to answer today, most valuable first.
    pub today: Vec<Pick>,
    /// How many answers each day ahead is expected to take, today first.
    pub ahead: Vec<DayAhead>,
    /// The share recalled at the events if the plan is followed.
    pub with: RecallShare,
    /// The same if nothing is done today, but the plan is followed from tomorrow on.
    pub without_today: RecallShare,
    /// The same if nothing is done any more.
    pub without: RecallShare,
    /// For tomorrow's plan.
    pub carried: Carried,
}

/// Plans today and the days ahead; `None` when no event lies ahead, or weights or budgets are none.
pub fn plan(model: &Model, items: &[Item], task: &Task, carried: Option<&Carried>) -> Option<Plan> {
    let view = View::new(model, items, task)?;
    if search::is_small(items.len(), view.capacity.len(), view.capacity.iter().sum()) {
        return Some(view.searched());
    }
    let warm = carried
        .filter(|c| c.until == view.last_event && c.stride == view.stride && !c.prices.is_empty());
    let priced = match warm {
        Some(carried) => {
            // Days were missed, opponents came or minutes changed: prices must follow.
            let least = if view.goes_on_from(carried) { 1 } else { ROUNDS_CHANGED };
            let rounds = rounds_again(view.capacity.len()).max(least);
            view.pricer(1).solve(Some(view.shifted(carried)), rounds)
        }
        None => view.priced_from_nothing(),
    };
    Some(view.by_prices(&priced))
}

/// Rounds until prices settle: a round costs the square of the steps, so few steps may have many.
fn rounds(work: usize, steps: usize, least: usize, most: usize) -> usize {
    (work / (steps * steps)).clamp(least, most)
}

fn rounds_from_nothing(steps: usize) -> usize {
    rounds(12_000, steps, 12, 120)
}

fn rounds_again(steps: usize) -> usize {
    rounds(3_000, steps, 1, 40)
}

/// Several days as one: what they hold if any is kept, and the chance of that.
fn joined(days: &[(f64, f64)]) -> (f64, f64) {
    let open = days.iter().filter(|(answers, _)| *answers > 0.0);
    let (answers, missed) = open.fold((0.0, 1.0), |(sum, missed), (answers, kept)| {
        (sum + kept * answers, missed * (1.0 - kept))
    });
    let kept: f64 = 1.0 - missed;
    if kept > 0.0 { (answers / kept, kept) } else { (0.0, 1.0) }
}

/// An event ahead: days from today, and the weights there with the floor under them.
struct EventAhead {
    days: u32,
    weights: Vec<f64>,
}

/// The task with everything derived from it.
struct View<'a> {
    model: &'a Model,
    items: &'a [Item],
    task: &'a Task,
    /// The nearest first.
    events: Vec<EventAhead>,
    last_event: i32,
    stride: u32,
    /// Answers that each day holds if it is kept, and the chance of that.
    days: Vec<(f64, f64)>,
    /// Answers in each step.
    capacity: Vec<f64>,
}

impl<'a> View<'a> {
    fn new(model: &'a Model, items: &'a [Item], task: &'a Task) -> Option<Self> {
        if !task.is_sound(items.len()) {
            return None;
        }
        let ahead = task.events.iter().filter(|event| event.day > task.today);
        let mut events: Vec<EventAhead> = ahead
            .map(|event| {
                let mean = event.weights.iter().sum::<f64>() / items.len().max(1) as f64;
                let least = task.habits.floor * mean;
                let weights = event.weights.iter().map(|w| w.max(least)).collect();
                EventAhead { days: days_between(task.today, event.day), weights }
            })
            .collect();
        events.sort_by_key(|event| event.days);
        let last = events.last()?.days;
        let stride = last.div_ceil(MOST_STEPS);
        let Habits { days_kept, lists_done, .. } = task.habits;
        let day = |ahead: u32| {
            let kept = if ahead == 0 { 1.0 } else { days_kept.powf(SLIDE) };
            (task.budget(ahead).answers() * lists_done, kept)
        };
        let days: Vec<(f64, f64)> = (0..last).map(day).collect();
        Some(Self {
            model,
            items,
            task,
            last_event: task.today.saturating_add_unsigned(last),
            stride,
            capacity: days.chunks(stride as usize).map(|days| joined(days).0).collect(),
            days,
            events,
        })
    }

    /// Answers that will be given if every list is filled.
    fn answers_in_all(&self) -> f64 {
        self.days.iter().map(|(answers, kept)| answers * kept).sum()
    }

    /// Whether this is the question of `carried` a day later or on the same day, a little further
    /// on.
    fn goes_on_from(&self, carried: &Carried) -> bool {
        let days = i64::from(self.task.today) - i64::from(carried.day);
        let passed = carried.answers * days as f64 / self.capacity.len().max(1) as f64;
        let left = carried.answers - passed;
        (0..=1).contains(&days)
            && carried.patterns == self.items.len()
            && (self.answers_in_all() - left).abs() <= 0.1 * left
    }

    /// Yesterday's prices moved to today's steps.
    fn shifted(&self, carried: &Carried) -> Vec<f64> {
        let mean = self.mean_weight();
        let moved = i64::from(self.task.today) - i64::from(carried.day);
        let moved = usize::try_from(moved / i64::from(self.stride)).unwrap_or(0);
        (0..self.capacity.len())
            .map(|step| {
                let old = carried.prices.get(step + moved).or(carried.prices.last());
                mean * old.copied().unwrap_or(USUAL_PRICE)
            })
            .collect()
    }

    fn mean_weight(&self) -> f64 {
        let sum: f64 = self.events.iter().flat_map(|event| &event.weights).sum();
        (sum / self.items.len().max(1) as f64).max(1e-12)
    }

    fn board(&self, coarseness: u32) -> Board {
        let stride = self.stride * coarseness;
        let held = |state| Held::from_state(state, 0.0);
        let (capacity, keeps): (Vec<f64>, Vec<f64>) =
            self.days.chunks(stride as usize).map(joined).unzip();
        let last = self.events.last().map_or(0, |event| event.days);
        let is_late = |step: u32| last - step * stride <= LATE_DAYS;
        let steps = 0..last.div_ceil(stride);
        let late_new = self.task.habits.late_new;
        Board {
            stride,
            capacity,
            keeps,
            counts_new: steps.map(|step| if is_late(step) { late_new } else { 1.0 }).collect(),
            events: self.events.iter().map(|event| event.days).collect(),
            first: Results {
                chance: self.task.habits.first_right,
                right: held(self.model.after(None, Grade::InTime, 0)),
                repaired: held(self.model.after_repair(None, 0)),
            },
        }
    }

    fn seats(&self) -> Vec<Seat> {
        let seat = |(n, item): (usize, &Item)| Seat {
            weights: self.events.iter().map(|event| event.weights[n]).collect(),
            memory: item.memory.map(|(state, last)| {
                Held::from_state(state, -f64::from(days_between(last, self.task.today)))
            }),
        };
        self.items.iter().enumerate().map(seat).collect()
    }

    fn pricer(&self, coarseness: u32) -> Pricer {
        Pricer::new(self.board(coarseness), &self.seats())
    }

    /// Prices found on a board with steps twice as long, a quarter of the work, then refined.
    fn priced_from_nothing(&self) -> Priced {
        let steps = self.capacity.len();
        if steps < LEAST_STEPS_TO_COARSEN {
            return self.pricer(1).solve(None, rounds_from_nothing(steps));
        }
        let coarse = self.pricer(2).solve(None, rounds_from_nothing(steps.div_ceil(2))).prices;
        let start = (0..steps).map(|step| coarse[step / 2]).collect();
        self.pricer(1).solve(Some(start), rounds_again(steps).max(ROUNDS_CHANGED))
    }

    fn pick(&self, n: usize) -> Pick {
        let (item, today) = (&self.items[n], self.task.today);
        let (on, first_right) = (f64::from(self.last_event), self.task.habits.first_right);
        Pick {
            index: item.index,
            recall_now: item.recall_on(self.model, f64::from(today)),
            gain: gain(self.model, item, today, on, first_right),
            is_new: item.memory.is_none(),
        }
    }

    /// Today's list: what is worth something today, most first, so that a list cut short loses the
    /// least.
    fn list(&self, worths: &[f64]) -> Vec<Pick> {
        let mut order: Vec<usize> = (0..worths.len()).filter(|&n| worths[n] > 0.0).collect();
        order.sort_by(|&a, &b| worths[b].total_cmp(&worths[a]));
        self.task.budget(0).filled_from(order.iter().map(|&n| self.pick(n)))
    }

    /// The plan by prices.
    fn by_prices(&self, priced: &Priced) -> Plan {
        let today = self.list(&priced.worths);
        let chosen: BTreeSet<usize> = today.iter().map(|p| p.index).collect();
        let items = self.items.iter().zip(&priced.worths);
        let lost: f64 = items
            .filter(|(item, _)| chosen.contains(&item.index))
            .map(|(_, worth)| worth.max(0.0))
            .sum();
        let mean = self.mean_weight();
        let answers = priced.demand.iter().zip(&self.capacity).map(|(d, c)| d.min(*c));
        let prices = priced.prices.iter().map(|p| p / mean).collect();
        self.in_days(today, answers, [priced.value, priced.value - lost], prices)
    }

    /// The plan of a small set.
    fn searched(&self) -> Plan {
        let mut board = self.board(1);
        // A list that may end early is shown whole.
        board.capacity[0] = self.task.budget(0).answers();
        let (best, without_today) = search::search(&board, &self.seats());
        let plans = best.steps.iter().enumerate();
        let on = |step: usize| plans.clone().filter(move |(_, steps)| *steps >> step & 1 == 1);
        let today = self.list(&best.worths);
        let answers = (0..self.capacity.len()).map(|step| on(step).count() as f64);
        self.in_days(today, answers, [best.value, without_today], Vec::new())
    }

    /// A plan in steps as one in days: its value, and its value without today's answers.
    fn in_days(
        &self,
        today: Vec<Pick>,
        answers: impl Iterator<Item = f64>,
        [value, without_today]: [f64; 2],
        prices: Vec<f64>,
    ) -> Plan {
        let day_of = |step: usize| {
            let ahead = u32::try_from(step).unwrap_or(u32::MAX).saturating_mul(self.stride);
            self.task.today.saturating_add_unsigned(ahead)
        };
        let ahead = answers.enumerate();
        Plan {
            today,
            ahead: ahead.map(|(step, answers)| DayAhead { day: day_of(step), answers }).collect(),
            with: self.share(value),
            without_today: self.share(without_today),
            without: self.without(),
            carried: Carried {
                day: self.task.today,
                until: self.last_event,
                stride: self.stride,
                patterns: self.items.len(),
                answers: self.answers_in_all(),
                prices,
            },
        }
    }

    /// A value as a share; the spread is that of the share really recalled, all recalls alike.
    fn share(&self, value: f64) -> RecallShare {
        let whole = self.mean_weight() * self.items.len() as f64;
        let expected = (value / whole).clamp(0.0, 1.0);
        let (mut sum, mut square) = (0.0, 0.0);
        for n in 0..self.items.len() {
            let weight: f64 = self.events.iter().map(|event| event.weights[n]).sum();
            sum += weight;
            square += weight * weight;
        }
        let spread =
            if sum > 0.0 { (square * expected * (1.0 - expected)).sqrt() / sum } else { 0.0 };
        RecallShare { expected, spread }
    }

    fn without(&self) -> RecallShare {
        RecallShare::from_recalls(self.events.iter().flat_map(|event| {
            let day = f64::from(self.task.today) + f64::from(event.days);
            let recall = move |item: &Item| item.recall_on(self.model, day);
            event.weights.iter().copied().zip(self.items.iter().map(recall))
        }))
    }
}
