//! What went wrong at the table comes back: into the next session, the plan, the bench sheet, the day and the
//! next thing to do.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::harness::{Player, flat};

/// Four of 22 is less than seven of ten, common practice for "not ready".
const SELDOM: &str = "bh-short-fh=4/22";

/// A player with the invented left-hander on file.
fn player() -> Player {
    let player = Player::with_home();
    player.write("decks/north.ron", include_str!("left-hander.ron"));
    player
}

fn logged(results: &[&str]) -> Player {
    let player = player();
    let log = ["rehearse", "log", "--opponent", "north"];
    player.run(&[&log[..], results].concat()).fine();
    player
}

/// The groove blocks of a session of 100: the serve and its balls, in order.
fn grooves(player: &Player, more: &[&str]) -> Vec<(String, u64)> {
    let ask = ["rehearse", "--launcher", "feeder", "--phase", "groove", "--balls", "100", "--json"];
    let session: Value =
        serde_json::from_str(&player.run(&[&ask[..], more].concat()).fine()).unwrap();
    let blocks = session["blocks"].as_array().unwrap().iter().filter(|it| it["phase"] == "groove");
    let balls = |block: &Value| block["log"][0]["balls"].as_u64().unwrap();
    blocks.map(|it| (it["around"].as_str().unwrap().to_owned(), balls(it))).collect()
}

fn balls_of(grooves: &[(String, u64)], serve: &str) -> u64 {
    let of_each = grooves.iter().fold(BTreeMap::new(), |mut sum, (serve, balls)| {
        *sum.entry(serve.clone()).or_insert(0) += balls;
        sum
    });
    of_each[serve]
}

#[test]
fn what_is_made_less_than_seven_of_ten_comes_first_and_more_often_next_time() {
    let firm = ["bh-short-fh=20/22", "bh-long-bh=9/10", "pend-short-bh=9/10", "pend-dead-mid=9/10"];
    let made = grooves(&logged(&firm), &[]);
    for serve in ["bh-short-fh", "bh-long-bh", "pend-short-bh", "pend-dead-mid"] {
        let missed = grooves(&logged(&[&format!("{serve}=4/22")]), &[]);
        assert_eq!(missed[0].0, serve, "{missed:?}");
        assert!(balls_of(&missed, serve) > balls_of(&made, serve), "{serve}: {missed:?} {made:?}");
    }
}

#[test]
fn a_serve_whose_answer_was_just_switched_comes_more_often() {
    let player = logged(&["bh-short-fh=20/22"]);
    let before = balls_of(&grooves(&player, &[]), "bh-short-fh");
    player
        .run(&["plan", "set", "north", "bh-short-fh", "forehand flick long to the backhand"])
        .fine();
    let after = balls_of(&grooves(&player, &[]), "bh-short-fh");
    assert!(after > before, "{after} after, {before} before");
}

#[test]
fn the_plan_and_the_bench_sheet_say_what_is_not_ready_at_the_table() {
    let player = logged(&[SELDOM]);
    for command in [&["plan", "north", "--why"][..], &["sheet", "north"]] {
        let said = flat(&player.run(command).fine());
        assert!(said.contains("made 4 of 22 at the table: not ready"), "{said}");
    }
    let player = logged(&["bh-short-fh=20/22"]);
    let said = flat(&player.run(&["plan", "north", "--why"]).fine());
    assert!(said.contains("made 20 of 22 at the table"), "{said}");
    assert!(!said.contains("not ready"), "{said}");
}

#[test]
fn the_bench_sheet_puts_what_is_not_made_before_what_is() {
    let first = |player: &Player| -> String {
        let sheet: Value =
            serde_json::from_str(&player.run(&["sheet", "north", "--json"]).fine()).unwrap();
        sheet["rows"][0]["serve"].as_str().unwrap().to_owned()
    };
    let rows = ["bh-short-fh", "bh-long-bh", "pend-short-bh", "pend-dead-mid"];
    let plain = first(&player());
    assert!(rows.contains(&plain.as_str()));
    assert_eq!(first(&logged(&[SELDOM])), "bh-short-fh");
}

#[test]
fn the_day_and_the_next_thing_send_what_is_not_ready_back_to_the_table() {
    let player = logged(&[SELDOM]);
    let said = flat(&player.run(&["today"]).fine());
    assert!(said.contains("At the table: short FH, made 4 of 22."), "{said}");
    // What was made since counts, not what was missed before.
    player.run(&["rehearse", "log", "--opponent", "north", "bh-short-fh=19/20"]).fine();
    let said = flat(&player.run(&["today"]).fine());
    assert!(!said.contains("At the table"), "{said}");
}
