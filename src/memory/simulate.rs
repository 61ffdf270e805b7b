//! Simulated players and invented sets of patterns: the test bench of the calendar.
//!
//! A player has a truth of their own; the planner sees only right and wrong, and keeps its own
//! [`State`] from that. Four kinds: the model's own; one who forgets faster than the model thinks;
//! one who misses three days in ten; and one of another law altogether, a power law of practice in
//! which other answers interfere. Nothing here is a fact about people.

use crate::base::{Dice, order};

use super::daily::{Habits, Pick};
use super::door::{MemoryError, Model, State};
use super::forecast::Item;
use super::result::Grade;

/// What a simulated player is like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Player {
    /// Recalls exactly as the model says.
    ModelsOwn,
    /// Time runs one and a half times as fast for this one's memory.
    ForgetsFaster,
    /// The model's own kind, but three days in ten nothing is done at all.
    MissesDays,
    /// Recall follows a power law of all past answers, and other answers interfere.
    PowerLaw,
}

impl Player {
    /// All kinds.
    pub const ALL: [Self; 4] =
        [Self::ModelsOwn, Self::ForgetsFaster, Self::MissesDays, Self::PowerLaw];

    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::ModelsOwn => "the model's own kind",
            Self::ForgetsFaster => "forgets faster",
            Self::MissesDays => "misses three days in ten",
            Self::PowerLaw => "power law with interference",
        }
    }
}

/// How much faster time runs for [`Player::ForgetsFaster`].
const FASTER: f64 = 1.5;
/// Chance of a missed day for [`Player::MissesDays`].
const MISSES: f64 = 0.3;

/// One pattern's truth in a player's head.
#[derive(Debug, Clone, Default)]
struct Truth {
    /// Days of past answers, for the power law.
    answered: Vec<f64>,
    /// All the player's answers when this pattern was last answered.
    others: usize,
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
        let truths = items
            .iter()
            .map(|item| {
                // A known pattern enters the power law with the more past answers the stabler it is.
                let answered = item.memory.map_or_else(Vec::new, |(state, last)| {
                    let more = (f64::from(state.stability_days()) / 3.0).ln().max(0.0);
                    (0..8)
                        .map(f64::from)
                        .filter(|k| *k <= more)
                        .map(|k| f64::from(last) - 2.0 * k)
                        .collect()
                });
                Truth { answered, others: 0 }
            })
            .collect();
        Self {
            items,
            player,
            truths,
            model: Model::default(),
            dice,
            absences,
            first_right: habits.first_right,
            all_answers: 0,
            answers: 0,
            repairs: 0,
        }
    }

    /// Whether the player practises today.
    pub fn practises_today(&mut self) -> bool {
        self.player != Player::MissesDays || !self.absences.chance(MISSES)
    }

    /// The player's true recall of the pattern at place `n` on `day`; 0 while untried.
    ///
    /// # Errors
    /// As [`Model::recall`].
    pub fn recall(&self, n: usize, day: f64) -> Result<f64, MemoryError> {
        let Some((state, last)) = self.items[n].memory else { return Ok(0.0) };
        let days = (day - f64::from(last)).max(0.0);
        match self.player {
            Player::ModelsOwn | Player::MissesDays => self.model.recall(state, days),
            Player::ForgetsFaster => self.model.recall(state, FASTER * days),
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
                Ok(1.0 / (1.0 + (-(strength - interference + 0.9) / 0.35).exp()))
            }
        }
    }

    /// The player answers the pattern at place `n` on `day`; wrong answers are repaired at once.
    ///
    /// # Errors
    /// As [`Model::after`]; [`MemoryError::DayBefore`] for a day before the last answer.
    pub fn answer(&mut self, n: usize, day: i32) -> Result<bool, MemoryError> {
        let chance = match self.items[n].memory {
            None => self.first_right,
            Some(_) => self.recall(n, f64::from(day))?,
        };
        let right = self.dice.chance(chance);
        let (before, gap) = match self.items[n].memory {
            None => (None, 0),
            Some((state, last)) => (Some(state), super::counted::days_between(last, day)?),
        };
        let after = if right {
            self.model.after(before, Grade::InTime, gap)?
        } else {
            self.repairs += 1;
            self.model.after_repair(before, gap)?
        };
        self.items[n].memory = Some((after, day));
        self.answers += 1;
        self.all_answers += 1;
        self.truths[n].answered.push(f64::from(day));
        self.truths[n].others = self.all_answers;
        Ok(right)
    }

    /// The weighted share truly recalled on `day`, and every recall in the order of the items.
    ///
    /// # Errors
    /// As [`Season::recall`].
    pub fn share(&self, day: f64) -> Result<(f64, Vec<f64>), MemoryError> {
        let recalls: Result<Vec<f64>, _> =
            (0..self.items.len()).map(|n| self.recall(n, day)).collect();
        let recalls = recalls?;
        let whole: f64 = self.items.iter().map(|i| i.weight).sum();
        let share: f64 = self.items.iter().zip(&recalls).map(|(i, r)| i.weight * r).sum();
        Ok((share / whole.max(1e-300), recalls))
    }

    /// Plays from day 0 to the day before `event`, each day asking `planner` for the places to
    /// answer, and gives the weighted share recalled on the event's day.
    ///
    /// # Errors
    /// Whatever the planner or the model refuses.
    pub fn play(
        &mut self,
        event: i32,
        mut planner: impl FnMut(i32, &[Item]) -> Result<Vec<usize>, MemoryError>,
    ) -> Result<f64, MemoryError> {
        for day in 0..event {
            if self.practises_today() {
                for n in planner(day, &self.items)? {
                    self.answer(n, day)?;
                }
            }
        }
        Ok(self.share(f64::from(event))?.0)
    }
}

/// An invented set of `n` patterns on day 0, indexed by place.
///
/// Made so that fixed thresholds score on it as in an earlier prototype's table: 37 % are untried;
/// stability is log-normal (median 4.2 days, sigma 1), difficulty uniform from 3 to 7, the last
/// answer lies one day and up to 1.8 stabilities back, and weights are exponential.
///
/// # Errors
/// None for these numbers; the door is asked all the same.
pub fn invented_patterns(n: usize, dice: &mut Dice) -> Result<Vec<Item>, MemoryError> {
    (0..n)
        .map(|index| {
            let stability = (4.2_f64.ln() + dice.normal()).exp().clamp(0.1, 300.0);
            let difficulty = 3.0 + 4.0 * dice.unit();
            let back = 1.0 + (1.8 * stability * dice.unit()).floor();
            let weight = -(1.0 - dice.unit()).ln();
            let untried = dice.chance(0.37);
            #[expect(clippy::cast_possible_truncation, reason = "a few hundred days at most")]
            let (state, last) =
                (State::new(stability as f32, difficulty as f32)?, -(back.min(10_000.0) as i32));
            Ok(Item { index, weight, memory: (!untried).then_some((state, last)) })
        })
        .collect()
}

/// The rule of thumb to be beaten: answer what has fallen below `threshold`, known patterns by
/// weight, then untried ones by weight, and fill the day with the weakest of the rest.
///
/// # Errors
/// As [`Item::recall_on`].
pub fn threshold_list(
    model: &Model,
    items: &[Item],
    today: i32,
    threshold: f64,
    budget: usize,
) -> Result<Vec<usize>, MemoryError> {
    let mut ranked = Vec::with_capacity(items.len());
    for (place, item) in items.iter().enumerate() {
        let recall = item.recall_on(model, f64::from(today))?;
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
    order::by(&mut ranked, |(a, _), (b, _)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    ranked.truncate(budget);
    Ok(ranked.into_iter().map(|(_, place)| place).collect())
}

/// The places of picks whose index is their place.
pub fn places(picks: &[Pick]) -> Vec<usize> {
    picks.iter().map(|p| p.index).collect()
}
