//! Game and match chance against published and exactly computed values.

#![expect(clippy::unwrap_used, reason = "a refused value is a failed test")]

use secondball::game::{End, Game, Match, MatchLength};
use secondball::tactics::chance::{
    Chances, GameLaw, Slope, binomial, convolve, win_match, win_match_from,
};
use serde_json::Value;

use super::cases::{Case, Report, count, number, run};

/// The law until 2001: to 21, five services each.
const TWENTY_ONE: GameLaw = GameLaw { points: 21, turn: 5 };

fn chances(inputs: &Value) -> Chances {
    Chances::new(number(&inputs["p_serve"]), number(&inputs["p_receive"]))
}

fn five() -> MatchLength {
    MatchLength::best_of(5).unwrap()
}

fn end(is_me: &Value) -> End {
    if is_me.as_bool().unwrap() { End::Me } else { End::Them }
}

fn state(inputs: &Value) -> Match {
    let pair = |what: &str| (count(&inputs[what][0]), count(&inputs[what][1]));
    let length = MatchLength::best_of(count(&inputs["best_of"])).unwrap();
    let first = end(&inputs["i_served_first_this_game"]);
    Match::at(length, pair("games"), pair("score"), first).unwrap()
}

#[test]
fn the_chance_of_games_and_matches_is_the_published_one() {
    run("scoring", 36, |case, report| {
        let name = case.name.as_str();
        if name.starts_with("game_match_") {
            whole_games(case, report);
        } else if name.starts_with("deuce_") {
            let got = chances(&case.inputs).deuce();
            report.near(case, "deuce", got, &case.expected["deuce"]);
        } else if name.starts_with("game_from_") {
            let at = |first| {
                let at = |side: usize| count(&case.inputs["score"][side]);
                let score = Game::at(at(0), at(1), first).unwrap();
                GameLaw::ELEVEN.win_from(chances(&case.inputs), score)
            };
            report.near(case, "own first", at(End::Me), &case.expected["i_served_first"]);
            report.near(case, "theirs", at(End::Them), &case.expected["opponent_served_first"]);
        } else if name.starts_with("match_state_") {
            let got = win_match_from(chances(&case.inputs), &state(&case.inputs));
            report.near(case, "match", got, &case.expected["match"]);
        } else if name.starts_with("old_21_vs_11_") {
            let p = number(&case.inputs["p"]);
            let even = Chances::new(p, p);
            report.near(case, "to 11", GameLaw::ELEVEN.win(even), &case.expected["to11"]);
            report.near(case, "to 21", TWENTY_ONE.win(even), &case.expected["to21"]);
        } else {
            single(case, report);
        }
    });
}

fn whole_games(case: &Case, report: &mut Report) {
    let law = GameLaw::ELEVEN;
    let chances = chances(&case.inputs);
    let game = Slope::from_game(law, chances);
    let five = Slope::from_match(five(), chances);
    // The points on the own serve are the receives of the opponent.
    let mirrored = Chances::new(1.0 - chances.receive(), 1.0 - chances.serve());
    let receives = |first| law.expected_receives(chances, first);
    let all = |first: End| receives(first) + law.expected_receives(mirrored, first.other());
    let tie = convolve(&binomial(10, chances.serve()), &binomial(10, chances.receive()))[10];
    for (what, got) in [
        ("game", law.win(chances)),
        ("p_10_10", tie),
        ("deuce", chances.deuce()),
        ("match_bo3", win_match(MatchLength::best_of(3).unwrap(), chances)),
        ("match_bo5", win_match(MatchLength::best_of(5).unwrap(), chances)),
        ("match_bo7", win_match(MatchLength::best_of(7).unwrap(), chances)),
        ("dgame_dpr", game.receive),
        ("dgame_dps", game.serve),
        ("dbo5_dpr", five.receive),
        ("dbo5_dps", five.serve),
        ("dbo7_dpr", Slope::from_match(MatchLength::best_of(7).unwrap(), chances).receive),
        ("exp_points_serving_first", all(End::Me)),
        ("exp_points_receiving_first", all(End::Them)),
        ("exp_receive_points_serving_first", receives(End::Me)),
        ("exp_receive_points_receiving_first", receives(End::Them)),
    ] {
        report.near(case, what, got, &case.expected[what]);
    }
}

fn single(case: &Case, report: &mut Report) {
    let law = GameLaw::ELEVEN;
    match case.name.as_str() {
        "who_serves" => {
            let first = end(&case.inputs["i_served_first"]);
            for row in case.expected["rows"].as_array().unwrap() {
                let score = Game::at(count(&row[0]), count(&row[1]), first).unwrap();
                report.holds(case, &row.to_string(), law.i_serve(score) == row[2]);
                report.holds(case, "the other law", (score.server() == End::Me) == row[2]);
            }
        }
        "first_server_irrelevant" => {
            for serve in 1..15 {
                for receive in 1..15 {
                    let p = |fifteenths: i32| f64::from(fifteenths) / 15.0;
                    let chances = Chances::new(p(serve), p(receive));
                    let at = |first| law.win_from(chances, Game::start(first));
                    report.within(case, "difference", at(End::Me) - at(End::Them), 0.0, 1e-13);
                }
            }
        }
        "importance_at_half" => {
            let chances = chances(&case.inputs);
            for (score, wanted) in case.expected.as_object().unwrap() {
                let (own, theirs) = score.split_once('-').unwrap();
                let score =
                    Game::at(own.parse().unwrap(), theirs.parse().unwrap(), End::Me).unwrap();
                // What the next point decides (Morris, The most important points in tennis, 1977).
                let after = |end| law.win_from(chances, score.after(end));
                let got = after(End::Me) - after(End::Them);
                report.near(case, "importance", got, wanted);
            }
        }
        "cross_validated_58pct_to_21" => {
            let p = number(&case.inputs["p"]);
            let game = TWENTY_ONE.win(Chances::new(p, p));
            report.near(case, "35 games", game.powi(35), &case.expected["prob_win_all_35"]);
        }
        "edges" => {
            report.within(case, "1, 1", law.win(Chances::new(1.0, 1.0)), 1.0, 0.0);
            report.within(case, "0, 0", law.win(Chances::new(0.0, 0.0)), 0.0, 0.0);
            // Nobody would ever lead by two: taken as even.
            report.within(case, "1, 0", law.win(Chances::new(1.0, 0.0)), 0.5, 1e-9);
        }
        other => report.holds(case, &format!("a check for {other}"), false),
    }
}
