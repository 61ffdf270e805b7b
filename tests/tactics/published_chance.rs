//! Game and match chance against published and exactly computed values.

#![expect(clippy::unwrap_used, reason = "a refused value is a failed test")]

use secondball::game::{End, Game, Match, MatchLength};
use secondball::tactics::chance::slope::Slope;
use secondball::tactics::chance::{Chances, GameLaw, matches};
use serde_json::Value;

use super::cases::{Case, Report, count, number, run};

fn chances(inputs: &Value) -> Chances {
    Chances::new(number(&inputs["p_serve"]), number(&inputs["p_receive"])).unwrap()
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
                GameLaw::ELEVEN.win_from(chances(&case.inputs), score).unwrap()
            };
            report.near(case, "own first", at(End::Me), &case.expected["i_served_first"]);
            report.near(case, "theirs", at(End::Them), &case.expected["opponent_served_first"]);
        } else if name.starts_with("match_state_") {
            let got = matches::win_from(chances(&case.inputs), &state(&case.inputs)).unwrap();
            report.near(case, "match", got, &case.expected["match"]);
        } else if name.starts_with("old_21_vs_11_") {
            let p = number(&case.inputs["p"]);
            let even = Chances::new(p, p).unwrap();
            report.near(case, "to 11", GameLaw::ELEVEN.win(even), &case.expected["to11"]);
            report.near(case, "to 21", GameLaw::TWENTY_ONE.win(even), &case.expected["to21"]);
        } else {
            single(case, report);
        }
    });
}

fn whole_games(case: &Case, report: &mut Report) {
    let law = GameLaw::ELEVEN;
    let chances = chances(&case.inputs);
    let game = Slope::of_game(law, chances);
    let five = Slope::of_match(five(), chances);
    let first = law.expected_points(chances, End::Me);
    let second = law.expected_points(chances, End::Them);
    for (what, got) in [
        ("game", law.win(chances)),
        ("p_10_10", law.tie(chances)),
        ("deuce", chances.deuce()),
        ("match_bo3", matches::win(MatchLength::best_of(3).unwrap(), chances)),
        ("match_bo5", matches::win(MatchLength::best_of(5).unwrap(), chances)),
        ("match_bo7", matches::win(MatchLength::best_of(7).unwrap(), chances)),
        ("dgame_dpr", game.receive),
        ("dgame_dps", game.serve),
        ("dbo5_dpr", five.receive),
        ("dbo5_dps", five.serve),
        ("dbo7_dpr", Slope::of_match(MatchLength::best_of(7).unwrap(), chances).receive),
        ("exp_points_serving_first", first.all),
        ("exp_points_receiving_first", second.all),
        ("exp_receive_points_serving_first", first.receives),
        ("exp_receive_points_receiving_first", second.receives),
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
                    let chances = Chances::new(p(serve), p(receive)).unwrap();
                    let at = |first| law.win_from(chances, Game::start(first)).unwrap();
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
                let got = law.importance(chances, score).unwrap();
                report.near(case, "importance", got, wanted);
            }
        }
        "cross_validated_58pct_to_21" => {
            let p = number(&case.inputs["p"]);
            let game = GameLaw::TWENTY_ONE.win(Chances::new(p, p).unwrap());
            report.near(case, "35 games", game.powi(35), &case.expected["prob_win_all_35"]);
        }
        "edges" => {
            report.within(case, "1, 1", law.win(Chances::new(1.0, 1.0).unwrap()), 1.0, 0.0);
            report.within(case, "0, 0", law.win(Chances::new(0.0, 0.0).unwrap()), 0.0, 0.0);
            report.holds(case, "1, 0 is refused", Chances::new(1.0, 0.0).is_err());
        }
        other => report.holds(case, &format!("a check for {other}"), false),
    }
}
