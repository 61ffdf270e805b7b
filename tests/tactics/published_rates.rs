//! Intervals, beliefs and shrinkage against published and independently computed values.

#![expect(clippy::unwrap_used, reason = "a refused value is a failed test")]

use secondball::tactics::rates::{Belief, Tally, fading};
use secondball::tactics::stroke_rates::{log_marginal, shared_mean};
use serde_json::Value;

use super::cases::{Case, Report, belief, counts, number, numbers, run, table};
use super::intervals::{Interval, PlainCount};

#[test]
fn intervals_and_beliefs_are_the_published_ones() {
    run("estimation", 31, |case, report| {
        let name = case.name.as_str();
        if name.starts_with("newcombe_") || name.starts_with("intervals_") {
            intervals(case, report);
        } else if name.starts_with("small_") {
            small(case, report);
        } else if name.starts_with("bcd_modified_jeffreys_") {
            let n = number(&case.inputs["n"]);
            for (x, wanted) in numbers(&case.inputs["x"]).into_iter().zip(limits(case)) {
                let got = PlainCount::new(x, n, 0.95).jeffreys_modified();
                both(case, report, &format!("x = {x}"), got, &wanted);
            }
        } else if name.starts_with("p_greater_") {
            let got = belief(&case.inputs["beta1"]).above(belief(&case.inputs["beta2"]));
            report.near(case, "p", got, &case.expected["p"]);
        } else {
            single(case, report);
        }
    });
}

fn limits(case: &Case) -> Vec<Value> {
    case.expected["limits"].as_array().unwrap().clone()
}

fn both(case: &Case, report: &mut Report, what: &str, got: Interval, wanted: &Value) {
    report.near(case, &format!("{what}, low"), got.low, &wanted[0]);
    report.near(case, &format!("{what}, high"), got.high, &wanted[1]);
}

fn counted(case: &Case) -> PlainCount {
    let at = |what: &str| number(&case.inputs[what]);
    PlainCount::new(at("x"), at("n"), at("level"))
}

fn intervals(case: &Case, report: &mut Report) {
    let count = counted(case);
    for (what, got) in [
        ("wilson", count.wilson()),
        ("wilson_cc", count.wilson_corrected()),
        ("clopper_pearson", count.clopper_pearson()),
        ("mid_p", count.mid_p()),
    ] {
        both(case, report, what, got, &case.expected[what]);
    }
    if case.expected["jeffreys_no_edge"].is_array() {
        let got = count.jeffreys_plain();
        both(case, report, "jeffreys", got, &case.expected["jeffreys_no_edge"]);
    }
}

fn small(case: &Case, report: &mut Report) {
    let count = counted(case);
    both(case, report, "wilson", count.wilson(), &case.expected["wilson"]);
    both(case, report, "jeffreys", count.jeffreys(), &case.expected["jeffreys"]);
    let (x, n) = (number(&case.inputs["x"]), number(&case.inputs["n"]));
    let after = counts(4.0, 4.0).after(x, n - x);
    let got = [0.025, 0.5, 0.975].map(|p| after.quantile(p));
    report.all_near(case, "quantile", &got, &case.expected["beta_4_4_posterior"]);
    report.near(case, "mean", after.mean(), &case.expected["beta_4_4_mean"]);
}

/// Hits of eighteen players in 45 at bats: grand mean, spread and the share c kept of each
/// deviation.
struct Baseball {
    mean: f64,
    squares: f64,
    variance: f64,
    kept: f64,
}

fn baseball(hits: &[f64], at_bats: f64) -> Baseball {
    let k = hits.len() as f64;
    let mean = hits.iter().sum::<f64>() / at_bats / k;
    let squares: f64 = hits.iter().map(|hit| (hit / at_bats - mean).powi(2)).sum();
    let variance = mean * (1.0 - mean) / at_bats;
    Baseball { mean, squares, variance, kept: 1.0 - (k - 3.0) * variance / squares }
}

/// The shrunk rate of one player, by the product's belief: the strength that keeps the share c is n
/// (1/c - 1).
fn shrunk(group: &Baseball, hits: f64, at_bats: f64) -> f64 {
    let strength = at_bats * (1.0 / group.kept - 1.0);
    let tally = Tally { won: hits, played: at_bats };
    tally.belief(Belief::from_mean(group.mean, strength)).mean()
}

const HITS: [f64; 18] = [
    18.0, 17.0, 16.0, 15.0, 14.0, 14.0, 13.0, 12.0, 11.0, 11.0, 10.0, 10.0, 10.0, 10.0, 10.0, 9.0,
    8.0, 7.0,
];

fn single(case: &Case, report: &mut Report) {
    match case.name.as_str() {
        "efron_morris_baseball" => {
            let hits = numbers(&case.inputs["hits"]);
            report.holds(case, "the same hits", hits == HITS);
            let at_bats = number(&case.inputs["at_bats"]);
            let group = baseball(&hits, at_bats);
            report.near(case, "mean", group.mean, &case.expected["grand_mean"]);
            report.near(case, "c", group.kept, &case.expected["c"]);
            let clemente = shrunk(&group, 18.0, at_bats);
            report.near(case, "first", clemente, &case.expected["clemente"]);
        }
        "efron_morris_baseball_exact" => {
            let group = baseball(&HITS, 45.0);
            report.near(case, "mean", group.mean, &case.expected["grand_mean"]);
            report.near(case, "S", group.squares, &case.expected["S"]);
            report.near(case, "sigma2", group.variance, &case.expected["sigma2"]);
            report.near(case, "c", group.kept, &case.expected["c"]);
            report.near(case, "first", shrunk(&group, 18.0, 45.0), &case.expected["clemente"]);
            report.near(case, "last", shrunk(&group, 7.0, 45.0), &case.expected["alvis"]);
        }
        "bda_placenta_previa" => {
            let (x, n) = (number(&case.inputs["x"]), number(&case.inputs["n"]));
            let after = belief(&case.inputs["prior"]).after(x, n - x);
            report.near(case, "mean", after.mean(), &case.expected["mean"]);
            report.near(case, "sd", after.sd(), &case.expected["sd"]);
            let (low, high) = after.interval(0.95);
            let interval = Interval { low, high };
            both(case, report, "interval", interval, &case.expected["interval95"]);
        }
        "bda_rat" => {
            let (x, n) = (number(&case.inputs["x"]), number(&case.inputs["n"]));
            let after = belief(&case.inputs["prior"]).after(x, n - x);
            report.near(case, "mean", after.mean(), &case.expected["mean"]);
            report.near(case, "sd", after.sd(), &case.expected["sd"]);
        }
        "beta_quantiles" => {
            for row in table(&case.expected["rows"]) {
                let got = counts(row[0], row[1]).quantile(row[2]);
                report.within(case, &format!("{row:?}"), got, row[3], 1e-9);
            }
        }
        "family_shrinkage_grid" => family(case, report),
        "fixed_kappa" => {
            let at = |what: &str| number(&case.inputs[what]);
            let prior = Belief::from_mean(at("family_mean"), at("kappa"));
            let after = Tally { won: at("x"), played: at("n") }.belief(prior);
            report.near(case, "mean", after.mean(), &case.expected["mean"]);
            let (low, high) = after.interval(0.95);
            let interval = Interval { low, high };
            both(case, report, "interval", interval, &case.expected["interval95"]);
            let weight = (after.mean() - prior.mean()) / (at("x") / at("n") - prior.mean());
            report.near(case, "weight", weight, &case.expected["weight_on_data"]);
        }
        "time_discount" => {
            let mut tally = Tally::default();
            let factor = number(&case.inputs["factor"]);
            for (age, row) in (0..).zip(table(&case.inputs["matches"])) {
                tally.add(row[0], row[1], fading(factor, age));
            }
            report.near(case, "x", tally.won, &case.expected["x_eff"]);
            report.near(case, "n", tally.played, &case.expected["n_eff"]);
            let mean = tally.belief(belief(&case.inputs["prior"])).mean();
            report.near(case, "mean", mean, &case.expected["mean"]);
        }
        "beta_binomial_logml" => {
            let (a, b) = (number(&case.inputs["a"]), number(&case.inputs["b"]));
            let got: f64 = cells(case).iter().map(|cell| log_marginal(*cell, a, b)).sum();
            report.near(case, "logml", got, &case.expected["logml"]);
        }
        other => report.holds(case, &format!("a check for {other}"), false),
    }
}

fn cells(case: &Case) -> Vec<Tally> {
    let rows = table(&case.inputs["cells"]);
    rows.iter().map(|row| Tally { won: row[0], played: row[1] }).collect()
}

fn family(case: &Case, report: &mut Report) {
    let prior = counts(2.0, 2.0);
    let (cells, strengths) = (cells(case), numbers(&case.inputs["kappa_grid"]));
    // The weight of each mean and strength, both over their grids.
    let mut grid = Vec::new();
    for (which, strength) in strengths.iter().enumerate() {
        for mean in (1..100).map(|percent| f64::from(percent) / 100.0) {
            let (a, b) = (mean * strength, (1.0 - mean) * strength);
            let counted: f64 = cells.iter().map(|cell| log_marginal(*cell, a, b)).sum();
            grid.push((which, mean, prior.density(mean) * counted.exp()));
        }
    }
    let whole: f64 = grid.iter().map(|row| row.2).sum();
    let weight = |of: usize| grid.iter().filter(|row| row.0 == of).map(|row| row.2).sum::<f64>();
    let weights: Vec<f64> = (0..strengths.len()).map(|of| weight(of) / whole).collect();
    let rates: Vec<f64> = cells
        .iter()
        .map(|cell| {
            let rate =
                |mean: f64, strength: f64| (mean * strength + cell.won) / (strength + cell.played);
            grid.iter().map(|row| row.2 / whole * rate(row.1, strengths[row.0])).sum()
        })
        .collect();
    let shared: Vec<(Tally, f64)> = cells.iter().map(|cell| (*cell, 0.0)).collect();
    let mean: f64 = strengths
        .iter()
        .zip(&weights)
        .map(|(strength, weight)| weight * shared_mean(&shared, prior, *strength))
        .sum();
    let strength: f64 = strengths.iter().zip(&weights).map(|(of, weight)| of * weight).sum();
    report.all_near(case, "cell", &rates, &case.expected["posterior_means"]);
    report.near(case, "mean", mean, &case.expected["E_m"]);
    report.near(case, "strength", strength, &case.expected["E_kappa"]);
    report.all_near(case, "weight", &weights, &case.expected["kappa_weights"]);
}
