//! Which answers to switch, against exactly computed values.

#![expect(clippy::unwrap_used, reason = "a refused value is a failed test")]

use secondball::game::{End, Match, MatchLength};
use secondball::tactics::chance::{Chances, win_match_from};
use secondball::tactics::reserve::MemoryCost;
use serde_json::Value;

use super::cases::{Case, Report, count, number, run};
use super::changes::{Candidate, Setting};

/// The five serves of the published choice; the second case refers back to the first.
fn candidates() -> Vec<Candidate> {
    [(0.35, 0.46, 0.53), (0.25, 0.44, 0.5), (0.2, 0.52, 0.54), (0.15, 0.41, 0.49), (0.05, 0.4, 0.6)]
        .map(|(frequency, current, replacement)| Candidate { frequency, current, replacement })
        .to_vec()
}

#[test]
fn switches_are_worth_what_was_computed() {
    run("switch", 7, |case, report| {
        let name = case.name.as_str();
        if name.starts_with("gain_from_state_") {
            from_state(case, report);
        } else {
            choice(case, report);
        }
    });
}

fn end(is_me: &Value) -> End {
    if is_me.as_bool().unwrap() { End::Me } else { End::Them }
}

fn from_state(case: &Case, report: &mut Report) {
    let at = |what: &str| number(&case.inputs[what]);
    let pair = |what: &str| (count(&case.inputs[what][0]), count(&case.inputs[what][1]));
    let length = MatchLength::best_of(count(&case.inputs["best_of"])).unwrap();
    let first = end(&case.inputs["i_served_first_this_game"]);
    let state = Match::at(length, pair("games"), pair("score"), first).unwrap();
    let win = |receive| win_match_from(Chances::new(at("p_serve"), receive), &state);
    let (before, after) = (win(at("p_receive")), win(at("new_p_receive")));
    report.near(case, "before", before, &case.expected["before"]);
    report.near(case, "after", after, &case.expected["after"]);
    report.near(case, "gain", after - before, &case.expected["gain"]);
}

fn choice(case: &Case, report: &mut Report) {
    let setting = Setting::before(MatchLength::best_of(5).unwrap(), 0.54);
    let (serves, cost) = (candidates(), MemoryCost::USUAL);
    match case.name.as_str() {
        "single_choice" => {
            for (serve, record) in serves.iter().zip(case.inputs["serves"].as_array().unwrap()) {
                report.near(case, "frequency", serve.frequency, &record["freq"]);
                report.near(case, "current", serve.current, &record["current"]);
                report.near(case, "candidate", serve.replacement, &record["candidate"]);
            }
            let receive = Setting::receive(&serves);
            report.near(case, "receive", receive, &case.expected["p_receive"]);
            for choice in setting.singles(&serves, cost) {
                let name = format!("s{}", choice.changes[0] + 1);
                report.near(case, "before", choice.before, &case.expected["match"]);
                report.near(case, &name, choice.net, &case.expected["net_gain"][&name]);
                let worth = &case.expected["match_gain"][&name];
                report.near(case, &name, choice.after - choice.before, worth);
            }
            let best = setting.singles(&serves, cost).swap_remove(0);
            report.holds(case, "best", best.changes == [0] && case.expected["best"] == "s1");
        }
        "subset_choice" => {
            let best = setting.best(&serves, cost);
            report.holds(case, "best", best.changes == [0, 1]);
            report.near(case, "net", best.net, &case.expected["net"]);
            report.near(case, "worth", best.after - best.before, &case.expected["match_gain"]);
            for bits in 0..32_usize {
                let subset: Vec<usize> = (0..5).filter(|at| bits >> at & 1 == 1).collect();
                let other = setting.worth(&serves, &subset, cost);
                report.holds(case, "no subset is better", other.net <= best.net + 1e-12);
            }
        }
        other => report.holds(case, &format!("a check for {other}"), false),
    }
}
