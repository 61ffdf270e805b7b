//! Matrix games and duels against published and exactly computed values.
//!
//! Value and certificate always; strategies only where the optimum is unique.

#![expect(clippy::unwrap_used, reason = "a refused value is a failed test")]

use secondball::tactics::duel::ReceiveRates;
use secondball::tactics::matrix::Matrix;
use secondball::tactics::mix::Ratio;
use secondball::tactics::rates::{Belief, Tally};
use serde_json::Value;

use super::cases::{Case, Report, belief, count, number, numbers, run, size, table};
use super::duels::{Balance, Duel, matrix, readiness};
use super::habit::{DropPosterior, DropPrior, exposures};

#[test]
fn matrix_games_have_the_published_values() {
    run("matrix_game", 33, |case, report| match case.name.as_str() {
        "invariants" => invariants(case, report),
        "morra3" => {
            let game = solved(case, report);
            let columns: Vec<&str> = case.inputs["labels"]
                .as_array()
                .unwrap()
                .iter()
                .map(|l| l.as_str().unwrap())
                .collect();
            let support: Vec<&str> = case.expected["support_only"]
                .as_array()
                .unwrap()
                .iter()
                .map(|l| l.as_str().unwrap())
                .collect();
            let solution = game.solve();
            for (label, part) in columns.iter().zip(&solution.row) {
                if !support.contains(label) {
                    report.within(case, label, *part, 0.0, 1e-9);
                }
            }
            for mix in table(&case.expected["each_of_these_guarantees_0"]) {
                let mut whole = vec![0.0; columns.len()];
                for (label, part) in support.iter().zip(mix) {
                    whole[columns.iter().position(|c| c == label).unwrap()] = part;
                }
                report.within(case, "a known mix", game.guarantee(&whole), 0.0, 1e-9);
            }
        }
        _ => {
            let solution = solved(case, report).solve();
            for (unique, mix, got) in [
                ("row_unique", "row_strategy", &solution.row),
                ("col_unique", "col_strategy", &solution.column),
            ] {
                if case.expected[unique] == true {
                    report.all_near(case, mix, got, &case.expected[mix]);
                }
            }
            if case.name == "palacios_huerta_2003" {
                for (what, got) in
                    [("kicker_left", solution.row[0]), ("keeper_left", solution.column[0])]
                {
                    report.within(case, what, got, number(&case.expected[what]), 6e-5);
                }
            }
        }
    });
}

/// Value and certificate of a case; both from the payoffs.
fn solved(case: &Case, report: &mut Report) -> Matrix {
    let rows = table(&case.inputs["matrix"]);
    let game = matrix(&rows);
    let range = spread(&rows);
    let solution = game.solve();
    report.near(case, "value", solution.value, &case.expected["value"]);
    let gap = game.concession(&solution.column) - game.guarantee(&solution.row);
    report.holds(case, "certificate", gap <= 1e-9 * range.max(1.0));
    game
}

fn spread(rows: &[Vec<f64>]) -> f64 {
    let all = || rows.iter().flatten().copied();
    all().fold(f64::NEG_INFINITY, f64::max) - all().fold(f64::INFINITY, f64::min)
}

fn invariants(case: &Case, report: &mut Report) {
    let rows =
        vec![vec![0.35, 0.45, 0.55, 0.6], vec![0.44, 0.36, 0.52, 0.41], vec![0.5, 0.5, 0.38, 0.49]];
    let solve = |rows: &[Vec<f64>]| matrix(rows).solve();
    let mapped = |f: &dyn Fn(f64) -> f64| -> Vec<Vec<f64>> {
        rows.iter().map(|row| row.iter().map(|x| f(*x)).collect()).collect()
    };
    let plain = solve(&rows);
    let shifted = solve(&mapped(&|x| x + 7.0));
    report.within(case, "shift", shifted.value, plain.value + 7.0, 1e-12);
    let scaled = solve(&mapped(&|x| x * 30.0));
    report.within(case, "scale", scaled.value, plain.value * 30.0, 1e-11);
    let swapped: Vec<Vec<f64>> = (0..4).map(|j| (0..3).map(|i| -rows[i][j]).collect()).collect();
    let other = solve(&swapped);
    report.within(case, "swap", other.value, -plain.value, 1e-12);
    let turned: Vec<Vec<f64>> = [2, 0, 1].iter().map(|i| rows[*i].clone()).collect();
    let permuted = solve(&turned);
    for at in 0..3 {
        report.within(case, "shift mix", shifted.row[at], plain.row[at], 1e-10);
        report.within(case, "scale mix", scaled.row[at], plain.row[at], 1e-10);
        report.within(case, "swap mix", other.column[at], plain.row[at], 1e-10);
        report.within(case, "turned mix", permuted.row[at], plain.row[[2, 0, 1][at]], 1e-10);
    }
}

fn duel(inputs: &Value) -> Duel {
    let sides = numbers(&inputs["u"])
        .into_iter()
        .zip(numbers(&inputs["delta"]))
        .map(|(unread, drop)| ReceiveRates { unread, drop })
        .collect();
    Duel::new(sides)
}

/// Every receive's payoff when only itself suffers from being waited for.
fn identity(n: usize) -> Vec<Vec<f64>> {
    (0..n).map(|i| (0..n).map(|j| if i == j { 1.0 } else { 0.0 }).collect()).collect()
}

fn tally(value: &Value) -> Tally {
    let both = numbers(value);
    Tally { won: both[0], played: both[1] }
}

#[test]
fn duels_have_the_published_balance() {
    run("duel", 15, |case, report| match case.name.as_str() {
        "similarity_matrix" => {
            let alike = table(&case.inputs["similarity"]);
            let game = duel(&case.inputs).matrix(&alike);
            for (i, row) in table(&case.expected["matrix"]).iter().enumerate() {
                for (j, wanted) in row.iter().enumerate() {
                    report.within(case, "payoff", game.at(i, j), *wanted, 1e-12);
                }
            }
            let solution = game.solve();
            report.near(case, "value", solution.value, &case.expected["value"]);
            report.all_near(case, "mix", &solution.row, &case.expected["mix"]);
            report.all_near(case, "waits", &solution.column, &case.expected["anticipation"]);
        }
        "serve_level_readiness" => {
            let (v, cost) = (numbers(&case.inputs["v"]), numbers(&case.inputs["kappa"]));
            let Balance { value, mix, anticipation } = readiness(&v, &cost);
            report.near(case, "value", value, &case.expected["value"]);
            report.all_near(case, "server", &mix, &case.expected["server_mix"]);
            report.all_near(case, "ready", &anticipation, &case.expected["receiver_readiness"]);
        }
        "small_ratio" => {
            let duel = duel(&case.inputs);
            let balance = duel.balance();
            let game = duel.matrix(&identity(2));
            let most = count(&case.inputs["max_total"]);
            let ratio = Ratio::best(&game, balance.value, &[], most);
            let parts: Vec<f64> = ratio.parts.iter().map(|part| f64::from(*part)).collect();
            report.all_near(case, "mix", &balance.mix, &case.expected["exact_mix"]);
            report.near(case, "value", balance.value, &case.expected["value"]);
            report.all_near(case, "ratio", &parts, &case.expected["best_ratio"]);
            let guarantee = &case.expected["guarantee_of_ratio"];
            report.near(case, "guarantee", ratio.guarantee, guarantee);
            report.near(case, "cost", ratio.cost, &case.expected["loss"]);
        }
        "read_flag_posterior" => {
            let prior = belief(&case.inputs["prior_each"]);
            let (free, read) = (tally(&case.inputs["not_read"]), tally(&case.inputs["read"]));
            let (unread, read) = (free.belief(prior).mean(), read.belief(prior).mean());
            report.near(case, "u", unread, &case.expected["u"]);
            report.near(case, "a", read, &case.expected["a"]);
            report.near(case, "drop", unread - read, &case.expected["delta"]);
        }
        "exposure_values" => {
            let receives: Vec<usize> =
                case.inputs["receives"].as_array().unwrap().iter().map(size).collect();
            let seen = exposures(&receives, size(&case.inputs["k"]), number(&case.inputs["lam"]));
            let before = &case.expected["exposure_before_each"];
            report.all_near(case, "before", &seen.before_each, before);
            report.all_near(case, "after", &seen.after, &case.expected["after"]);
        }
        "exposure_posterior" => exposure_posterior(case, report),
        name if name.starts_with("matcher_") => {
            let found = duel(&case.inputs).against_habit();
            report.near(case, "mu", found.margin, &case.expected["mu"]);
            report.all_near(case, "mix", &found.mix, &case.expected["mix"]);
            report.near(case, "value", found.value, &case.expected["value_against_matcher"]);
            report.near(case, "worst", found.worst, &case.expected["worst_case"]);
        }
        _ => {
            let duel = duel(&case.inputs);
            let balance = duel.balance();
            report.near(case, "value", balance.value, &case.expected["value"]);
            report.all_near(case, "mix", &balance.mix, &case.expected["mix"]);
            if case.expected["anticipation"].is_array() {
                let wanted = &case.expected["anticipation"];
                report.all_near(case, "waits", &balance.anticipation, wanted);
                let pure = &case.expected["always_best_if_read"];
                report.near(case, "always read", duel.always_read(), pure);
            }
        }
    });
}

fn exposure_posterior(case: &Case, report: &mut Report) {
    let stretches: Vec<Vec<(usize, bool)>> = case.inputs["blocks"]
        .as_array()
        .unwrap()
        .iter()
        .map(|block| {
            let receives = block[0].as_array().unwrap().iter().map(size);
            receives.zip(numbers(&block[1])).map(|(r, won)| (r, won > 0.5)).collect()
        })
        .collect();
    let strength = number(&case.inputs["kappa"]);
    let priors: Vec<Belief> = numbers(&case.inputs["prior_mean"])
        .into_iter()
        .map(|mean| Belief::from_mean(mean, strength))
        .collect();
    let drop = &case.inputs["delta_prior"];
    let drop = DropPrior { mean: number(&drop["mean"]), sd: number(&drop["sd"]) };
    let learning = number(&case.inputs["lam"]);
    let found = DropPosterior::from_stretches(&stretches, &priors, drop, learning);
    report.all_near(case, "theta", &found.rates, &case.expected["theta"]);
    report.all_near(case, "sd", &found.rate_sds, &case.expected["sd"]);
    report.near(case, "drop", found.drop, &case.expected["delta"]);
    report.near(case, "drop sd", found.drop_sd, &case.expected["delta_sd"]);
    report.near(case, "prior drop", found.prior.mean, &case.expected["prior_delta"]);
    report.near(case, "prior drop sd", found.prior.sd, &case.expected["prior_delta_sd"]);
    let both = |f: &dyn Fn(usize) -> f64| vec![f(0), f(1)];
    report.all_near(case, "u", &both(&|r| found.unread(r)), &case.expected["u"]);
    report.all_near(case, "a", &both(&|r| found.read(r)), &case.expected["a"]);
    report.holds(case, "the drop stays an assumption", !found.is_measured());
}
