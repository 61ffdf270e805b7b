//! Files people edit, changed by several at once, cut off, damaged.

use std::collections::BTreeSet;

use crate::harness::{Player, flat};

/// A home with one opponent who has so many serves.
fn with_serves(count: usize) -> Player {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
    let text = player.read("decks/kim.ron");
    let serve = |number| format!("(id: \"s{number}\", motion: hook, spin: dead, depth: long),");
    let serves: Vec<String> = (0..count).map(serve).collect();
    let own = format!("serves: [ // my own words\n{}\n", serves.join("\n"));
    player.write("decks/kim.ron", &text.replacen("serves: [", &own, 1));
    player
}

/// Runs what belongs to each number, in eight processes at once.
fn eight_at_once(count: usize, act: impl Fn(usize) + Sync) {
    std::thread::scope(|threads| {
        for first in 0..8 {
            let act = &act;
            threads.spawn(move || (first..count).step_by(8).for_each(act));
        }
    });
}

#[test]
fn of_186_changes_of_one_deck_by_eight_at_once_none_is_lost() {
    let player = with_serves(62);
    eight_at_once(186, |number| {
        let serve = format!("s{}", number / 3);
        let change = ["scout", "change", "kim", &serve];
        match number % 3 {
            0 => player.run(&[&change[..], &["weight=heavy"]].concat()).fine(),
            1 if number < 184 => {
                player.run(&[&change[..], &[&format!("note=seen {serve}")]].concat()).fine()
            }
            1 => player.run(&["plan", "safe", "kim", "backhand push to middle long"]).fine(),
            _ => {
                player.run(&["plan", "set", "kim", &serve, "forehand drive to middle long"]).fine()
            }
        };
    });
    let text = player.read("decks/kim.ron");
    let missing: Vec<String> = (0..62)
        .flat_map(|number| {
            let line = text.lines().find(|line| line.contains(&format!("(id: \"s{number}\"")));
            let line = line.unwrap_or_default().to_owned();
            let is_there = [
                line.contains("weight: heavy"),
                number == 61 || text.contains(&format!("\"seen s{number}\"")),
                text.contains(&format!("\"s{number}\": (")),
            ];
            is_there
                .into_iter()
                .zip(["weight", "note", "receive"])
                .filter(|(is, _)| !is)
                .map(move |(_, what)| format!("s{number} {what}"))
        })
        .collect();
    assert!(missing.is_empty(), "{missing:?}\n{text}");
    assert!(text.contains("safe: ") && text.contains("// my own words"), "{text}");
    player.run(&["plan", "kim"]).fine();
}

#[test]
fn events_written_down_by_eight_at_once_are_all_there() {
    let player = Player::with_home();
    eight_at_once(32, |number| {
        let event = format!("Open {number}.=2026-12-{:02}", 1 + number % 28);
        player.run(&["today", "--event", &event]).fine();
    });
    let text = player.read("player.ron");
    let lost: Vec<_> = (0..32).filter(|n| !text.contains(&format!("\"Open {n}.\""))).collect();
    assert!(lost.is_empty(), "{lost:?}\n{text}");
}

#[test]
fn of_48_sheets_printed_by_eight_at_once_no_two_have_one_number() {
    let player = with_serves(2);
    player.run(&["plan", "set", "kim", "s0", "forehand drive to middle long"]).fine();
    let numbers = std::sync::Mutex::new(BTreeSet::new());
    eight_at_once(48, |number| {
        let (balls, seed) = (format!("{}", 40 + number), number.to_string());
        let sheet = player
            .run(&[
                "rehearse",
                "--opponent",
                "kim",
                "--launcher",
                "feeder",
                "--balls",
                &balls,
                "--seed",
                &seed,
            ])
            .fine();
        let (_, behind) = sheet.split_once("session ").expect("a sheet names its session");
        let number: String = behind.chars().take_while(char::is_ascii_digit).collect();
        assert!(numbers.lock().unwrap().insert(number.clone()), "{number} twice");
    });
    assert_eq!(numbers.lock().unwrap().len(), 48);
}

#[test]
fn what_a_cut_off_write_left_behind_is_swept_and_a_living_one_is_not() {
    let player = with_serves(1);
    let own = format!("decks/.writing-{}-a", std::process::id());
    let gone = ["decks/.writing-4194999-a", "journal/.writing-4194999-b", ".writing-old"];
    for file in gone.iter().copied().chain([own.as_str()]) {
        player.write(file, "Kim");
    }
    let file = std::fs::File::options().append(true).open(player.home().join(".writing-old"));
    let hours = std::time::Duration::from_hours(2);
    file.unwrap().set_modified(std::time::SystemTime::now() - hours).unwrap();
    player.run(&["scout", "change", "kim", "s0", "weight=heavy"]).fine();
    let left: Vec<_> = gone.iter().filter(|file| player.home().join(file).exists()).collect();
    assert!(left.is_empty(), "{left:?}");
    assert!(player.home().join(&own).exists(), "somebody is writing it");
    player.write(gone[1], "Kim");
    player.run(&["forget", "kim", "--yes"]).fine();
    assert!(!player.home().join(gone[1]).exists(), "nothing of who is forgotten stays");
}

/// A home in which every file that people or the tool write is there and right.
fn with_every_file() -> Player {
    let player = with_serves(1);
    player.run(&["plan", "set", "kim", "s0", "forehand drive to middle long"]).fine();
    player.run(&["rehearse", "--opponent", "kim", "--launcher", "feeder"]).fine();
    player.run(&["launcher", "add", "hall", "--like", "fixed"]).fine();
    player.write("table.ron", "(surface: (friction: 0.3))\n");
    player.write("phone.ron", "(format: 1, key: \"abcdef\")\n");
    player
}

#[test]
fn every_damage_of_every_file_is_named_by_check() {
    let player = with_every_file();
    let files = ["rehearsals.ron", "phone.ron", "table.ron", "launchers/hall.ron", "player.ron"];
    let check = player.run(&["check"]);
    assert!(files.iter().all(|file| !check.out.contains(file)), "{}", check.out);
    let mut unseen = Vec::new();
    let damage = |file: &str, name: &str, bytes: &[u8], unseen: &mut Vec<String>| {
        let whole = player.read(file);
        std::fs::write(player.home().join(file), bytes).unwrap();
        let check = player.run(&["check"]);
        if check.code != 1 || !check.out.contains(file) {
            unseen.push(format!("{file} {name}: {}\n{}", check.code, check.out));
        }
        player.write(file, &whole);
    };
    for file in files {
        let text = player.read(file);
        damage(file, "empty", b"", &mut unseen);
        damage(file, "cut off", &text.as_bytes()[..text.len() - 3], &mut unseen);
        damage(file, "no text", b"\xff\xfe\x00", &mut unseen);
        let at = text.rfind(')').unwrap();
        let more = [&text[..at], ", nobody_knows: 1", &text[at..]].concat().replace(",\n,", ",\n");
        let more = more.replace(",, nobody", ", nobody");
        damage(file, "another field", more.as_bytes(), &mut unseen);
    }
    let sheets = player.read("rehearsals.ron");
    let (head, list) = sheets.split_once('[').unwrap();
    let list = list.trim_end().trim_end_matches(']').trim_end().trim_end_matches(',');
    let twice = format!("{head}[{list},{list}]\n");
    damage("rehearsals.ron", "a number twice", twice.as_bytes(), &mut unseen);
    let far = b"(surface: (friction: -3.0))";
    damage("table.ron", "a friction below zero", far, &mut unseen);
    damage("phone.ron", "no key", b"(format: 1, key: \"\")", &mut unseen);
    player.write("player (copy of the tablet).ron", &player.read("player.ron"));
    let check = player.run(&["check"]);
    if check.code != 1 || !check.out.contains("player (copy of the tablet).ron") {
        unseen.push(format!("a copy left by a sync: {}", check.out));
    }
    assert!(unseen.is_empty(), "{}", unseen.join("\n"));
}

#[test]
fn sheets_that_cannot_be_read_are_moved_aside_before_new_ones_wait_there() {
    let player = with_every_file();
    let damaged = player.read("rehearsals.ron").replace("lines:", "lynes:");
    player.write("rehearsals.ron", &damaged);
    let said = player.run(&["rehearse", "log", "--session", "1", "1/2"]).refused();
    assert!(said.contains("rehearsals.ron:"), "{said}");
    let said = player.run(&["rehearse", "--opponent", "kim", "--launcher", "feeder"]);
    assert!(flat(&said.err).contains("is kept as rehearsals.ron.unreadable-1"), "{}", said.err);
    said.fine();
    assert_eq!(player.read("rehearsals.ron.unreadable-1"), damaged);
    let check = player.run(&["check"]);
    assert_eq!(check.code, 1);
    assert!(check.out.contains("rehearsals.ron.unreadable-1"), "{}", check.out);
}

#[test]
fn check_and_today_read_where_this_device_cannot_be_remembered_and_nothing_is_written() {
    let player = Player::with_home();
    std::fs::remove_dir_all(player.beside("state")).unwrap();
    std::fs::write(player.beside("state"), "no folder").unwrap();
    assert!(player.run(&["check"]).fine().contains("reads well"));
    player.run(&["today"]).fine();
    let deck = "[(format: 1, key: \"abcdef\", opponent: \"Kim\", serves: [(id: \"s0\")])]";
    player.write("decks/kim.ron", &deck[1..deck.len() - 1]);
    let input = "s0 won\nend\n";
    let said = player.run_with_input(&["points", "kim"], input).refused();
    assert!(
        flat(&said).contains("cannot be written in") && said.contains("XDG_STATE_HOME"),
        "{said}"
    );
}
