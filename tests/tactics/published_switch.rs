//! Which and when to switch, against exactly computed values.

#![expect(clippy::unwrap_used, reason = "a refused value is a failed test")]

use secondball::game::{End, Match, MatchLength};
use secondball::tactics::chance::slope::Gain;
use secondball::tactics::chance::{Chances, matches};
use secondball::tactics::switch::which::Setting;
use secondball::tactics::switch::{Candidate, MemoryCost, Story, Trigger};
use serde_json::Value;

use super::cases::{Case, Report, count, number, run, size};

/// The five serves of the published choice; the second case refers back to the first.
fn candidates() -> Vec<Candidate> {
    [(0.35, 0.46, 0.53), (0.25, 0.44, 0.5), (0.2, 0.52, 0.54), (0.15, 0.41, 0.49), (0.05, 0.4, 0.6)]
        .map(|(frequency, current, candidate)| Candidate { frequency, current, candidate })
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
    let now = Chances::new(at("p_serve"), at("p_receive")).unwrap();
    let then = now.with_receive(at("new_p_receive")).unwrap();
    let gain = Gain::from_state(&state, now, then).unwrap();
    report.near(case, "before", gain.before, &case.expected["before"]);
    report.near(case, "after", gain.after, &case.expected["after"]);
    report.near(case, "gain", gain.worth(), &case.expected["gain"]);
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
        ("best_game_start", Trigger::BestGameStart),
        ("either_8", Trigger::EitherAt(8)),
        ("own_8", Trigger::OwnAt(8)),
        ("after_J", Trigger::OnceRead),
        ("after_3", Trigger::AfterBalls(3)),
        ("decider", Trigger::Decider),
        ("optimal", Trigger::Best),
    ] {
        let got = story(&case.inputs).win(length, first, trigger).unwrap();
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
                report.near(case, "candidate", serve.candidate, &record["candidate"]);
            }
            let receive = Setting::receive(&serves).unwrap();
            report.near(case, "receive", receive, &case.expected["p_receive"]);
            for choice in setting.singles(&serves, cost).unwrap() {
                let name = format!("s{}", choice.changes[0] + 1);
                report.near(case, "before", choice.gain.before, &case.expected["match"]);
                report.near(case, &name, choice.net, &case.expected["net_gain"][&name]);
                let worth = &case.expected["match_gain"][&name];
                report.near(case, &name, choice.gain.worth(), worth);
            }
            let best = setting.singles(&serves, cost).unwrap().swap_remove(0);
            report.holds(case, "best", best.changes == [0] && case.expected["best"] == "s1");
        }
        "subset_choice" => {
            let best = setting.best(&serves, cost).unwrap();
            report.holds(case, "best", best.changes == [0, 1]);
            report.near(case, "net", best.net, &case.expected["net"]);
            report.near(case, "worth", best.gain.worth(), &case.expected["match_gain"]);
            for bits in 0..32_usize {
                let subset: Vec<usize> = (0..5).filter(|at| bits >> at & 1 == 1).collect();
                let other = setting.worth(&serves, &subset, cost).unwrap();
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
            let plain = matches::win(five, Chances::new(0.55, 0.4 * 0.5 + 0.6 * 0.47).unwrap());
            report.near(case, "value", plain, &case.expected["value"]);
            for trigger in
                [Trigger::Never, Trigger::SecondGame, Trigger::EitherAt(8), Trigger::Best]
            {
                let got = flat.win(five, End::Me, trigger).unwrap();
                report.within(case, "flat", got, plain, 1e-10);
                let unseen = Story { frequency: 0.0, ..flat };
                let rest = matches::win(five, Chances::new(0.55, 0.47).unwrap());
                let got = unseen.win(five, End::Me, trigger).unwrap();
                report.within(case, "never served", got, rest, 1e-10);
            }
        }
        other => report.holds(case, &format!("a check for {other}"), false),
    }
}
