//! Several players and their coach.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use crate::harness::{Player, flat};

fn deck(key: &str, opponent: &str, plan: &str) -> String {
    format!(
        "(format: 1, key: \"{key}\", opponent: \"{opponent}\", hand: right, seen_against: right,\n\
         serves: [(id: \"short\", motion: pendulum, spin: backspin, lane: forehand, depth: short,\n\
         note: \"private words\")], plan: {{{plan}}})"
    )
}

const PUSH: &str = "\"short\": (wing: forehand, stroke: push)";

fn player_file(name: &str, hand: &str, events: &str) -> String {
    format!("(format: 1, name: \"{name}\", hand: {hand}, events: [{events}])")
}

/// Three invented players below `home/`, and one whose file has a mistake.
fn group() -> Player {
    let coach = Player::without_home();
    let open =
        "(name: \"Open\", day: \"2026-12-05\", opponents: [(deck: \"kim\"), (deck: \"lee\")])";
    let cup = "(name: \"Cup\", day: \"2026-11-28\", opponents: [(deck: \"kim\")])";
    for (folder, hand, events) in
        [("ada", "right", open), ("bea", "left", cup), ("cem", "right", "")]
    {
        coach.write(&format!("{folder}/player.ron"), &player_file(folder, hand, events));
        coach.write(&format!("{folder}/decks/kim.ron"), &deck("kimkim", "Kim", PUSH));
    }
    coach.write("notes/readme.txt", "no home");
    coach
}

fn files(player: &Player) -> Vec<std::path::PathBuf> {
    let mut found = vec![player.home()];
    let mut at = 0;
    while at < found.len() {
        if let Ok(read) = std::fs::read_dir(&found[at]) {
            let mut inside: Vec<_> = read.map(|entry| entry.unwrap().path()).collect();
            inside.sort();
            found.extend(inside);
        }
        at += 1;
    }
    found
}

#[test]
fn who_plays_next_is_looked_at_first_and_everybody_has_a_line() {
    let coach = group();
    let before = files(&coach);
    let said = coach.run(&["group", "home"]).fine();
    assert_eq!(files(&coach), before, "a group is only read");
    assert!(said.starts_with("Look at bea first: Cup in 3 days, 0 of 100 right"), "{said}");
    let lines: Vec<&str> = said.lines().skip(3).take(3).collect();
    let names: Vec<&str> = lines.iter().filter_map(|line| line.split(' ').next()).collect();
    assert_eq!(names, ["bea", "ada", "cem"], "{said}");
    assert!(lines[1].contains("Open       in 10 d") && lines[1].contains("Kim +1"), "{said}");
    assert!(lines[2].contains("none"), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
}

#[test]
fn a_home_that_cannot_be_read_is_a_line_and_comes_first() {
    let coach = group();
    coach.write("dan/player.ron", "(format: 1, name: ");
    coach.write("cem/decks/lee.ron", "(format: 1");
    let said = coach.run(&["group", "home"]).fine();
    assert!(flat(&said).starts_with("Look at cem first: 1 thing in their files"), "{said}");
    assert!(said.contains("\ndan          cannot be read\n"), "{said}");
    let json: serde_json::Value =
        serde_json::from_str(&coach.run(&["group", "home", "--json"]).fine()).unwrap();
    assert_eq!(json["players"].as_array().unwrap().len(), 4);
    assert_eq!(json["players"][0]["troubles"], 1);
    assert!(coach.run(&["group", "home/notes"]).refused().contains("no player's home"));
}

#[test]
fn a_long_name_stands_whole_above_its_line() {
    let coach = group();
    let renamed = coach.read("ada/player.ron").replace("\"ada\"", "\"Ada Maria (invented)\"");
    coach.write("ada/player.ron", &renamed);
    let said = coach.run(&["group", "home"]).fine();
    assert!(said.contains("\nAda Maria (invented)\n             Open"), "{said}");
}

#[test]
fn a_serve_taken_from_another_player_is_mirrored_and_private_words_stay() {
    let coach = group();
    let take = |more: &[&str]| {
        let said = coach.run(
            &[
                &["--home", "home/bea", "scout", "take", "home/ada/decks/kim.ron", "--into", "kim"],
                more,
            ]
            .concat(),
        );
        said.fine();
    };
    let written = coach.read("bea/decks/kim.ron");
    coach.write("bea/decks/kim.ron", "(format: 1, key: \"ownkim\", opponent: \"Kim\", serves: [])");
    take(&[]);
    let taken = coach.read("bea/decks/kim.ron");
    assert!(written.contains("lane: forehand") && taken.contains("lane: backhand"), "{taken}");
    assert!(!taken.contains("private words") && !taken.contains("push"), "{taken}");
    take(&["--with-notes"]);
    assert!(coach.read("bea/decks/kim.ron").contains("note: \"private words\""));
}
