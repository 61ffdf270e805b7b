//! How long the calendar takes: the first plan and the next day's, for 500 patterns over 60 days.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use secondball::base::Dice;
use secondball::memory::{Budget, Habits, Item, Model, Task, plan};

#[path = "../support/seasons.rs"]
#[allow(
    dead_code,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::unwrap_used,
    reason = "a test helper, of which not all is used everywhere"
)]
mod seasons;
use seasons::{Player, Season, event_on, invented_patterns};

fn task(today: i32, items: &[Item]) -> Task {
    Task {
        today,
        events: vec![event_on(60, items)],
        budgets: vec![Budget::Answers(20)],
        habits: Habits::default(),
    }
}

fn calendar(bench: &mut Criterion) {
    let model = Model::default();
    let items = invented_patterns(500, &mut Dice::from_seed(1));
    let first = task(0, &items);
    let made = plan(&model, &items, &first, None).expect("an event lies ahead");
    bench.bench_function("first plan, 500 patterns, 60 days", |b| {
        b.iter(|| plan(&model, black_box(&items), &first, None));
    });
    let mut season = Season::new(Player::ModelsOwn, items, &Habits::default(), Dice::from_seed(2));
    for pick in &made.today {
        season.answer(pick.index, 0);
    }
    let next = task(1, &season.items);
    bench.bench_function("next day's plan, 500 patterns, 59 days", |b| {
        b.iter(|| plan(&model, black_box(&season.items), &next, Some(&made.carried)));
    });
    let few = invented_patterns(20, &mut Dice::from_seed(3));
    let small = task(50, &few);
    bench.bench_function("first plan, 20 patterns, 10 days", |b| {
        b.iter(|| plan(&model, black_box(&few), &small, None));
    });
}

criterion_group!(benches, calendar);
criterion_main!(benches);
