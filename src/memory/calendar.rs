//! The match-day calendar: which patterns to answer today so that the weighted share recalled at
//! the event, or at several competing ones, is as high as the budget allows.
//!
//! Re-solved every day from where the player really is. Two ways, chosen here: a small set is
//! searched ([`super::search`]); otherwise days are priced ([`super::priced`]). Yesterday's
//! [`Carried`] prices make today's start warm.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::daily::{Pick, gain};
use super::door::{MemoryError, Model, within};
use super::forecast::{Item, Share, check_weights};
use super::placed::Seat;
use super::priced::{Board, Priced, Pricer};
use super::result::Grade;
use super::search;
use super::task::Task;
use crate::base::order::largest_first;

/// The most steps a plan has; a later event is planned in steps of several days.
const MOST_STEPS: u32 = 60;
/// Rounds of moving prices from nothing, and then from a coarser plan's.
const ROUNDS_COLD: usize = 12;
const ROUNDS_REFINED: usize = 4;
/// Shorter plans are not worth a coarse beginning.
const LEAST_STEPS_TO_COARSEN: usize = 16;

/// How the plan was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// Every day's schedule searched directly.
    Searched,
    /// Days priced.
    Priced,
}

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
    /// The price of an answer in each step, per unit of mean weight.
    prices: Vec<f64>,
    /// How the plan was made.
    way: Way,
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
    pub with: Share,
    /// The same if nothing is done today, but the plan is followed from tomorrow on.
    pub without_today: Share,
    /// The same if nothing is done any more.
    pub without: Share,
    /// Untried patterns that would only be begun in the last days: left out, to be told.
    pub left_out: Vec<usize>,
    /// How the plan was made.
    pub way: Way,
    /// For tomorrow's plan.
    pub carried: Carried,
}

/// Plans today and the days ahead.
///
/// # Errors
/// [`MemoryError::OutOfRange`] for bad weights, budgets or habits, for an event with another
/// number of weights than items, and when no event lies ahead.
pub fn plan(
    model: &Model,
    items: &[Item],
    task: &Task,
    carried: Option<&Carried>,
) -> Result<Plan, MemoryError> {
    let view = View::new(model, items, task)?;
    if search::is_small(items.len(), view.capacity.len(), view.answers_in_all()) {
        return view.searched();
    }
    let warm = carried
        .filter(|c| c.until == view.last_event && c.stride == view.stride && !c.prices.is_empty());
    let priced = match warm {
        Some(carried) if view.goes_on_from(carried) => {
            view.pricer(1)?.carry_on(view.shifted(carried))
        }
        // Days were missed, opponents came or minutes changed: prices must follow.
        Some(carried) => view.pricer(1)?.solve(Some(view.shifted(carried)), ROUNDS_REFINED),
        None => view.priced_from_nothing()?,
    };
    view.by_prices(&priced)
}

/// The task with everything derived from it.
struct View<'a> {
    model: &'a Model,
    items: &'a [Item],
    task: &'a Task,
    /// For each event ahead: days from today, and weights with the floor under them.
    events: Vec<(u32, Vec<f64>)>,
    last_event: i32,
    stride: u32,
    /// Answers in each step.
    capacity: Vec<f64>,
    open_for_new: Vec<bool>,
}

impl<'a> View<'a> {
    fn new(model: &'a Model, items: &'a [Item], task: &'a Task) -> Result<Self, MemoryError> {
        check_weights(items)?;
        task.habits.check()?;
        task.budgets.iter().try_for_each(|b| b.check())?;
        let mut events = Vec::new();
        for event in task.events.iter().filter(|e| e.day > task.today) {
            within(
                "number of weights at the event",
                event.weights.len() as f64,
                "",
                (items.len() as f64, items.len() as f64),
            )?;
            for &weight in &event.weights {
                within("weight", weight, "", (0.0, 1e6))?;
            }
            let mean = event.weights.iter().sum::<f64>() / items.len().max(1) as f64;
            let least = task.habits.floor * mean;
            let weights = event.weights.iter().map(|w| w.max(least)).collect();
            events.push((super::counted::days_between(task.today, event.day)?, weights));
        }
        events.sort_by_key(|(ahead, _)| *ahead);
        let Some(&(last, _)) = events.last() else {
            let day = task.events.iter().map(|e| e.day).max().unwrap_or(task.today);
            return Err(MemoryError::DayBefore { given: day, known: task.today });
        };
        within("days until the event", f64::from(last), "", (1.0, 3650.0))?;
        let stride = last.div_ceil(MOST_STEPS);
        let steps = last.div_ceil(stride);
        let capacity = (0..steps)
            .map(|step| {
                (step * stride..((step + 1) * stride).min(last))
                    .map(|day| {
                        let kept = if day == 0 { 1.0 } else { task.habits.days_kept };
                        kept * task.budget(day).answers()
                    })
                    .sum()
            })
            .collect();
        let open_for_new = (0..steps)
            .map(|step| {
                events.iter().any(|(e, _)| {
                    *e > step * stride && e - step * stride > task.habits.nothing_new_days
                })
            })
            .collect();
        let last_event = task.today.saturating_add_unsigned(last);
        Ok(Self { model, items, task, events, last_event, stride, capacity, open_for_new })
    }

    fn answers_in_all(&self) -> f64 {
        self.capacity.iter().sum()
    }

    /// Whether this is the question of `carried` a day later or on the same day, a little further on.
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
                mean * old.copied().unwrap_or(0.15)
            })
            .collect()
    }

    fn mean_weight(&self) -> f64 {
        let sum: f64 = self.events.iter().flat_map(|(_, w)| w).sum();
        (sum / self.items.len().max(1) as f64).max(1e-12)
    }

    fn board(&self, coarseness: u32) -> Result<Board, MemoryError> {
        let wide = coarseness as usize;
        Ok(Board {
            stride: self.stride * coarseness,
            capacity: self.capacity.chunks(wide).map(|days| days.iter().sum()).collect(),
            events: self.events.iter().map(|(ahead, _)| *ahead).collect(),
            open_for_new: self.open_for_new.iter().step_by(wide).copied().collect(),
            first_right: self.task.habits.first_right,
            first_states: (
                self.model.after(None, Grade::InTime, 0)?,
                self.model.after_repair(None, 0)?,
            ),
        })
    }

    fn seats(&self) -> Result<Vec<Seat>, MemoryError> {
        self.items
            .iter()
            .enumerate()
            .map(|(n, item)| {
                let memory = item
                    .memory
                    .map(|(state, last)| {
                        super::counted::days_between(last, self.task.today).map(|ago| (state, ago))
                    })
                    .transpose()?;
                Ok(Seat { weights: self.events.iter().map(|(_, w)| w[n]).collect(), memory })
            })
            .collect()
    }

    fn pricer(&self, coarseness: u32) -> Result<Pricer, MemoryError> {
        Ok(Pricer::new(self.board(coarseness)?, &self.seats()?))
    }

    /// Prices found on a board with steps twice as long, a quarter of the work, then refined.
    fn priced_from_nothing(&self) -> Result<Priced, MemoryError> {
        if self.capacity.len() < LEAST_STEPS_TO_COARSEN {
            return Ok(self.pricer(1)?.solve(None, ROUNDS_COLD));
        }
        let coarse = self.pricer(2)?.solve(None, ROUNDS_COLD).prices;
        let start = (0..self.capacity.len()).map(|step| coarse[step / 2]).collect();
        Ok(self.pricer(1)?.solve(Some(start), ROUNDS_REFINED))
    }

    fn pick(&self, n: usize) -> Result<Pick, MemoryError> {
        let item = &self.items[n];
        let today = self.task.today;
        Ok(Pick {
            index: item.index,
            recall_now: item.recall_on(self.model, f64::from(today))?,
            gain: gain(
                self.model,
                item,
                today,
                f64::from(self.last_event),
                self.task.habits.first_right,
            )?,
            is_new: item.memory.is_none(),
        })
    }

    /// The plan by prices.
    fn by_prices(&self, priced: &Priced) -> Result<Plan, MemoryError> {
        let mut order: Vec<usize> =
            (0..self.items.len()).filter(|&n| priced.worths[n].today > 0.0).collect();
        largest_first(&mut order, |&n| priced.worths[n].today);
        let today = self.task.budget(0).filled_from(order.iter().map(|&n| self.pick(n)))?;
        let chosen: BTreeSet<usize> = today.iter().map(|p| p.index).collect();
        let lost: f64 = (0..self.items.len())
            .filter(|&n| chosen.contains(&self.items[n].index))
            .map(|n| priced.worths[n].today.max(0.0))
            .sum();
        let mean = self.mean_weight();
        let next = (0..self.items.len())
            .map(|n| match priced.worths[n].next {
                _ if chosen.contains(&self.items[n].index) => Some(0),
                next => next.map(|step| step.max(1)),
            })
            .collect();
        self.finish(Solved {
            today,
            next,
            answers: priced.demand.iter().zip(&self.capacity).map(|(d, c)| d.min(*c)).collect(),
            value: priced.value,
            value_without_today: priced.value - lost,
            prices: priced.prices.iter().map(|p| p / mean).collect(),
            way: Way::Priced,
        })
    }

    /// The plan of a small set.
    fn searched(&self) -> Result<Plan, MemoryError> {
        let (mut board, seats) = (self.board(1)?, self.seats()?);
        let best = search::search_through_today(&board, &seats);
        board.capacity[0] = 0.0;
        let rest = search::search(&board, &seats);
        let today = self.task.budget(0).filled_from(
            (0..seats.len()).filter(|&n| best.steps[n] & 1 == 1).map(|n| self.pick(n)),
        )?;
        let next = best
            .steps
            .iter()
            .map(|&steps| (steps != 0).then(|| steps.trailing_zeros() as usize))
            .collect();
        let answers = (0..self.capacity.len())
            .map(|step| best.steps.iter().filter(|&&s| s >> step & 1 == 1).count() as f64)
            .collect();
        self.finish(Solved {
            today,
            next,
            answers,
            value: best.value,
            value_without_today: rest.value,
            prices: Vec::new(),
            way: Way::Searched,
        })
    }

    fn finish(&self, solved: Solved) -> Result<Plan, MemoryError> {
        let day_of = |step: usize| {
            let ahead = u32::try_from(step).unwrap_or(u32::MAX).saturating_mul(self.stride);
            self.task.today.saturating_add_unsigned(ahead)
        };
        let whole = self.mean_weight() * self.items.len() as f64;
        let share = |value: f64| {
            let expected = (value / whole).clamp(0.0, 1.0);
            Share { expected, spread: self.spread(expected) }
        };
        Ok(Plan {
            today: solved.today,
            next: solved.next.into_iter().map(|step| step.map(day_of)).collect(),
            ahead: solved
                .answers
                .iter()
                .enumerate()
                .map(|(step, &answers)| DayAhead { day: day_of(step), answers })
                .collect(),
            with: share(solved.value),
            without_today: share(solved.value_without_today),
            without: self.without()?,
            left_out: self.left_out(),
            way: solved.way,
            carried: Carried {
                day: self.task.today,
                until: self.last_event,
                stride: self.stride,
                patterns: self.items.len(),
                answers: self.answers_in_all(),
                prices: solved.prices,
                way: solved.way,
            },
        })
    }

    /// The spread of the share really recalled when its expectation is `share`, all recalls alike.
    fn spread(&self, share: f64) -> f64 {
        let (mut sum, mut square) = (0.0, 0.0);
        for n in 0..self.items.len() {
            let weight: f64 = self.events.iter().map(|(_, w)| w[n]).sum();
            sum += weight;
            square += weight * weight;
        }
        if sum > 0.0 { (square * share * (1.0 - share)).sqrt() / sum } else { 0.0 }
    }

    fn without(&self) -> Result<Share, MemoryError> {
        let mut pairs = Vec::new();
        for (ahead, weights) in &self.events {
            let day = f64::from(self.task.today) + f64::from(*ahead);
            for (item, weight) in self.items.iter().zip(weights) {
                pairs.push((*weight, item.recall_on(self.model, day)?));
            }
        }
        Ok(Share::from_recalls(pairs))
    }

    fn left_out(&self) -> Vec<usize> {
        if self.open_for_new.first().copied().unwrap_or(false) {
            return Vec::new();
        }
        self.items.iter().filter(|i| i.memory.is_none()).map(|i| i.index).collect()
    }
}

/// A plan in steps, before it is told in days.
struct Solved {
    today: Vec<Pick>,
    next: Vec<Option<usize>>,
    answers: Vec<f64>,
    value: f64,
    value_without_today: f64,
    prices: Vec<f64>,
    way: Way,
}
