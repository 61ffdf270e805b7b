//! The calendar beside its rivals, greedy and going round, cell by cell: kinds of decks, of players
//! and of days, over seeds of invented patterns. Each comparison is on the same seed.

use secondball::base::Dice;
use secondball::memory::{Budget, Carried, Habits, Item, Model, Plan, Task, plan};

use super::seasons::{
    Player, Season, event_on, greedy_list, invented_patterns, places, round_list,
};

/// Patterns, days to the event, answers a day.
pub type Size = (usize, i32, u32);

/// What is compared.
#[derive(Debug, Clone, Copy)]
pub struct Cell {
    pub size: Size,
    pub is_untried: bool,
    /// What a pattern begun in the last two days counts for; 1 is no rule.
    pub late_new: f64,
    pub player: Player,
    /// Chance of a missed day, and the share of a list that is answered.
    pub misses: f64,
    pub does: f64,
    /// Whether the planner is told both; else it learns them.
    pub is_told: bool,
}

/// How it came out: means over the seeds.
#[derive(Debug, Clone, Copy)]
pub struct Outcome {
    pub greedy: f64,
    pub round: f64,
    pub calendar: f64,
    /// The calendar less the better of the two, and its standard error.
    pub ahead: f64,
    pub error: f64,
    /// What was forecast on the first day less what came, and where half the days were gone.
    pub bias: f64,
    pub late_bias: f64,
}

impl Outcome {
    /// Whether the calendar is no more than `slack` and two standard errors behind.
    pub fn holds(&self, slack: f64) -> bool {
        self.ahead > -slack - 2.0 * self.error
    }
}

impl Cell {
    /// The model's own player who keeps every day, under the rule as the program has it.
    pub const fn new(size: Size, is_untried: bool) -> Self {
        let (player, late_new) = (Player::ModelsOwn, 0.5);
        Self { size, is_untried, late_new, player, misses: 0.0, does: 1.0, is_told: true }
    }

    fn season(&self, seed: u64) -> Season {
        let mut items = invented_patterns(self.size.0, &mut Dice::for_part(seed, "patterns"));
        if self.is_untried {
            for item in &mut items {
                item.memory = None;
            }
        }
        let dice = Dice::for_part(seed, "answers");
        let mut season = Season::new(self.player, items, &self.habits(), dice);
        (season.misses, season.does) = (self.misses, self.does);
        season
    }

    fn habits(&self) -> Habits {
        let (days_kept, lists_done) = (1.0 - self.misses, self.does);
        Habits { floor: 0.0, late_new: self.late_new, days_kept, lists_done, ..Habits::default() }
    }

    /// The share that greedy, going round and the calendar reach, and two biases of the forecast.
    fn on_seed(&self, seed: u64) -> [f64; 5] {
        let ((_, event, answers), model) = (self.size, Model::default());
        let (budget, habits) = (answers as usize, self.habits());
        let greedy = self.season(seed).play(event, |day, items, _| {
            places(&greedy_list(&model, items, day, event, budget, &habits))
        });
        let round = self
            .season(seed)
            .play(event, |day, items, _| round_list(items, day, event, budget, &habits));
        let (mut carried, mut forecasts): (Option<Carried>, Vec<(i32, f64)>) = (None, Vec::new());
        let calendar = self.season(seed).play(event, |day, items, record| {
            let learnt =
                Habits { days_kept: record.days_kept(), lists_done: record.lists_done(), ..habits };
            let habits = if self.is_told { habits } else { learnt };
            let made = planned(&model, items, (day, event, answers), habits, carried.as_ref());
            forecasts.push((day, made.with.expected));
            carried = Some(made.carried);
            places(&made.today)
        });
        let said = |from: i32| forecasts.iter().find(|(day, _)| *day >= from);
        let bias = |from| said(from).map_or(0.0, |(_, said)| said - calendar);
        [greedy, round, calendar, bias(0), bias(event / 2)]
    }

    /// Over so many seeds after `first`.
    pub fn run(&self, first: u64, seeds: u64) -> Outcome {
        let all: Vec<[f64; 5]> =
            (first + 1..=first + seeds).map(|seed| self.on_seed(seed)).collect();
        let mean =
            |of: &dyn Fn(&[f64; 5]) -> f64| all.iter().map(of).sum::<f64>() / all.len() as f64;
        let [greedy, round, calendar, bias, late_bias] =
            [0, 1, 2, 3, 4].map(|n| mean(&|one| one[n]));
        let rival = usize::from(round > greedy);
        let ahead = mean(&|one| one[2] - one[rival]);
        let square = mean(&|one| (one[2] - one[rival] - ahead).powi(2));
        let error = (square / (all.len() as f64 - 1.0).max(1.0)).sqrt();
        Outcome { greedy, round, calendar, ahead, error, bias, late_bias }
    }
}

/// The plan of a day.
fn planned(
    model: &Model,
    items: &[Item],
    (today, event, answers): (i32, i32, u32),
    habits: Habits,
    carried: Option<&Carried>,
) -> Plan {
    let events = vec![event_on(event, items)];
    let task = Task { today, events, budgets: vec![Budget::Answers(answers)], habits };
    plan(model, items, &task, carried).expect("the event lies ahead")
}
