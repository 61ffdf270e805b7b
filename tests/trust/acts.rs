//! An act that is cut off at any call that changes a file is typed again and ends as if never cut.

use std::collections::BTreeSet;

use serde_json::Value;

use super::injecting::{Strike, struck, traced};
use crate::harness::Player;
use crate::points::fixture::{journal_of, north, season};

/// What a home holds, by what counts: the facts that stand and the files beside the journal.
fn held(player: &Player) -> (Vec<Value>, BTreeSet<String>, String) {
    let kinds = ["point", "ball", "answer", "debrief", "forget"];
    let facts = kinds.iter().flat_map(|kind| journal_of(player, kind)).collect();
    let decks = player.home().join("decks");
    let names = std::fs::read_dir(decks).into_iter().flatten().flatten();
    let names = names.map(|entry| entry.file_name().to_string_lossy().into_owned());
    let names = names.filter(|name| !name.starts_with('.')).collect();
    let waiting = std::fs::read_to_string(player.home().join("rehearsals.ron"));
    (facts, names, waiting.unwrap_or_default())
}

/// Kills the act at each of its calls, and types it again.
fn whole(home: impl Fn() -> Player, act: &[&str], input: &str) {
    let never_cut = home();
    let calls = traced(&never_cut, act, input).len();
    let expected = held(&never_cut);
    assert!(calls > 3, "{calls} calls are traced");
    for how in [Strike::Kill, Strike::Torn] {
        for at in 1..=calls {
            let player = home();
            assert_eq!(struck(&player, act, input, at, how).code, -1, "{how:?} at {at}");
            let again = player.run_with_input(act, input);
            // Cut off behind its last step, it is done: there is nothing left to do.
            assert!(again.code == 0 || held(&player) == expected, "{how:?} at {at}: {}", again.err);
            assert_eq!(held(&player), expected, "{how:?} at {at} of {calls}");
        }
    }
}

#[test]
fn a_file_of_points_that_was_cut_off_is_read_to_its_end() {
    let few = season().split_inclusive('\n').take(7).collect::<String>();
    whole(north, &["points", "north", "--csv", "-"], &few);
}

#[test]
fn results_of_a_session_that_were_cut_off_count_once() {
    let home = || {
        let player = north();
        player.run(&["rehearse", "north", "--launcher", "feeder", "--balls", "40"]).fine();
        player
    };
    whole(home, &["rehearse", "log", "1/2", "2/2", "0/2"], "");
}

#[test]
fn an_opponent_half_forgotten_is_forgotten_the_second_time() {
    let home = || {
        let player = north();
        player.run(&["debrief", "north", "--sentence", "flat"]).fine();
        player
    };
    whole(home, &["forget", "north", "--yes"], "");
}

/// Points went on into a file that a sync program had replaced.
#[test]
fn each_point_and_each_serve_counted_goes_into_the_file_that_is_there() {
    let opened = |act: &[&str], input: &str| {
        traced(&north(), act, input).iter().filter(|call| *call == "open").count()
    };
    let points = |count| opened(&["points", "north"], &"fast-bh won\n".repeat(count));
    assert!(points(4) >= points(1) + 3, "{} {}", points(4), points(1));
    let counted = |count| opened(&["scout", "count", "north"], &"1\n".repeat(count));
    assert!(counted(4) >= counted(1) + 3, "{} {}", counted(4), counted(1));
}
