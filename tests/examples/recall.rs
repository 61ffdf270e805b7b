//! Recall at the event against answers, printed: fixed thresholds tuned from .50 up, the greedy
//! rule and the calendar, mean and spread over seeds of invented patterns.
//!
//! `cargo run --release --example recall -- [patterns] [days] [seeds] [budget ...]`

use secondball::base::Dice;
use secondball::memory::{Budget, Habits, Item, Model, Task, plan};

#[path = "../support/seasons.rs"]
#[allow(
    dead_code,
    clippy::cast_possible_truncation,
    clippy::unwrap_used,
    reason = "a test helper, of which not all is used everywhere"
)]
mod seasons;
use seasons::{Player, Season, event_on, greedy_list, invented_patterns, places, threshold_list};

/// How one policy did over the seeds.
struct Row {
    name: String,
    mean: f64,
    spread: f64,
    repairs: f64,
}

fn row(name: String, shares: &[(f64, f64)]) -> Row {
    let n = shares.len() as f64;
    let mean = shares.iter().map(|s| s.0).sum::<f64>() / n;
    let square = shares.iter().map(|s| (s.0 - mean).powi(2)).sum::<f64>();
    let repairs = shares.iter().map(|s| s.1).sum::<f64>() / n;
    Row { name, mean, spread: (square / (n - 1.0).max(1.0)).sqrt(), repairs }
}

type Planner<'a> = dyn FnMut(i32, &[Item]) -> Vec<usize> + 'a;

struct Bench {
    patterns: usize,
    days: i32,
    seeds: u64,
    habits: Habits,
    player: Player,
}

impl Bench {
    fn season(&self, seed: u64) -> Season {
        let items = invented_patterns(self.patterns, &mut Dice::for_part(seed, "patterns"));
        Season::new(self.player, items, &self.habits, Dice::for_part(seed, "answers"))
    }

    fn run(&self, name: String, planner: &mut dyn FnMut() -> Box<Planner<'static>>) -> Row {
        let mut shares = Vec::new();
        for seed in 1..=self.seeds {
            let mut season = self.season(seed);
            let share = season.play(self.days, planner());
            shares.push((share, season.repairs as f64));
        }
        row(name, &shares)
    }
}

fn main() {
    let numbers: Vec<usize> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let at = |n: usize, usual: usize| numbers.get(n).copied().unwrap_or(usual);
    let habits = Habits { floor: 0.0, nothing_new_days: 0, ..Habits::default() };
    let days = i32::try_from(at(1, 60)).unwrap_or(60);
    let budgets = if numbers.len() > 3 { numbers[3..].to_vec() } else { vec![10, 20, 40] };
    for player in Player::ALL {
        let days_kept = if player == Player::MissesDays { 0.7 } else { 1.0 };
        let habits = Habits { days_kept, ..habits };
        let bench = Bench { patterns: at(0, 500), days, seeds: at(2, 20) as u64, habits, player };
        for &budget in &budgets {
            let mut rows = Vec::new();
            for percent in (50..=95).step_by(5) {
                let threshold = f64::from(percent) / 100.0;
                rows.push(bench.run(format!("threshold .{percent}"), &mut || {
                    let model = Model::default();
                    Box::new(move |day, items| {
                        threshold_list(&model, items, day, threshold, budget)
                    })
                }));
            }
            rows.push(bench.run("greedy".into(), &mut || {
                let model = Model::default();
                Box::new(move |day, items| {
                    places(&greedy_list(&model, items, day, days, budget, &habits))
                })
            }));
            rows.push(bench.run("calendar".into(), &mut || {
                let model = Model::default();
                let mut carried = None;
                Box::new(move |day, items| {
                    let task = Task {
                        today: day,
                        events: vec![event_on(days, items)],
                        budgets: vec![Budget::Answers(u32::try_from(budget).unwrap_or(u32::MAX))],
                        habits,
                    };
                    let made =
                        plan(&model, items, &task, carried.as_ref()).expect("the event lies ahead");
                    carried = Some(made.carried);
                    places(&made.today)
                })
            }));
            show(&bench, budget, &rows);
        }
    }
}

#[expect(clippy::print_stdout, reason = "an example prints")]
fn show(bench: &Bench, budget: usize, rows: &[Row]) {
    println!(
        "\n{} patterns, {} days, {budget} answers a day, {} seeds; {}",
        bench.patterns,
        bench.days,
        bench.seeds,
        bench.player.words()
    );
    println!("{:<16} {:>8} {:>8} {:>9}", "policy", "recall", "spread", "repairs");
    for row in rows {
        println!("{:<16} {:>8.4} {:>8.4} {:>9.1}", row.name, row.mean, row.spread, row.repairs);
    }
}
