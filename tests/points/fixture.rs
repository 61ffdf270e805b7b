//! An invented opponent, player and season of five matches, in a throw-away home.

use serde_json::Value;

use crate::harness::Player;

/// A home with the invented opponent in it.
pub(crate) fn north() -> Player {
    let player = Player::with_home();
    player.write("player.ron", include_str!("player.ron"));
    player.write("decks/north.ron", include_str!("north.ron"));
    player
}

/// The invented season as a file of points: in the last match the short push is waited for, and the loop
/// from the wide forehand is badly played.
pub(crate) fn season() -> &'static str {
    include_str!("season.csv")
}

/// The same home after the season.
pub(crate) fn after_the_season() -> Player {
    let player = north();
    player.run_with_input(&["points", "north", "--csv", "-"], season()).fine();
    player
}

/// Facts of one kind that stand in the journal, without what was taken back.
pub(crate) fn journal_of(player: &Player, kind: &str) -> Vec<Value> {
    let lines: Vec<Value> =
        player.journal().lines().filter_map(|line| serde_json::from_str(line).ok()).collect();
    let undone: Vec<&Value> =
        lines.iter().filter(|line| line["k"] == "undo").map(|line| &line["of"]["n"]).collect();
    lines
        .iter()
        .filter(|line| line["k"] == kind && !undone.contains(&&line["n"]))
        .map(|line| {
            let mut fact = line.clone();
            if let Some(fact) = fact.as_object_mut() {
                for name in ["n", "at", "day", "sum"] {
                    fact.remove(name);
                }
            }
            fact
        })
        .collect()
}
