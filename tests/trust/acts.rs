//! An act that is cut off, or that the disk refuses, at any call that changes a file is typed again
//! and ends as if nothing had been. `SECONDBALL_LONG=1` strikes in every way at each call.

#![expect(clippy::unwrap_used, reason = "a home that cannot be read must fail the test")]

use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::Path;

use serde_json::{Value, json};

use super::injecting::{Strike, struck, traced};
use crate::harness::{Player, Said};
use crate::points::fixture::{journal_of, north, season};

/// How the disk refuses.
const REFUSALS: [Strike; 4] = [Strike::Full, Strike::Broken, Strike::Forbidden, Strike::ReadOnly];

fn is_long() -> bool {
    std::env::var_os("SECONDBALL_LONG").is_some()
}

/// What a home holds, by what counts: the facts that stand and the files beside the journal.
fn held(player: &Player) -> (Vec<Value>, BTreeMap<String, String>) {
    fn files(folder: &Path, under: &Path, held: &mut BTreeMap<String, String>) {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = entry.path();
            let name = path.strip_prefix(under).unwrap().to_string_lossy().into_owned();
            // What a cut has left beside a file goes with the next write.
            if name == "journal"
                || name == "cache"
                || entry.file_name().as_encoded_bytes()[0] == b'.'
            {
                continue;
            }
            if path.is_dir() {
                files(&path, under, held);
            } else {
                held.insert(name, std::fs::read_to_string(&path).unwrap());
            }
        }
    }
    let kinds = ["point", "ball", "answer", "debrief", "seen", "forget"];
    let facts = kinds.iter().flat_map(|kind| journal_of(player, kind)).collect();
    let mut held = BTreeMap::new();
    files(&player.home(), &player.home(), &mut held);
    (facts, held)
}

/// A run that the disk refused something says so and ends in order.
#[track_caller]
fn is_in_order(said: &Said, place: &str) {
    assert!((0..=2).contains(&said.code), "{place}: {} {}", said.code, said.err);
    assert!(!said.err.contains("panicked"), "{place}: {}", said.err);
    assert!(said.code == 0 || !said.err.is_empty(), "{place}: nothing was said");
}

/// Strikes the act at each of its calls, and types it again.
fn whole(home: &Player, act: &[&str], input: &str) {
    let never_cut = home.copied();
    let calls = traced(&never_cut, act, input);
    let expected = held(&never_cut);
    assert!(calls.len() > 3, "{calls:?} are traced");
    // What is done on purpose once more has no other sign than its last rename.
    let is_again = act.contains(&"--again");
    let last = calls.iter().rposition(|call| call.starts_with("rename")).filter(|_| is_again);
    // A program built without the tests renames past the C library.
    assert!(last.is_some() == is_again, "build it with `cargo test`: no rename in {calls:?}");
    let last = last.map_or(calls.len(), |last| last + 1);
    let mut strikes = 0;
    for (at, call) in (1..=last).zip(&calls) {
        let refusals =
            REFUSALS.iter().enumerate().filter(|(way, _)| is_long() || way % 4 == at % 4);
        let torn = (call == "write").then_some(Strike::Torn);
        for how in refusals.map(|(_, how)| *how).chain([Strike::Kill]).chain(torn) {
            let player = home.copied();
            let said = struck(&player, act, input, at, how);
            strikes += 1;
            let place = format!("{act:?} {how:?} at {at}, {call}, of {calls:?}");
            match how {
                Strike::Kill | Strike::Torn => assert_eq!(said.code, -1, "{place}"),
                _ => is_in_order(&said, &place),
            }
            if said.code != 0 {
                let again = player.run_with_input(act, input);
                // Cut off behind its last step, it is done: there is nothing left to do.
                let is_done = again.code == 0 || held(&player) == expected;
                assert!(is_done, "{place}: {}\n{}", said.err, again.err);
            }
            assert_eq!(held(&player), expected, "{place}: {}", said.err);
        }
    }
    if is_long() {
        let _ = writeln!(std::io::stderr(), "{}: {last} calls, {strikes} strikes", act.join(" "));
    }
}

/// A home with a session printed.
fn rehearsed() -> Player {
    let player = north();
    player.run(&["rehearse", "north", "--launcher", "feeder", "--balls", "40"]).fine();
    player
}

#[test]
fn a_file_of_points_that_was_cut_off_is_read_to_its_end() {
    let few = season().split_inclusive('\n').take(7).collect::<String>();
    whole(&north(), &["points", "north", "--csv", "-"], &few);
}

#[test]
fn results_of_a_session_that_were_cut_off_count_once() {
    whole(&rehearsed(), &["rehearse", "log", "1/2", "2/2", "0/2"], "");
}

#[test]
fn results_of_a_session_written_down_again_count_once_more() {
    let player = rehearsed();
    player.run(&["rehearse", "log", "1/2", "2/2", "0/2"]).fine();
    whole(&player, &["rehearse", "log", "--session", "1", "--again", "2/2", "1/2"], "");
}

#[test]
fn results_without_a_session_that_were_cut_off_count_once() {
    let act = ["rehearse", "log", "--opponent", "north", "bh-short-fh=16/20", "fast-bh=3/4"];
    whole(&north(), &act, "");
    let player = north();
    player.run(&act).fine();
    let again = player.run(&act).refused();
    assert!(again.contains("--again writes them down a second time"), "{again}");
    player.run(&[&act[..], &["--again"]].concat()).fine();
    assert_eq!(journal_of(&player, "ball").len(), 4);
}

#[test]
fn a_sheet_that_was_cut_off_is_printed_under_one_number() {
    whole(&north(), &["rehearse", "north", "--launcher", "feeder", "--balls", "40"], "");
}

#[test]
fn an_opponent_half_forgotten_is_forgotten_the_second_time() {
    let player = north();
    player.run(&["debrief", "north", "--sentence", "flat"]).fine();
    whole(&player, &["forget", "north", "--yes"], "");
}

#[test]
fn a_debrief_told_better_and_cut_off_stands_once() {
    let player = north();
    player.run(&["debrief", "north", "--sentence", "flat"]).fine();
    whole(&player, &["debrief", "north", "--sentence", "waits for the push"], "");
}

#[test]
fn a_home_and_an_opponent_that_were_cut_off_are_as_if_never_cut() {
    whole(&Player::without_home(), &["init", "--name", "Invented", "--hand", "right"], "");
    let serve = "id=long-bh motion=backhand lane=backhand depth=long";
    whole(&north(), &["scout", "South hall", "--hand", "left", "--serve", serve], "");
}

#[test]
fn a_changed_serve_a_plan_and_an_event_that_were_cut_off_are_as_if_never_cut() {
    whole(&north(), &["scout", "change", "north", "bh-short-fh", "pace=slow"], "");
    whole(&north(), &["plan", "set", "north", "bh-short-fh", "backhand flick to middle"], "");
    whole(&north(), &["today", "--event", "Invented open=2026-12-05", "--against", "north"], "");
}

#[test]
fn a_launcher_and_a_setting_found_at_the_table_that_were_cut_off_are_as_if_never_cut() {
    let add = ["launcher", "add", "Hall", "--like", "fixed"];
    whole(&north(), &add, "");
    let player = north();
    player.run(&add).fine();
    let trim = ["launcher", "trim", "bh-short-fh", "--launcher", "hall", "--seen", "good"];
    whole(&player, &trim, "");
}

#[test]
fn answers_of_a_phone_that_were_cut_off_are_taken_in_once() {
    let player = north();
    player.run(&["phone", "write", player.beside("page").to_str().unwrap()]).fine();
    let key = player.read("phone.ron").split('"').nth(1).unwrap().to_owned();
    let event = |n: u64, fact: Value| {
        json!({"sitting": "k3f9x2mw", "n": n,
        "at": 1_764_064_000_000_u64 + n, "day": "2026-11-25", "fact": fact})
    };
    let scouted = |opponent: &str| {
        json!({"k": "scouted", "deck": null, "opponent": opponent,
        "serve": {"id": "new", "sure": "seen", "motion": "tomahawk", "depth": "short"}})
    };
    let ball = json!({"k": "ball", "deck": "k7f3q2", "serve": "bh-short-fh",
        "right": "forehand push", "made": 1, "missed": 0});
    let events = [
        event(1, ball),
        event(2, scouted("Invented south")),
        event(3, scouted("Left-hander, north hall")),
        event(4, json!({"k": "undo", "of": {"device": "k3f9x2mw", "n": 1}})),
    ];
    let text = json!({"secondball": "phone", "format": 1, "home": key, "version": "0.1.0", "made": 1,
        "count": events.len(), "events": events});
    let taken = player.copied().run_with_input(&["phone", "read", "-"], &text.to_string()).fine();
    assert!(taken.contains("Invented south"), "{taken}");
    whole(&player, &["phone", "read", "-"], &text.to_string());
}

/// Words that say that a point, or a serve counted, is kept.
fn acknowledged(said: &Said) -> usize {
    said.err.matches(" -> ").count()
}

#[test]
fn each_point_said_to_be_kept_is_kept_and_none_that_is_not() {
    let (act, input) = (["points", "north"], "fast-bh won\nbh-short-fh lost\nfast-bh lost\n");
    let calls = traced(&north(), &act, input).len();
    for at in 1..=calls {
        for how in REFUSALS.into_iter().chain([Strike::Kill, Strike::Torn]) {
            let player = north();
            let said = struck(&player, &act, input, at, how);
            let (told, kept) = (acknowledged(&said), journal_of(&player, "point").len());
            // What nothing can be done about any more may stand and not be told.
            let is_cut = !matches!(how, Strike::Full | Strike::Broken);
            assert!(
                kept == told || is_cut && kept == told + 1,
                "{how:?} at {at}: {kept} kept, {told} told: {}",
                said.err
            );
            if !matches!(how, Strike::Kill | Strike::Torn) {
                is_in_order(&said, &format!("{how:?} at {at}"));
            }
        }
    }
}

#[test]
fn eight_writers_killed_at_random_lose_no_point_that_was_told() {
    let (home, rounds) = (north(), if is_long() { 60 } else { 3 });
    let input = "fast-bh won\nbh-short-fh lost\nfast-bh lost\n".repeat(3);
    let (home, input) = (&home, &input);
    let written = move |writer: usize| {
        let of_match = format!("m{writer}");
        let act = ["points", "north", "--best-of", "7", "--match", &of_match];
        let strikes = (0..rounds).map(|round| 1 + (writer * 37 + round * 53) % 60);
        let said = strikes.map(|at| struck(home, &act, input, at, Strike::Kill));
        said.map(|said| acknowledged(&said)).sum::<usize>()
    };
    let told: Vec<usize> = std::thread::scope(|scope| {
        let writers: Vec<_> = (0..8).map(|writer| scope.spawn(move || written(writer))).collect();
        writers.into_iter().map(|writer| writer.join().unwrap()).collect()
    });
    for (writer, told) in told.iter().enumerate() {
        let of_match = json!(format!("m{writer}"));
        let points = journal_of(home, "point");
        let kept = points.iter().filter(|point| point["match"] == of_match).count();
        assert!((*told..=told + rounds).contains(&kept), "{kept} kept of {told} told");
    }
    assert!(told.iter().sum::<usize>() > 0);
    let check = home.run(&["check"]);
    let check = check.out + &check.err;
    assert!(!check.contains("journal/"), "{check}");
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
