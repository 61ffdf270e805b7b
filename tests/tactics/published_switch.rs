//! Which and when to switch, against exactly computed values.

#![expect(clippy::unwrap_used, reason = "a refused value is a failed test")]

use secondball::game::{End, Match, MatchLength};
use secondball::tactics::chance::{Chances, win_match, win_match_from};
use secondball::tactics::reserve::MemoryCost;
use secondball::tactics::timing::{MatchScore, Order, Story, Trigger};
use serde_json::Value;

use super::cases::{Case, Report, count, number, run, size};
use super::changes::{Candidate, Setting};

/// The five serves of the published choice; the second case refers back to the first.
fn candidates() -> Vec<Candidate> {
    [(0.35, 0.46, 0.53), (0.25, 0.44, 0.5), (0.2, 0.52, 0.54), (0.15, 0.41, 0.49), (0.05, 0.4, 0.6)]
        .map(|(frequency, current, replacement)| Candidate { frequency, current, replacement })
        .to_vec()
}

#[test]
fn switches_are_worth_what_was_computed() {
    run("switch", 12, |case, report| {
        let name = case.name.as_str();
        if name.starts_with("gain_from_state_") {
            from_state(case, report);
        } else if name.starts_with("timing_dp_") {
            timing(case, report);
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

fn story(inputs: &Value) -> Story {
    let at = |what: &str| number(&inputs[what]);
    Story {
        serve: at("ps"),
        frequency: at("f"),
        rest: at("w"),
        fresh: at("m0"),
        read: at("m1"),
        read_after: size(&inputs["J"]),
        new_fresh: at("g0"),
        new_read: at("g1"),
        new_read_after: size(&inputs["K"]),
        slip: at("eps"),
        spill: at("eta"),
    }
}

fn timing(case: &Case, report: &mut Report) {
    let length = MatchLength::best_of(count(&case.inputs["best_of"])).unwrap();
    let first = end(&case.inputs["first_me"]);
    for (what, trigger) in [
        ("never", Trigger::Never),
        ("from_start", Trigger::FromTheStart),
        ("second_game", Trigger::SecondGame),
        ("either_8", Trigger::EitherAt(8)),
        ("after_J", Trigger::OnceRead),
        ("decider", Trigger::Decider),
        ("optimal", Trigger::Best),
    ] {
        let got = story(&case.inputs).win(length, first, trigger);
        report.near(case, what, got, &case.expected[what]);
    }
    let switch_if = |is_time| Order::From(if is_time { 0 } else { usize::MAX });
    let before_a_game = |at: MatchScore| {
        if at.score.me + at.score.them == 0 { Order::Free } else { switch_if(false) }
    };
    let policies: [(&str, &dyn Fn(MatchScore) -> Order); 3] = [
        ("best_game_start", &before_a_game),
        ("own_8", &|at| switch_if(at.score.me >= 8)),
        ("after_3", &|_| Order::From(3)),
    ];
    for (what, policy) in policies {
        let got = story(&case.inputs).win_by(length, first, policy);
        report.near(case, what, got, &case.expected[what]);
    }
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
        "consistency" => {
            let flat = Story {
                serve: 0.55,
                frequency: 0.4,
                rest: 0.47,
                fresh: 0.5,
                read: 0.5,
                read_after: 6,
                new_fresh: 0.5,
                new_read: 0.5,
                new_read_after: 4,
                slip: 0.0,
                spill: 0.0,
            };
            let five = MatchLength::best_of(5).unwrap();
            let plain = win_match(five, Chances::new(0.55, 0.4 * 0.5 + 0.6 * 0.47));
            report.near(case, "value", plain, &case.expected["value"]);
            for trigger in
                [Trigger::Never, Trigger::SecondGame, Trigger::EitherAt(8), Trigger::Best]
            {
                let got = flat.win(five, End::Me, trigger);
                report.within(case, "flat", got, plain, 1e-10);
                let unseen = Story { frequency: 0.0, ..flat };
                let rest = win_match(five, Chances::new(0.55, 0.47));
                let got = unseen.win(five, End::Me, trigger);
                report.within(case, "never served", got, rest, 1e-10);
            }
        }
        other => report.holds(case, &format!("a check for {other}"), false),
    }
}
