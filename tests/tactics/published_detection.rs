//! The sequential tests against published and exactly computed values.

#![expect(clippy::unwrap_used, reason = "a refused value is a failed test")]

use super::cases::{Case, Report, count, number, numbers, run, size, wins};
use super::detectors::{CountedSum, FixedTest, Rates, SequentialPlan, evidence};

fn planned() -> Rates {
    Rates::new(0.55, 0.35)
}

#[test]
fn detectors_behave_as_published() {
    run("detection", 17, |case, report| {
        let name = case.name.as_str();
        if name.starts_with("sprt_losses_") || name == "wald_1_3" || name == "nist_sequential_plan"
        {
            sequential(case, report);
        } else if name.starts_with("bernoulli_cusum_") {
            counted_sum(case, report);
        } else if name.starts_with("fixed_n_") {
            let at = |what: &str| number(&case.inputs[what]);
            let rates = Rates::new(at("p0"), at("p1"));
            let test = FixedTest::shortest(rates, at("alpha"), at("power"));
            report.holds(case, "n", test.points == size(&case.expected["n"]));
            let wins = size(&case.expected["alarm_if_wins_at_most"]);
            report.holds(case, "wins", test.wins_at_most == wins);
            report.near(case, "alpha", test.false_alarm, &case.expected["alpha_exact"]);
            report.near(case, "power", test.power, &case.expected["power_exact"]);
        } else {
            single(case, report);
        }
    });
}

fn sequential(case: &Case, report: &mut Report) {
    let at = |what: &str| number(&case.inputs[what]);
    match case.name.as_str() {
        "nist_sequential_plan" => {
            let plan = SequentialPlan::new(at("p1"), at("p2"), at("alpha"), at("beta"));
            // The handbook's k is a decimal logarithm.
            report.near(case, "k", plan.k / std::f64::consts::LN_10, &case.expected["k"]);
            report.near(case, "h1", plan.accept, &case.expected["h1"]);
            report.near(case, "h2", plan.reject, &case.expected["h2"]);
            report.near(case, "s", plan.slope, &case.expected["s"]);
        }
        "wald_1_3" => {
            let plan = SequentialPlan::new(at("p0"), at("p1"), at("alpha"), at("beta"));
            report.near(case, "slope", plan.slope, &case.expected["slope"]);
            report.near(case, "accept", plan.accept, &case.expected["accept_intercept"]);
            report.near(case, "reject", plan.reject, &case.expected["reject_intercept"]);
        }
        _ => {
            let (q0, q1) = (at("q0"), at("q1"));
            let plan = SequentialPlan::new(q0, q1, at("alpha"), at("beta"));
            report.near(case, "slope", plan.slope, &case.expected["slope"]);
            report.near(case, "accept", plan.accept, &case.expected["accept"]);
            report.near(case, "reject", plan.reject, &case.expected["reject"]);
            let wald = [plan.mean_points.0, plan.mean_points.1];
            report.all_near(case, "wald_asn", &wald, &case.expected["wald_asn"]);
            let (calm, risen) = (plan.outcome(q0), plan.outcome(q1));
            report.near(case, "alpha", calm.rejects, &case.expected["exact_alpha"]);
            report.near(case, "points", calm.points, &case.expected["exact_asn_q0"]);
            report.near(case, "beta", 1.0 - risen.rejects, &case.expected["exact_beta"]);
            report.near(case, "points risen", risen.points, &case.expected["exact_asn_q1"]);
        }
    }
}

fn counted_sum(case: &Case, report: &mut Report) {
    let test = CountedSum {
        loss: count(&case.inputs["loss"]),
        win: count(&case.inputs["win"].as_i64().unwrap().unsigned_abs().into()),
        alarm: count(&case.inputs["signal_at"]),
    };
    let (q0, q1) = (number(&case.inputs["q0"]), number(&case.inputs["q1"]));
    for (what, got) in [
        ("arl0", test.mean_run(q0)),
        ("arl1", test.mean_run(q1)),
        ("false_alarm_15", test.alarm_within(15, q0)),
        ("detect_15", test.alarm_within(15, q1)),
        ("false_alarm_8", test.alarm_within(8, q0)),
        ("detect_8", test.alarm_within(8, q1)),
    ] {
        report.near(case, what, got, &case.expected[what]);
    }
    // The same shares by writing out all 2^15 sequences of the log-likelihood sum, no recursion.
    let barrier = f64::from(test.alarm).mul_add(1.0, -1.0) / 24.0;
    let enumerated = |q: f64| -> f64 {
        (0..1_u32 << 15)
            .map(|bits| {
                let won: Vec<bool> = (0..15).map(|point| bits >> point & 1 == 1).collect();
                let alarm = planned().cumulative_sums(&won).iter().any(|sum| *sum >= barrier);
                let weight: f64 = won.iter().map(|w| if *w { 1.0 - q } else { q }).product();
                if alarm { weight } else { 0.0 }
            })
            .sum()
    };
    report.near(case, "all sequences, q0", enumerated(q0), &case.expected["false_alarm_15"]);
    report.near(case, "all sequences, q1", enumerated(q1), &case.expected["detect_15"]);
}

fn single(case: &Case, report: &mut Report) {
    match case.name.as_str() {
        "llr" => {
            let rates = planned();
            report.near(case, "win", rates.step(true), &case.expected["win"]);
            report.near(case, "loss", rates.step(false), &case.expected["loss"]);
            report.near(case, "read", rates.nats_when_read(), &case.expected["kl_changed"]);
            report.near(case, "calm", rates.nats_as_planned(), &case.expected["kl_unchanged"]);
        }
        "cusum_trace" => {
            let won = wins(&case.inputs["won"]);
            let test = CountedSum { loss: 9, win: 11, alarm: 37 };
            let sums: Vec<f64> = test.sums(&won).into_iter().map(f64::from).collect();
            report.all_near(case, "S", &sums, &case.expected["S"]);
            let logs = planned().cumulative_sums(&won);
            report.all_near(case, "S_loglr", &logs, &case.expected["S_loglr"]);
            let first = test.first_alarm(&won).unwrap();
            report.holds(case, "first", first == size(&case.expected["first_signal_H37"]));
        }
        "bayes_two_point_trace" => {
            let at = |what: &str| number(&case.inputs[what]);
            let won = wins(&case.inputs["won"]);
            let got = planned().posterior(&won, at("pi0"), at("rho"));
            report.all_near(case, "pi", &got, &case.expected["pi"]);
        }
        "sr_trace" => {
            let got = planned().shiryaev_roberts(&wins(&case.inputs["won"]));
            report.all_near(case, "M", &got, &case.expected["M"]);
        }
        "eprocess_trace" => {
            let lambdas = numbers(&case.inputs["lams"]);
            let got = evidence(&wins(&case.inputs["won"]), number(&case.inputs["p0"]), &lambdas);
            report.all_near(case, "E", &got, &case.expected["E"]);
        }
        "best_test_at_10" => {
            for (what, wins) in [("wins_le_3", 3), ("wins_le_4", 4)] {
                let test = FixedTest::at_most(planned(), size(&case.inputs["n"]), wins);
                report.near(case, what, test.false_alarm, &case.expected[what]["alpha"]);
                report.near(case, what, test.power, &case.expected[what]["power"]);
            }
        }
        other => report.holds(case, &format!("a check for {other}"), false),
    }
}
