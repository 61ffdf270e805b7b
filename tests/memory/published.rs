//! The door against an independent implementation in double precision; the values and where they
//! come from are in `tests/published/memory.json`.

use secondball::memory::{Grade, MemoryState, Model};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Published {
    tolerance: Tolerance,
    sequences: Vec<Sequence>,
}

#[derive(Deserialize)]
struct Tolerance {
    stability_rel: f64,
    difficulty_abs: f64,
    recall_abs: f64,
    interval_raw_rel: f64,
}

#[derive(Deserialize)]
struct Sequence {
    id: String,
    steps: Vec<Step>,
    recall_after_last: Vec<(f64, f64)>,
}

#[derive(Deserialize)]
struct Step {
    grade: usize,
    elapsed_days: u32,
    stability: f64,
    difficulty: f64,
    recall_before: Option<f64>,
    interval_days_raw: BTreeMap<String, f64>,
    interval_days_whole: BTreeMap<String, u32>,
}

/// Days (a real number) until recall has fallen to `target`, by the crate behind the door.
fn days_until(state: MemoryState, target: f32) -> f64 {
    f64::from(fsrs::FSRS::default().next_interval(Some(state.stability_days()), target, 3))
}

#[test]
fn states_recalls_and_intervals_are_those_of_the_independent_implementation() {
    let published: Published =
        serde_json::from_str(include_str!("../published/memory.json")).unwrap();
    let allowed = published.tolerance;
    let model = Model::default();
    let mut misses = Vec::new();
    let mut compared = 0;
    let mut compare = |place: String, got: f64, expected: f64, within: f64| {
        compared += 1;
        if (got - expected).abs() > within {
            misses.push(format!("{place}: {got}, expected {expected} within {within}"));
        }
    };
    for sequence in &published.sequences {
        let mut state = None;
        for (n, step) in sequence.steps.iter().enumerate() {
            let place = |what: &str| format!("{} step {n} {what}", sequence.id);
            if let (Some(before), Some(recall)) = (state, step.recall_before) {
                let got = model.recall(before, f64::from(step.elapsed_days));
                compare(place("recall before"), got, recall, allowed.recall_abs);
            }
            let grade = Grade::ALL[step.grade - 1];
            let next = model.after(state, grade, step.elapsed_days);
            let (s, d) = (f64::from(next.stability_days()), f64::from(next.difficulty()));
            compare(place("stability"), s, step.stability, allowed.stability_rel * step.stability);
            compare(place("difficulty"), d, step.difficulty, allowed.difficulty_abs);
            for (target, &raw) in &step.interval_days_raw {
                let got = days_until(next, target.parse().unwrap());
                compare(place(target), got, raw, allowed.interval_raw_rel * raw);
                if (raw.fract() - 0.5).abs() > 1e-3 {
                    let expected = f64::from(step.interval_days_whole[target]);
                    compare(place("whole days"), got.round().max(1.0), expected, 0.0);
                }
            }
            state = Some(next);
        }
        for &(days, recall) in &sequence.recall_after_last {
            let got = model.recall(state.unwrap(), days);
            compare(format!("{} after {days} days", sequence.id), got, recall, allowed.recall_abs);
        }
    }
    assert!(compared > 400, "only {compared} values compared");
    assert!(misses.is_empty(), "{} of {compared} miss:\n{}", misses.len(), misses.join("\n"));
}
