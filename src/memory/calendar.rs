//! The match-day calendar: which patterns to answer today so that the weighted share recalled at
//! the event, or at several competing ones, is as high as the budget allows.
//!
//! Re-solved every day from where the player really is. Two ways, chosen here: a small set is
//! searched ([`super::search`]); otherwise days are priced ([`super::priced`]). Yesterday's
//! [`Carried`] prices make today's start warm.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::board::{Board, Held, Results, Seat};
use super::daily::{Pick, gain};
use super::door::{Model, days_between};
use super::forecast::{Item, RecallShare};
use super::priced::{Priced, Pricer};
use super::result::Grade;
use super::search;
use super::task::Task;

/// The most steps a plan has; a later event is planned in steps of several days.
const MOST_STEPS: u32 = 60;
/// Rounds of moving prices from nothing, and then from a coarser plan's.
const ROUNDS_COLD: usize = 12;
const ROUNDS_REFINED: usize = 4;
/// Shorter plans are not worth a coarse beginning.
const LEAST_STEPS_TO_COARSEN: usize = 16;
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
    /// How many patterns there were, and how many answers all steps held.
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
    /// The day of each item's next answer as planned now, in the order of the items.
    pub next: Vec<Option<i32>>,
    /// How many answers each day ahead is expected to take, today first.
    pub ahead: Vec<DayAhead>,
    /// The share recalled at the events if the plan is followed.
    pub with: RecallShare,
    /// The same if nothing is done today, but the plan is followed from tomorrow on.
    pub without_today: RecallShare,
    /// The same if nothing is done any more.
    pub without: RecallShare,
    /// Untried patterns that would only be begun in the last days and are left out.
    pub left_out: Vec<usize>,
    /// For tomorrow's plan.
    pub carried: Carried,
}

/// Plans today and the days ahead; `None` when no event lies ahead, or weights or budgets are none.
pub fn plan(model: &Model, items: &[Item], task: &Task, carried: Option<&Carried>) -> Option<Plan> {
    let view = View::new(model, items, task)?;
    if search::is_small(items.len(), view.capacity.len(), view.answers_in_all()) {
        return Some(view.searched());
    }
    let warm = carried
        .filter(|c| c.until == view.last_event && c.stride == view.stride && !c.prices.is_empty());
    let priced = match warm {
        Some(carried) if view.goes_on_from(carried) => {
            view.pricer(1).carry_on(view.shifted(carried))
        }
        // Days were missed, opponents came or minutes changed: prices must follow.
        Some(carried) => view.pricer(1).solve(Some(view.shifted(carried)), ROUNDS_REFINED),
        None => view.priced_from_nothing(),
    };
    Some(view.by_prices(&priced))
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
    /// Answers in each step.
    capacity: Vec<f64>,
    open_for_new: Vec<bool>,
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
        let steps = 0..last.div_ceil(stride);
        let kept = |day: u32| if day == 0 { 1.0 } else { task.habits.days_kept };
        let capacity = steps.clone().map(|step| {
            let days = step * stride..((step + 1) * stride).min(last);
            days.map(|day| kept(day) * task.budget(day).answers()).sum()
        });
        let is_open = |step: u32| {
            let left = last - step * stride;
            left > task.habits.nothing_new_days
        };
        Some(Self {
            model,
            items,
            task,
            last_event: task.today.saturating_add_unsigned(last),
            stride,
            capacity: capacity.collect(),
            open_for_new: steps.map(is_open).collect(),
            events,
        })
    }

    fn answers_in_all(&self) -> f64 {
        self.capacity.iter().sum()
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
        let wide = coarseness as usize;
        let held = |state| Held::from_state(state, 0.0);
        Board {
            stride: self.stride * coarseness,
            capacity: self.capacity.chunks(wide).map(|days| days.iter().sum()).collect(),
            events: self.events.iter().map(|event| event.days).collect(),
            open_for_new: self.open_for_new.iter().step_by(wide).copied().collect(),
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
        if self.capacity.len() < LEAST_STEPS_TO_COARSEN {
            return self.pricer(1).solve(None, ROUNDS_COLD);
        }
        let coarse = self.pricer(2).solve(None, ROUNDS_COLD).prices;
        let start = (0..self.capacity.len()).map(|step| coarse[step / 2]).collect();
        self.pricer(1).solve(Some(start), ROUNDS_REFINED)
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

    /// The plan by prices.
    fn by_prices(&self, priced: &Priced) -> Plan {
        let worth = |n: usize| priced.worths[n].today;
        let mut order: Vec<usize> = (0..self.items.len()).filter(|&n| worth(n) > 0.0).collect();
        order.sort_by(|&a, &b| worth(b).total_cmp(&worth(a)));
        let today = self.task.budget(0).filled_from(order.iter().map(|&n| self.pick(n)));
        let chosen: BTreeSet<usize> = today.iter().map(|p| p.index).collect();
        let is_chosen = |n: usize| chosen.contains(&self.items[n].index);
        let lost: f64 =
            (0..self.items.len()).filter(|&n| is_chosen(n)).map(|n| worth(n).max(0.0)).sum();
        let mean = self.mean_weight();
        let next = |n: usize| match priced.worths[n].next {
            _ if is_chosen(n) => Some(0),
            next => next.map(|step| step.max(1)),
        };
        self.in_days(&PlanInSteps {
            next: (0..self.items.len()).map(next).collect(),
            today,
            answers: priced.demand.iter().zip(&self.capacity).map(|(d, c)| d.min(*c)).collect(),
            value: priced.value,
            value_without_today: priced.value - lost,
            prices: priced.prices.iter().map(|p| p / mean).collect(),
        })
    }

    /// The plan of a small set.
    fn searched(&self) -> Plan {
        let (mut board, seats) = (self.board(1), self.seats());
        let best = search::search_through_today(&board, &seats);
        board.capacity[0] = 0.0;
        let rest = search::search(&board, &seats);
        let is_on = |n: usize, step: usize| best.steps[n] >> step & 1 == 1;
        let first = |&steps: &u64| (steps != 0).then(|| steps.trailing_zeros() as usize);
        let wanted = |step: usize| (0..seats.len()).filter(|&n| is_on(n, step)).count() as f64;
        let picks = (0..seats.len()).filter(|&n| is_on(n, 0)).map(|n| self.pick(n));
        self.in_days(&PlanInSteps {
            today: self.task.budget(0).filled_from(picks),
            next: best.steps.iter().map(first).collect(),
            answers: (0..self.capacity.len()).map(wanted).collect(),
            value: best.value,
            value_without_today: rest.value,
            prices: Vec::new(),
        })
    }

    /// A plan in steps as one in days.
    fn in_days(&self, solved: &PlanInSteps) -> Plan {
        let day_of = |step: usize| {
            let ahead = u32::try_from(step).unwrap_or(u32::MAX).saturating_mul(self.stride);
            self.task.today.saturating_add_unsigned(ahead)
        };
        let ahead = solved.answers.iter().enumerate();
        Plan {
            today: solved.today.clone(),
            next: solved.next.iter().map(|step| step.map(day_of)).collect(),
            ahead: ahead.map(|(step, &answers)| DayAhead { day: day_of(step), answers }).collect(),
            with: self.share(solved.value),
            without_today: self.share(solved.value_without_today),
            without: self.without(),
            left_out: self.left_out(),
            carried: Carried {
                day: self.task.today,
                until: self.last_event,
                stride: self.stride,
                patterns: self.items.len(),
                answers: self.answers_in_all(),
                prices: solved.prices.clone(),
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

    fn left_out(&self) -> Vec<usize> {
        if self.open_for_new.first().copied().unwrap_or(false) {
            return Vec::new();
        }
        self.items.iter().filter(|item| item.memory.is_none()).map(|item| item.index).collect()
    }
}

/// A plan in steps.
struct PlanInSteps {
    today: Vec<Pick>,
    next: Vec<Option<usize>>,
    answers: Vec<f64>,
    value: f64,
    value_without_today: f64,
    prices: Vec<f64>,
}
