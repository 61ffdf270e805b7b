//! Copies that folder tools and editors leave beside a home's files: named, not read twice, settled.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use std::collections::BTreeMap;
use std::io::{Read as _, Write as _};

use crate::drill::terminal::begun;
use crate::harness::{Player, flat};

/// The patterns of folder tools and editors.
const PATTERNS: [&str; 9] = [
    "NAME (conflicted copy 2026-11-28).ron",
    "NAME (Kim's tablet's conflicted copy 2026-11-28) (1).ron",
    "NAME.sync-conflict-20261128-101010-ABCDEFG.ron",
    "NAME (1).ron",
    "NAME - Copy.ron",
    "NAME - Copy (2).ron",
    "NAME_conf(tablet).ron",
    "NAME.ron~",
    "NAME.ron.orig",
];

fn kim() -> Player {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
    player.run(&["launcher", "add", "hall", "--like", "fixed"]).fine();
    player.run(&["rehearse", "kim", "--launcher", "feeder", "--balls", "40"]).fine();
    player.write("table.ron", "(surface: (friction: 0.3))\n");
    player.write("phone.ron", "(format: 1, key: \"abcdef\")\n");
    player.run_with_input(&["points", "kim"], "in-short won\nend\n").fine();
    player
}

/// Runs the program in a terminal in which these answers are typed.
fn typed(player: &Player, arguments: &[&str], answers: &str) -> (u32, String) {
    let (mut child, master) = begun(player, arguments);
    let mut reader = master.try_clone_reader().unwrap();
    let mut writer = master.take_writer().unwrap();
    writer.write_all(answers.as_bytes()).unwrap();
    let seen = std::thread::spawn(move || {
        let mut seen = Vec::new();
        // The end of a pty may come as an error.
        let _ = reader.read_to_end(&mut seen);
        String::from_utf8_lossy(&seen).into_owned()
    });
    let code = child.wait().unwrap().exit_code();
    drop((writer, master));
    (code, seen.join().unwrap())
}

/// Every file of a folder of the home that is no lock, by name.
fn files(player: &Player, folder: &str) -> BTreeMap<String, String> {
    let read = std::fs::read_dir(player.home().join(folder)).into_iter().flatten().flatten();
    let files = read.filter(|entry| entry.path().is_file());
    let files = files.map(|entry| entry.file_name().to_string_lossy().into_owned());
    let files = files.filter(|name| !name.starts_with('.'));
    files.map(|name| (name.clone(), player.read(&format!("{folder}/{name}")))).collect()
}

#[test]
fn copies_of_every_kind_are_named_by_check_and_none_is_read_as_another_opponent() {
    let player = kim();
    let before = player.run(&["today"]);
    let device = files(&player, "journal").into_keys().next().unwrap().replace(".jsonl", "");
    let mut unseen = Vec::new();
    for of in ["player", "decks/kim", "launchers/hall", "table", "phone", "rehearsals"] {
        for pattern in PATTERNS {
            let copy = pattern.replace("NAME", of);
            player.write(&copy, &player.read(&format!("{of}.ron")));
            let check = player.run(&["check"]);
            let is_named =
                flat(&check.out).contains(&format!("{copy}: warning: this is a copy of"));
            if check.code != 1
                || !is_named
                || check.out.lines().any(|line| line.contains("one key"))
            {
                unseen.push(format!("{copy}: {} {}", check.code, check.out));
            }
            assert_eq!(player.run(&["today"]), before, "{copy}");
            std::fs::remove_file(player.home().join(copy)).unwrap();
        }
    }
    let own = format!("journal/{device}.jsonl");
    let copy = format!("journal/{device}.sync-conflict-20261128-101010-ABCDEFG.jsonl");
    player.write(&copy, &player.read(&own));
    let check = player.run(&["check"]);
    assert!(check.code == 1 && flat(&check.out).contains("this is a copy of"), "{}", check.out);
    assert!(unseen.is_empty(), "{}", unseen.join("\n"));
}

#[test]
fn a_deck_of_its_own_key_is_an_opponent_whatever_it_is_called() {
    let player = kim();
    let deck = player.read("decks/kim.ron");
    let (_, behind) = deck.split_once("key: \"").unwrap();
    let key = behind.split('"').next().unwrap();
    player.write("decks/kim (Hall 2).ron", &deck.replace(key, "anotherkey"));
    player.run(&["check"]).fine();
    assert!(player.run(&["plan", "kim (Hall 2)"]).code == 0);
}

/// What a home holds after it was edited on one device.
fn edited_on(player: &Player, device: &str, serve: &str, change: &str, balls: &str) {
    player.run(&["scout", "change", "kim", serve, change]).fine();
    player.run(&["today", "--event", &format!("Open {device}=2026-12-05")]).fine();
    player.run(&["rehearse", "kim", "--launcher", "feeder", "--balls", balls]).fine();
    player.run_with_input(&["points", "kim"], "out-short lost\nend\n").fine();
}

#[test]
fn two_homes_edited_apart_are_one_after_settling_in_any_order_and_nothing_is_lost() {
    let kinds = ["player", "decks/kim", "rehearsals"].map(|kind| format!("{kind}.ron"));
    let own = "journal/testdevice.jsonl";
    let mut settled = Vec::new();
    for marks in [["(1)", "(2)"], ["(2)", "(1)"]] {
        let player = kim();
        let state = || kinds.each_ref().map(|kind| player.read(kind));
        let back =
            |state: &[String; 3]| kinds.iter().zip(state).for_each(|(k, s)| player.write(k, s));
        let was = state();
        let edits = [
            ("here", "in-short", "weight=heavy", "50"),
            ("tablet", "in-short", "note=seen on the tablet", "60"),
            ("phone", "out-short", "note=seen on the phone", "70"),
        ];
        let apart = edits.map(|(device, serve, change, balls)| {
            back(&was);
            edited_on(&player, device, serve, change, balls);
            state()
        });
        back(&apart[0]);
        // The journal here lacks the last two lines; each copy has one of them.
        let whole = player.read(own);
        let lines: Vec<&str> = whole.split_inclusive('\n').collect();
        let (known, new) = lines.split_at(lines.len() - 2);
        player.write(own, &known.concat());
        for (mark, (state, line)) in marks.iter().zip(apart[1..].iter().zip(new)) {
            for (kind, text) in kinds.iter().zip(state) {
                player.write(&kind.replace(".ron", &format!(" {mark}.ron")), text);
            }
            player.write(&format!("journal/testdevice {mark}.jsonl"), &(known.concat() + line));
        }
        let listed = player.run(&["check", "--settle"]);
        assert_eq!(listed.code, 1, "{}{}", listed.out, listed.err);
        assert!(files(&player, "decks").contains_key("kim (1).ron"), "{}", listed.out);
        assert!(listed.out.contains("serve in-short, note"), "{}", listed.out);
        let (code, seen) = typed(&player, &["check", "--settle"], &"join\r".repeat(6));
        assert_eq!(code, 0, "{seen}");
        player.run(&["check"]).fine();
        assert_eq!(player.read(own), whole, "{seen}");
        let deck = player.read("decks/kim.ron");
        for part in ["weight: heavy", "seen on the tablet", "seen on the phone"] {
            assert!(deck.contains(part), "{part}: {deck}\n{seen}");
        }
        let events = player.read("player.ron");
        assert!(edits.iter().all(|edit| events.contains(edit.0)), "{events}");
        let sheets = player.read("rehearsals.ron");
        assert_eq!(sheets.matches("asked:").count(), 4, "{sheets}\n{seen}");
        // Nothing is deleted: the copies lie in the bin, and what was replaced.
        assert_eq!(files(&player, "bin/copies").len(), 8 + 6, "{seen}");
        settled.push(player.run(&["scout", "show", "kim"]).fine());
    }
    assert_eq!(settled[0], settled[1]);
}

#[test]
fn what_is_taken_from_a_copy_leaves_the_other_in_the_bin_and_later_leaves_both() {
    let player = kim();
    let mine = player.read("decks/kim.ron");
    let theirs = mine.replace("opponent: \"Kim\"", "opponent: \"Kim Two\"");
    player.write("decks/kim (1).ron", &theirs);
    let (code, seen) = typed(&player, &["check", "--settle"], "\r");
    assert_eq!((code, player.read("decks/kim (1).ron")), (1, theirs.clone()), "{seen}");
    assert!(seen.contains("Kim Two"), "{seen}");
    let (code, seen) = typed(&player, &["check", "--settle"], "take\r");
    assert_eq!((code, player.read("decks/kim.ron")), (0, theirs), "{seen}");
    let bin = files(&player, "bin/copies");
    assert!(bin.values().any(|text| *text == mine) && bin.len() == 2, "{bin:?}");
    // The same is moved away without a question.
    player.write("decks/kim (2).ron", &player.read("decks/kim.ron"));
    let (code, seen) = typed(&player, &["check", "--settle"], "");
    assert_eq!(code, 0, "{seen}");
    assert_eq!(files(&player, "decks").len(), 1);
}

#[test]
fn a_forgotten_opponent_does_not_come_back_by_a_copy_and_copies_go_after_30_days() {
    let mut player = kim();
    player.write("decks/kim (1).ron", &player.read("decks/kim.ron"));
    player.run(&["forget", "kim", "--yes"]).fine();
    assert!(files(&player, "decks").is_empty());
    assert_eq!(files(&player, "bin/copies").len(), 1);
    player.at("2026-12-30").run(&["forget", "nobody", "--yes"]).refused();
    assert!(files(&player, "bin/copies").is_empty());
}
