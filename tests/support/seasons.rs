//! Simulated players, invented sets of patterns, and rules to be beaten: the test bench of the
//! calendar.
//!
//! A player has a truth of their own; the planner sees only right and wrong, and keeps its own
//! [`MemoryState`] from that. Kinds: the model's own; one who forgets faster than the model thinks;
//! one with an own speed for every pattern; one who forgets along an exponential; and one of another
//! law altogether, an activation power law in which other answers interfere. Any of them may miss
//! days and end lists early. Nothing here is a fact about people.

use secondball::base::Dice;
use secondball::memory::{
    EventWeights, Grade, Habits, Item, MemoryState, Model, Pick, Regularity, days_between, gain,
};

/// What a simulated player is like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Player {
    /// Recalls exactly as the model says.
    ModelsOwn,
    /// Time runs one and a half times as fast for this one's memory.
    ForgetsFaster,
    /// Time runs at another speed for every pattern, log-normal with sigma .5.
    EachItsOwn,
    /// Recall falls exponentially, to nine tenths after as many days as the model says.
    Exponential,
    /// Recall follows an activation power law of all past answers, and other answers interfere.
    PowerLaw,
}

impl Player {
    /// All kinds.
    pub const ALL: [Self; 5] =
        [Self::ModelsOwn, Self::ForgetsFaster, Self::EachItsOwn, Self::Exponential, Self::PowerLaw];

    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::ModelsOwn => "the model's own kind",
            Self::ForgetsFaster => "forgets faster",
            Self::EachItsOwn => "each at its own speed",
            Self::Exponential => "exponential",
            Self::PowerLaw => "activation power law",
        }
    }
}

/// Days before the event on which rivals begin nothing new under the rule.
const LATE_DAYS: i32 = 2;
/// How much faster time runs for [`Player::ForgetsFaster`].
const FASTER: f64 = 1.5;
/// How much speeds differ for [`Player::EachItsOwn`].
const SIGMA: f64 = 0.5;

/// One pattern's truth in a player's head.
#[derive(Debug, Clone, Default)]
struct Truth {
    /// Days of past answers, for the power law.
    answered: Vec<f64>,
    /// All the player's answers when this pattern was last answered.
    others: usize,
    /// How fast time runs.
    speed: f64,
}

/// A season: a player, patterns, and a day after day that a planner fills.
#[derive(Debug)]
pub struct Season {
    /// The patterns as the planner knows them.
    pub items: Vec<Item>,
    player: Player,
    truths: Vec<Truth>,
    model: Model,
    dice: Dice,
    /// Missed days come from a stream of their own, so that two planners meet the same ones.
    absences: Dice,
    /// Chance of a missed day, and the share of a list that is answered.
    pub misses: f64,
    pub does: f64,
    /// What the planner may learn of both.
    pub record: Regularity,
    first_right: f64,
    all_answers: usize,
    /// Counted answers so far.
    pub answers: usize,
    /// Repairs so far.
    pub repairs: usize,
}

impl Season {
    /// A season of this player with these patterns.
    pub fn new(player: Player, items: Vec<Item>, habits: &Habits, mut dice: Dice) -> Self {
        let absences = Dice::from_seed(dice.bits());
        let mut speeds = Dice::from_seed(dice.bits());
        let mut speed = || match player {
            Player::ForgetsFaster => FASTER,
            Player::EachItsOwn => (SIGMA * speeds.normal()).exp(),
            _ => 1.0,
        };
        let truths = items
            .iter()
            .map(|item| {
                // A known pattern enters the power law with the more past answers the stabler it
                // is.
                let answered = item.memory.map_or_else(Vec::new, |(state, last)| {
                    let more = (f64::from(state.stability_days()) / 3.0).ln().max(0.0);
                    (0..8)
                        .map(f64::from)
                        .filter(|k| *k <= more)
                        .map(|k| f64::from(last) - 2.0 * k)
                        .collect()
                });
                Truth { answered, others: 0, speed: speed() }
            })
            .collect();
        Self {
            items,
            player,
            truths,
            model: Model::default(),
            dice,
            absences,
            misses: 0.0,
            does: 1.0,
            record: Regularity::default(),
            first_right: habits.first_right,
            all_answers: 0,
            answers: 0,
            repairs: 0,
        }
    }

    /// The player's true recall of the pattern at place `n` on `day`; 0 while untried.
    pub fn recall(&self, n: usize, day: f64) -> f64 {
        let Some((state, last)) = self.items[n].memory else { return 0.0 };
        let days = (day - f64::from(last)).max(0.0);
        match self.player {
            Player::ModelsOwn | Player::ForgetsFaster | Player::EachItsOwn => {
                self.model.recall(state, self.truths[n].speed * days)
            }
            Player::Exponential => 0.9_f64.powf(days / f64::from(state.stability_days())),
            Player::PowerLaw => {
                // m = ln sum_j (t - t_j)^-d, less what was answered in between; recall is logistic
                // in it. The form is that of Pavlik & Anderson 2008; the numbers are invented.
                let strength: f64 = self.truths[n]
                    .answered
                    .iter()
                    .map(|&at| (day - at).max(0.25).powf(-0.35))
                    .sum::<f64>()
                    .max(1e-9)
                    .ln();
                let between = (self.all_answers - self.truths[n].others) as f64;
                let interference = 0.10 * (1.0 + between / 20.0).ln();
                1.0 / (1.0 + (-(strength - interference + 0.9) / 0.35).exp())
            }
        }
    }

    /// The player answers the pattern at place `n` on `day`; wrong answers are repaired at once.
    pub fn answer(&mut self, n: usize, day: i32) -> bool {
        let chance = match self.items[n].memory {
            None => self.first_right,
            Some(_) => self.recall(n, f64::from(day)),
        };
        let right = self.dice.chance(chance);
        let (before, gap) = match self.items[n].memory {
            None => (None, 0),
            Some((state, last)) => (Some(state), days_between(last, day)),
        };
        let after = if right {
            self.model.after(before, Grade::InTime, gap)
        } else {
            self.repairs += 1;
            self.model.after_repair(before, gap)
        };
        self.items[n].memory = Some((after, day));
        self.answers += 1;
        self.all_answers += 1;
        self.truths[n].answered.push(f64::from(day));
        self.truths[n].others = self.all_answers;
        right
    }

    /// The weighted share truly recalled on `day`, and every recall in the order of the items.
    pub fn share(&self, day: f64) -> (f64, Vec<f64>) {
        let recalls: Vec<f64> = (0..self.items.len()).map(|n| self.recall(n, day)).collect();
        let whole: f64 = self.items.iter().map(|i| i.weight).sum();
        let share: f64 = self.items.iter().zip(&recalls).map(|(i, r)| i.weight * r).sum();
        (share / whole.max(1e-300), recalls)
    }

    /// Plays from day 0 to the day before `event`, each day asking `planner` for the places to
    /// answer, and gives the weighted share recalled on the event's day.
    pub fn play(
        &mut self,
        event: i32,
        mut planner: impl FnMut(i32, &[Item], &Regularity) -> Vec<usize>,
    ) -> f64 {
        for day in 0..event {
            if !self.absences.chance(self.misses) {
                let mut list = planner(day, &self.items, &self.record);
                let whole = list.len() as f64;
                list.truncate((whole * self.does).round() as usize);
                self.record.lists_begun += u32::from(!list.is_empty());
                self.record.shares_done += list.len() as f64 / whole.max(1.0);
                self.record.days_practised += 1;
                for n in list {
                    self.answer(n, day);
                }
            }
            self.record.days_asked += 1;
        }
        self.share(f64::from(event)).0
    }
}

/// An invented set of `n` patterns on day 0, indexed by place.
///
/// Made so that fixed thresholds score on it as in an earlier prototype's table: 37 % are untried;
/// stability is log-normal (median 4.2 days, sigma 1), difficulty uniform from 3 to 7, the last
/// answer lies one day and up to 1.8 stabilities back, and weights are exponential.
pub fn invented_patterns(n: usize, dice: &mut Dice) -> Vec<Item> {
    (0..n)
        .map(|index| {
            let stability = (4.2_f64.ln() + dice.normal()).exp().clamp(0.1, 300.0);
            let difficulty = 3.0 + 4.0 * dice.unit();
            let back = 1.0 + (1.8 * stability * dice.unit()).floor();
            let weight = -(1.0 - dice.unit()).ln();
            let untried = dice.chance(0.37);
            let state = MemoryState::new(stability as f32, difficulty as f32).unwrap();
            let last = -(back.min(10_000.0) as i32);
            Item { index, weight, memory: (!untried).then_some((state, last)) }
        })
        .collect()
}

/// The rule of thumb to be beaten: answer what has fallen below `threshold`, known patterns by
/// weight, then untried ones by weight, and fill the day with the weakest of the rest.
pub fn threshold_list(
    model: &Model,
    items: &[Item],
    today: i32,
    threshold: f64,
    budget: usize,
) -> Vec<usize> {
    let mut ranked = Vec::with_capacity(items.len());
    for (place, item) in items.iter().enumerate() {
        let recall = item.recall_on(model, f64::from(today));
        let rank = if item.is_answered_on(today) {
            continue;
        } else if item.memory.is_none() {
            (1, -item.weight)
        } else if recall < threshold {
            (0, -item.weight)
        } else {
            (2, recall)
        };
        ranked.push((rank, place));
    }
    ranked.sort_by(|(a, _): &((i32, f64), usize), (b, _)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    ranked.truncate(budget);
    ranked.into_iter().map(|(_, place)| place).collect()
}

/// The places of picks whose index is their place.
pub fn places(picks: &[Pick]) -> Vec<usize> {
    picks.iter().map(|p| p.index).collect()
}

/// An event at which each item counts with its own weight.
pub fn event_on(day: i32, items: &[Item]) -> EventWeights {
    EventWeights { day, weights: items.iter().map(|item| item.weight).collect() }
}

/// Going round, at most `budget` answers: untried patterns first, then what was answered longest ago;
/// of those alike the weightiest first. Under the rule nothing new is begun in the last two days.
pub fn round_list(
    items: &[Item],
    today: i32,
    event: i32,
    budget: usize,
    habits: &Habits,
) -> Vec<usize> {
    let is_open = event - today > LATE_DAYS || habits.late_new >= 1.0;
    let due =
        |item: &Item| if item.memory.is_none() { is_open } else { !item.is_answered_on(today) };
    let mut places: Vec<usize> = (0..items.len()).filter(|&n| due(&items[n])).collect();
    let last = |n: usize| items[n].memory.map_or(i32::MIN, |(_, last)| last);
    places
        .sort_by(|&a, &b| last(a).cmp(&last(b)).then(items[b].weight.total_cmp(&items[a].weight)));
    places.truncate(budget);
    places
}

/// The list towards an event on day `event`, by the greedy rule, at most `budget` answers: weight x
/// (gain at the event if answered now) x sqrt(1 - recall now), best first, as long as there is a
/// gain. No weight counts for less than the habits' share of the mean, and under the rule nothing new
/// is begun in the last two days.
pub fn greedy_list(
    model: &Model,
    items: &[Item],
    today: i32,
    event: i32,
    budget: usize,
    habits: &Habits,
) -> Vec<Pick> {
    let closed = event - today <= LATE_DAYS && habits.late_new < 1.0;
    let mean = items.iter().map(|item| item.weight).sum::<f64>() / items.len().max(1) as f64;
    let mut scored = Vec::new();
    for item in items {
        let is_new = item.memory.is_none();
        if item.is_answered_on(today) || (is_new && closed) {
            continue;
        }
        let recall_now = item.recall_on(model, f64::from(today));
        let gain = gain(model, item, today, f64::from(event), habits.first_right);
        if gain > 0.0 {
            let weight = item.weight.max(habits.floor * mean);
            let pick = Pick { index: item.index, recall_now, gain, is_new };
            scored.push((weight * gain * (1.0 - recall_now).sqrt(), pick));
        }
    }
    scored.sort_by(|a, b| b.0.total_cmp(&a.0));
    scored.into_iter().take(budget).map(|(_, pick)| pick).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known(index: usize, weight: f64, stability: f32, last: i32) -> Item {
        Item { index, weight, memory: Some((MemoryState::new(stability, 5.0).unwrap(), last)) }
    }

    fn greedy(items: &[Item], today: i32, budget: usize, habits: &Habits) -> Vec<usize> {
        places(&greedy_list(&Model::default(), items, today, 10, budget, habits))
    }

    #[test]
    fn greedy_does_not_ask_again_what_was_answered_today() {
        assert!(greedy(&[known(0, 1.0, 0.5, 4)], 4, 5, &Habits::default()).is_empty());
    }

    #[test]
    fn greedy_prefers_the_serve_that_comes_more_often() {
        let items = [known(0, 1.0, 3.0, 0), known(1, 2.0, 3.0, 0)];
        assert_eq!(greedy(&items, 4, 1, &Habits::default()), [1]);
    }

    #[test]
    fn greedy_begins_nothing_new_in_the_last_two_days() {
        let items = [Item { index: 0, weight: 1.0, memory: None }];
        let on = |today| greedy(&items, today, 5, &Habits::default()).len();
        assert_eq!([on(7), on(8), on(9)], [1, 0, 0]);
    }

    #[test]
    fn greedys_floor_brings_a_rare_serve_forward() {
        let mut items: Vec<_> = (0..8).map(|i| known(i, 1.0, 40.0, 3)).collect();
        items.push(known(8, 0.001, 1.0, 0));
        let first = |floor| greedy(&items, 4, 1, &Habits { floor, ..Habits::default() });
        assert_ne!(first(0.0), [8]);
        assert_eq!(first(0.2), [8]);
    }
}
