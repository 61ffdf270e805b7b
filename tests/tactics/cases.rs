//! Reads `tests/published/tactics.json` and collects every miss of an area before failing.

#![expect(clippy::unwrap_used, reason = "a broken table of values has to stop the test")]

use secondball::tactics::rates::Belief;
use serde_json::Value;

const TABLE: &str = include_str!("../published/tactics.json");

/// One published record.
pub(super) struct Case {
    pub(super) name: String,
    pub(super) inputs: Value,
    pub(super) expected: Value,
    tolerance: f64,
}

/// What was compared, and what was off.
#[derive(Default)]
pub(super) struct Report {
    compared: usize,
    misses: Vec<String>,
}

impl Report {
    /// One quantity of one case, at the case's tolerance.
    pub(super) fn near(&mut self, case: &Case, quantity: &str, got: f64, wanted: &Value) {
        let wanted = wanted.as_f64().unwrap();
        self.within(case, quantity, got, wanted, case.tolerance);
    }

    pub(super) fn within(&mut self, case: &Case, what: &str, got: f64, wanted: f64, by: f64) {
        self.compared += 1;
        // Published tolerances below rounding of a sum of a few hundred terms are read as that.
        if got.is_nan() || (got - wanted).abs() > by.max(1e-13) {
            self.misses.push(format!("{}, {what}: {got} instead of {wanted} +- {by}", case.name));
        }
    }

    pub(super) fn all_near(&mut self, case: &Case, quantity: &str, got: &[f64], wanted: &Value) {
        let wanted = wanted.as_array().unwrap();
        self.holds(case, &format!("number of {quantity}"), got.len() == wanted.len());
        for (at, (got, wanted)) in got.iter().zip(wanted).enumerate() {
            self.near(case, &format!("{quantity}[{at}]"), *got, wanted);
        }
    }

    pub(super) fn holds(&mut self, case: &Case, what: &str, holds: bool) {
        self.compared += 1;
        if !holds {
            self.misses.push(format!("{}: {what} does not hold", case.name));
        }
    }
}

/// Runs `check` on every case of an area; fails with all misses, or when nothing was compared in a
/// case.
pub(super) fn run(area: &str, cases: usize, check: impl Fn(&Case, &mut Report)) {
    let table: Value = serde_json::from_str(TABLE).unwrap();
    let mut report = Report::default();
    let mut seen = 0;
    for record in table["cases"].as_array().unwrap() {
        if record["area"] != area {
            continue;
        }
        assert!(record["source"].is_string() && record["status"].is_string());
        let case = Case {
            name: record["name"].as_str().unwrap().to_owned(),
            inputs: record["inputs"].clone(),
            expected: record["expected"].clone(),
            tolerance: record["tolerance"].as_f64().unwrap(),
        };
        let before = report.compared;
        check(&case, &mut report);
        assert!(report.compared > before, "{} compares nothing", case.name);
        seen += 1;
    }
    assert_eq!(seen, cases, "cases of {area}");
    assert!(
        report.misses.is_empty(),
        "{} misses:\n{}",
        report.misses.len(),
        report.misses.join("\n")
    );
}

pub(super) fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

pub(super) fn count(value: &Value) -> u32 {
    u32::try_from(value.as_u64().unwrap()).unwrap()
}

pub(super) fn size(value: &Value) -> usize {
    usize::try_from(value.as_u64().unwrap()).unwrap()
}

pub(super) fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(number).collect()
}

pub(super) fn table(value: &Value) -> Vec<Vec<f64>> {
    value.as_array().unwrap().iter().map(numbers).collect()
}

/// A list of zeros and ones.
pub(super) fn wins(value: &Value) -> Vec<bool> {
    numbers(value).into_iter().map(|won| won > 0.5).collect()
}

/// A belief from its two counts, prior included.
pub(super) fn counts(won: f64, lost: f64) -> Belief {
    Belief::from_mean(won / (won + lost), won + lost)
}

/// The same from a pair of numbers.
pub(super) fn belief(value: &Value) -> Belief {
    let both = numbers(value);
    counts(both[0], both[1])
}
