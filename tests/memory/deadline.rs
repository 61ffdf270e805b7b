//! The calendar against exact optima on three small instances, by full expansion of its own
//! re-planning; the values and where they come from are in `tests/published/memory.json`.

#![expect(clippy::unwrap_used, reason = "a failure here is a failed test")]

use secondball::memory::{Budget, Grade, Habits, Item, MemoryState, Model, Task, plan};
use serde::Deserialize;

use super::seasons::{event_on, greedy_list, places, threshold_list};

#[derive(Deserialize)]
struct Published {
    deadline: Deadline,
}

#[derive(Deserialize)]
struct Deadline {
    instances: Vec<Instance>,
    one_item_one_answer: OneItem,
}

#[derive(Deserialize)]
struct Instance {
    id: String,
    items: Vec<Known>,
    match_day: i32,
    optimum_weighted_recall: f64,
    policies: std::collections::BTreeMap<String, f64>,
}

#[derive(Deserialize)]
struct Known {
    weight: f64,
    stability: f32,
    difficulty: f32,
    last_answer_day: i32,
}

#[derive(Deserialize)]
struct OneItem {
    stability: f32,
    difficulty: f32,
    match_day: i32,
    expected_recall_by_answer_day: std::collections::BTreeMap<String, f64>,
    no_answer: f64,
    adaptive_optimum_by_number_of_answers: Vec<f64>,
}

fn published() -> Deadline {
    let text = include_str!("../published/memory.json");
    serde_json::from_str::<Published>(text).unwrap().deadline
}

impl Instance {
    fn items(&self) -> Vec<Item> {
        self.items
            .iter()
            .enumerate()
            .map(|(index, known)| {
                let state = MemoryState::new(known.stability, known.difficulty).unwrap();
                Item { index, weight: known.weight, memory: Some((state, known.last_answer_day)) }
            })
            .collect()
    }
}

/// The expected weighted recall on `until` when `policy` chooses each day, every outcome followed.
fn expanded(
    model: &Model,
    items: &[Item],
    day: i32,
    until: i32,
    policy: &dyn Fn(i32, &[Item]) -> Vec<usize>,
) -> f64 {
    if day == until {
        let whole: f64 = items.iter().map(|i| i.weight).sum();
        let recall = |i: &Item| i.recall_on(model, f64::from(until));
        return items.iter().map(|i| i.weight * recall(i)).sum::<f64>() / whole;
    }
    let chosen = policy(day, items);
    assert!(chosen.len() <= 1, "one answer a day");
    let Some(&n) = chosen.first() else { return expanded(model, items, day + 1, until, policy) };
    let (state, last) = items[n].memory.unwrap();
    let gap = u32::try_from(day - last).unwrap();
    let chance = model.recall(state, f64::from(gap));
    let then = |state: MemoryState| {
        let mut items = items.to_vec();
        items[n].memory = Some((state, day));
        expanded(model, &items, day + 1, until, policy)
    };
    chance * then(model.after(Some(state), Grade::InTime, gap))
        + (1.0 - chance) * then(model.after_repair(Some(state), gap))
}

const PLAIN: Habits =
    Habits { first_right: 0.5, floor: 0.0, late_new: 1.0, days_kept: 1.0, lists_done: 1.0 };

fn task(today: i32, items: &[Item], event: i32, answers: u32) -> Task {
    Task {
        today,
        events: vec![event_on(event, items)],
        budgets: vec![Budget::Answers(answers)],
        habits: PLAIN,
    }
}

#[test]
fn the_calendar_comes_within_a_thousandth_of_the_exact_optimum() {
    let model = Model::default();
    for instance in published().instances {
        let items = instance.items();
        let event = instance.match_day;
        let reached = expanded(&model, &items, 0, event, &|day, items| {
            places(&plan(&model, items, &task(day, items, event, 1), None).unwrap().today)
        });
        let optimum = instance.optimum_weighted_recall;
        assert!(
            reached >= optimum * 0.999 && reached <= optimum + 1e-6,
            "{}: {reached}, the optimum is {optimum}",
            instance.id
        );
    }
}

#[test]
fn the_rules_of_thumb_reach_what_the_independent_expansion_says_they_reach() {
    let model = Model::default();
    for instance in published().instances {
        let items = instance.items();
        let event = instance.match_day;
        let none = expanded(&model, &items, 0, event, &|_, _| Vec::new());
        let greedy = expanded(&model, &items, 0, event, &|day, items| {
            places(&greedy_list(&model, items, day, event, 1, &PLAIN))
        });
        for (got, name) in [(none, "no_practice"), (greedy, "greedy_w_gain_sqrt(1-R)")] {
            let expected = instance.policies[name];
            assert!((got - expected).abs() < 2e-6, "{} {name}: {got} {expected}", instance.id);
        }
        assert!(!threshold_list(&model, &items, 0, 0.9, 1).is_empty());
    }
}

#[test]
fn one_answer_is_planned_for_the_day_before_and_more_answers_reach_the_optimum() {
    let model = Model::default();
    let one = published().one_item_one_answer;
    let state = MemoryState::new(one.stability, one.difficulty).unwrap();
    let items = [Item { index: 0, weight: 1.0, memory: Some((state, 0)) }];
    for (day, &expected) in &one.expected_recall_by_answer_day {
        let on: i32 = day.parse().unwrap();
        let got = expanded(&model, &items, 1, one.match_day, &|day, _| {
            if day == on { vec![0] } else { Vec::new() }
        });
        assert!((got - expected).abs() < 2e-6, "answer on day {day}: {got} {expected}");
    }
    let none = expanded(&model, &items, 1, one.match_day, &|_, _| Vec::new());
    assert!((none - one.no_answer).abs() < 2e-6);
    let every_day = expanded(&model, &items, 1, one.match_day, &|day, items| {
        places(&plan(&model, items, &task(day, items, one.match_day, 1), None).unwrap().today)
    });
    let three = one.adaptive_optimum_by_number_of_answers[3];
    assert!(every_day > three, "nine days to answer on beat three answers: {every_day} {three}");
    // One answer in all, offered on any day by days off around it: the last day is best.
    let mut budgets = vec![Budget::Answers(1); 1];
    budgets.push(Budget::OFF);
    let only_today = |day| Task { budgets: budgets.clone(), ..task(day, &items, one.match_day, 1) };
    let made = plan(&model, &items, &only_today(9), None).unwrap();
    let best = one.adaptive_optimum_by_number_of_answers[1];
    assert!((made.with.expected - best).abs() < 1e-5, "{:?} {best}", made.with);
}
