//! The door against an independent implementation in double precision; the values and where they
//! come from are in `tests/published/memory.json`.

use secondball::memory::{Grade, Model};
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
                let got = model.recall(before, f64::from(step.elapsed_days)).unwrap();
                compare(place("recall before"), got, recall, allowed.recall_abs);
            }
            let grade = Grade::ALL[step.grade - 1];
            let next = model.after(state, grade, step.elapsed_days).unwrap();
            let (s, d) = (f64::from(next.stability_days()), f64::from(next.difficulty()));
            compare(place("stability"), s, step.stability, allowed.stability_rel * step.stability);
            compare(place("difficulty"), d, step.difficulty, allowed.difficulty_abs);
            for (target, &raw) in &step.interval_days_raw {
                let got = model.days_until(next, target.parse().unwrap()).unwrap();
                compare(place(target), got, raw, allowed.interval_raw_rel * raw);
                if (raw.fract() - 0.5).abs() > 1e-3 {
                    let whole = model.whole_days_until(next, target.parse().unwrap()).unwrap();
                    let expected = f64::from(step.interval_days_whole[target]);
                    compare(place("whole days"), f64::from(whole), expected, 0.0);
                }
            }
            state = Some(next);
        }
        for &(days, recall) in &sequence.recall_after_last {
            let got = model.recall(state.unwrap(), days).unwrap();
            compare(format!("{} after {days} days", sequence.id), got, recall, allowed.recall_abs);
        }
        let answers: Vec<_> =
            sequence.steps.iter().map(|s| (Grade::ALL[s.grade - 1], s.elapsed_days)).collect();
        assert_eq!(model.replay(&answers).unwrap(), state, "{}", sequence.id);
    }
    assert!(compared > 400, "only {compared} values compared");
    assert!(misses.is_empty(), "{} of {compared} miss:\n{}", misses.len(), misses.join("\n"));
}
