//! The program as a whole: help, exit codes, words that must not appear.

use crate::harness::{Player, flat};

#[test]
fn help_is_a_result_and_a_wrong_flag_a_problem_of_the_request() {
    let player = Player::without_home();
    let help = player.run(&["--help"]).fine();
    assert!(help.starts_with("Prepare your receives against a known opponent"), "{help}");
    let refused = player.run(&["--no-such-flag"]);
    assert_eq!((refused.code, refused.out.as_str()), (1, ""));
}

#[test]
fn a_time_that_is_none_is_refused_with_the_form_it_should_have() {
    let mut player = Player::without_home();
    let said = player.at("tomorrow").run(&["today"]).refused();
    assert!(said.contains("`tomorrow` is not a time; write it as 2026-11-29"), "{said}");
}

#[test]
fn the_demonstration_does_the_whole_job_without_a_terminal() {
    let player = Player::without_home();
    let kept = player.beside("kept");
    let said = player.run(&["demo", "--all", "--keep", &kept.display().to_string()]);
    let out = said.fine();
    let steps = ["SCOUT", "PLAN", "DRILL", "THREE EVENINGS LATER", "DRILL THE SWITCH"];
    let later = ["REHEARSE", "WHERE YOU STAND", "PLAY", "AFTER THE MATCH"];
    for (number, step) in steps.iter().chain(&later).enumerate() {
        assert!(out.contains(&format!("\n{}. {step}, ", number + 1)), "no step {step}:\n{out}");
    }
    // The points of the invented match say which one answer to change.
    assert!(out.contains("PLAY     short FH: make the switch \"long push\""), "{out}");
    assert!(out.contains("Everything here is invented"), "{out}");
    assert!(out.contains("A simulated player played this"), "{out}");
    assert!(out.contains("switch cost"), "the switch round was not played:\n{out}");
    for file in ["sheet.txt", "session.csv", "player.ron", "decks/left-hander-north-hall.ron"] {
        assert!(kept.join(file).exists(), "{file} is missing");
    }
    for line in out.lines().filter(|line| !line.starts_with('$') && !line.contains("kept")) {
        assert!(line.chars().count() <= 80, "wider than 80 columns: {line}");
    }
}

#[test]
fn the_home_a_demonstration_leaves_can_be_gone_on_with() {
    let player = Player::without_home();
    let kept = player.beside("kept").display().to_string();
    player.run(&["demo", "--keep", &kept]).fine();
    let stands = player.run(&["--home", &kept]);
    assert_eq!(stands.err, "", "nothing is set aside: the demonstration lies in the past");
    assert!(stands.fine().contains("is today"));
    assert_eq!(player.run(&["check", "--home", &kept]).fine(), "everything reads well\n");
}

#[test]
fn a_demonstration_is_repeated_by_its_seed() {
    let run = || {
        let player = Player::without_home();
        let out = player.run(&["demo"]).fine();
        // Only the throw-away folder differs.
        let lines: Vec<_> = out.lines().filter(|line| !line.contains("secondball-demo-")).collect();
        lines.join("\n")
    };
    assert_eq!(run(), run());
}

#[test]
fn without_a_home_every_command_says_how_to_make_one() {
    for command in ["today", "check", "sheet", "drill", "rehearse"] {
        let refused = Player::without_home().run(&[command]).refused();
        assert!(refused.contains("secondball init"), "{command}: {refused}");
    }
}

#[test]
fn a_calendar_file_is_what_the_standard_asks_for() {
    let player = Player::with_home();
    player
        .run(&[
            "scout",
            "Invented opponent",
            "--hand",
            "right",
            "--from-habit",
            "pendulum-pair",
            "--yes",
        ])
        .fine();
    player.run(&["today", "--event", "Invented open=2026-12-05"]).fine();
    // A bare name is a file where the player stands, new or not.
    player.run(&["today", "--ics", "days.ics"]).fine();
    player.run(&["today", "--ics", "days.ics"]).fine();
    let text = std::fs::read_to_string(player.beside("days.ics")).unwrap_or_default();
    // RFC 5545, sections 3.1 (lines end in CRLF, at most 75 octets) and 3.6 (required properties).
    assert!(
        text.starts_with("BEGIN:VCALENDAR\r\n") && text.ends_with("END:VCALENDAR\r\n"),
        "{text}"
    );
    for line in text.split("\r\n") {
        assert!(line.len() <= 75 && !line.contains('\n'), "{line}");
    }
    assert!(text.contains("VERSION:2.0\r\n") && text.contains("PRODID:"), "{text}");
    let count = |what: &str| text.matches(what).count();
    let entries = count("BEGIN:VEVENT");
    assert!(entries >= 2, "{text}");
    assert_eq!((count("\r\nUID:"), count("\r\nDTSTAMP:")), (entries, entries), "{text}");
    assert!(text.contains("SUMMARY:Invented open"), "{text}");
    // Section 3.6.1: the end is not part of the event, so a whole day ends on the next.
    assert!(text.contains("DTSTART;VALUE=DATE:20261205\r\n"), "{text}");
    assert!(text.contains("DTEND;VALUE=DATE:20261206\r\n"), "{text}");
}

#[test]
fn a_deck_with_a_mistake_is_the_next_thing_and_never_reads_as_nothing_to_do() {
    let player = Player::with_home();
    player
        .run(&["scout", "Invented", "--hand", "right", "--from-habit", "pendulum-pair", "--yes"])
        .fine();
    player.run(&["today", "--event", "Invented open=2026-12-05", "--against", "invented"]).fine();
    let text = player.read("decks/invented.ron").replacen("motion: pendulum", "motion: pendulm", 1);
    player.write("decks/invented.ron", &text);
    let said = player.run(&[]);
    assert_eq!(said.code, 1);
    assert!(said.out.contains("decks/invented.ron has a mistake in it"), "{}", said.out);
    let said = player.run(&["today"]);
    assert_eq!(said.code, 1);
    assert!(!said.out.contains("Ready") && !said.out.contains("0 %"), "{}", said.out);
}

#[test]
fn an_event_that_is_past_is_refused_with_todays_date() {
    let player = Player::with_home();
    let said = player.run(&["today", "--event", "Old=2026-01-01"]).refused();
    assert!(said.contains("2026-01-01 is past; today is 2026-11-25"), "{said}");
}

#[test]
fn a_number_that_is_none_is_refused_in_plain_words() {
    let player = Player::with_home();
    let said = player.run(&["drill", "--minutes", "ten"]).refused();
    assert!(said.contains("`ten` is not a number"), "{said}");
    let said = player.run(&["drill", "--minutes", "-5", "--simulated"]).refused();
    assert!(said.contains("allowed is 1 to 120 min"), "{said}");
}

#[test]
fn an_opponent_of_an_event_who_is_not_there_is_found_and_told() {
    let player = Player::with_home();
    player.run(&["scout", "Invented", "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
    player.run(&["today", "--event", "Invented open=2026-12-05", "--against", "invented"]).fine();
    player.run(&["check"]).fine();
    let text = player.read("player.ron").replace("deck: \"invented\"", "deck: \"inventd\"");
    assert!(text.contains("inventd"), "{text}");
    player.write("player.ron", &text);
    let said = player.run(&["check"]);
    assert_eq!(said.code, 1);
    assert!(said.out.contains("`Invented open` is against `inventd`"), "{}", said.out);
    assert!(said.out.contains("did you mean `invented`?"), "{}", said.out);
    let today = player.run(&["today"]);
    assert!(today.err.contains("against `inventd`"), "{}", today.err);
}

#[test]
fn minutes_a_day_are_changed_where_they_were_first_asked_for() {
    let player = Player::with_home();
    let said = player.run(&["init", "--minutes", "20"]).fine();
    assert!(said.contains("20 min a day"), "{said}");
    assert!(
        player.read("player.ron").contains("minutes_a_day: 20"),
        "{}",
        player.read("player.ron")
    );
    player.run(&["init", "--minutes", "2000"]).refused();
    player.run(&["init", "--hand", "left"]).refused();
}

#[test]
fn a_place_where_nothing_can_be_written_is_a_problem_of_the_request() {
    let player = Player::with_home();
    player.run(&["scout", "Invented", "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
    player.run(&["today", "--event", "Invented open=2026-12-05"]).fine();
    let said = player.run(&["today", "--ics", "nowhere/days.ics"]).refused();
    assert!(said.contains("`nowhere/days.ics` cannot be written: its folder"), "{said}");
    assert!(!said.contains(".writing"), "{said}");
}

#[test]
fn a_forgotten_opponent_is_taken_out_of_the_events_and_the_rest_of_the_file_stays() {
    let player = Player::with_home();
    for name in ["North", "South"] {
        player.run(&["scout", name, "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
    }
    let events = [("Club day", "north"), ("Invented open", "north,south")];
    for (event, against) in events {
        let day = format!("{event}=2026-12-05");
        let mut ask = vec!["today", "--event", &day];
        against.split(',').for_each(|name| ask.extend(["--against", name]));
        player.run(&ask).fine();
    }
    let text = player.read("player.ron") + "// my own words\n";
    player.write("player.ron", &text);
    let said = player.run(&["forget", "north", "--yes"]).fine();
    let alone = "taken out of the event `Club day` in player.ron; it stays, with no opponent named";
    assert!(flat(&said).contains(alone), "{said}");
    assert!(said.contains("taken out of the event `Invented open` in player.ron\n"), "{said}");
    let text = player.read("player.ron");
    assert!(!text.contains("\"north\"") && text.contains("// my own words"), "{text}");
    let check = player.run(&["check"]).fine();
    assert!(!check.contains("0 error") && !check.contains("1 error"), "{check}");
    assert!(player.run(&["today"]).err.is_empty());
}

#[test]
fn who_is_forgotten_comes_back_out_of_the_bin_with_every_answer() {
    let mut player = with_a_plan();
    let keys = "right 500\n".repeat(40);
    std::fs::write(player.beside("keys"), keys).expect("a file");
    player.run(&["drill", "north", "--keys", "keys"]).fine();
    let (before, deck) = (player.run(&["progress"]).fine(), player.read("decks/north.ron"));
    let said = player.run(&["forget", "north", "--yes"]).fine();
    assert!(flat(&said).contains("lie in the bin until Fri 25 Dec"), "{said}");
    assert_ne!(player.run(&["progress"]).fine(), before);
    player.run(&["forget", "--undo", "south"]).refused();
    player.run(&["forget", "--undo", "north"]).fine();
    assert_eq!(player.read("decks/north.ron"), deck);
    assert_eq!(player.run(&["progress"]).fine(), before);
    player.run(&["forget", "north", "--yes"]).fine();
    // Whoever writes after a month sweeps the bin; with a deck of that name nothing is lost.
    player.run(&["scout", "South", "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
    player.at("2026-12-26").run(&["debrief", "south", "--sentence", "flat"]).fine();
    assert!(player.run(&["forget", "--undo", "north"]).refused().contains("no opponent"));
    assert_eq!(player.journal().matches("\"k\":\"answer\"").count(), 0);
}

#[test]
fn an_opponent_can_be_deleted_at_once() {
    let player = with_a_plan();
    player.run(&["debrief", "north", "--sentence", "flat"]).fine();
    let said = player.run(&["forget", "north", "--yes", "--at-once"]).fine();
    assert!(said.contains("and 1 event deleted"), "{said}");
    player.run(&["forget", "--undo", "north"]).refused();
    assert!(!player.journal().contains("debrief"));
}

#[test]
fn what_is_printed_for_others_waits_on_when_an_opponent_is_forgotten() {
    let player = Player::with_home();
    for name in ["North", "South"] {
        player.run(&["scout", name, "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
        let receive = "backhand push to middle long";
        player.run(&["plan", "set", name, "in-short", receive]).fine();
        player.run(&["rehearse", "--opponent", name, "--launcher", "feeder"]).fine();
    }
    player.run(&["forget", "north", "--yes"]).fine();
    player.run(&["rehearse", "log", "--session", "1", "1/2"]).refused();
    player.run(&["rehearse", "log", "--session", "2", "1/2"]).fine();
    assert!(!player.read("rehearsals.ron").contains("North"), "nothing of who is forgotten stays");
}

#[test]
fn a_printed_sheet_can_be_logged_after_the_cache_was_deleted_and_from_where_it_once_waited() {
    let player = Player::with_home();
    player.run(&["scout", "North", "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
    player.run(&["plan", "set", "north", "in-short", "backhand push to middle long"]).fine();
    for _ in 0..2 {
        player
            .run(&["rehearse", "--opponent", "north", "--launcher", "feeder", "--seed", "5"])
            .fine();
    }
    let _ = std::fs::remove_dir_all(player.home().join("cache"));
    player.run(&["rehearse", "log", "--session", "1", "1/2"]).fine();
    let text = player.read("rehearsals.ron");
    std::fs::remove_file(player.home().join("rehearsals.ron")).expect("the file");
    player.write("cache/rehearsals.ron", &text);
    let said = player.run(&["rehearse", "log", "--session", "1", "1/2"]).refused();
    assert!(said.contains("written down already"), "{said}");
}

#[test]
fn what_is_found_is_counted_without_naming_what_is_not_there() {
    let player = Player::with_home();
    player.write("decks/broken.ron", "(format: 1, ");
    let said = player.run(&["check"]);
    assert_eq!(said.code, 1);
    assert!(said.out.ends_with("\n1 error\n"), "{}", said.out);
}

/// A home with a deck, a plan and a page written.
fn with_a_plan() -> Player {
    let player = Player::with_home();
    player.run(&["scout", "North", "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
    player.run(&["plan", "set", "north", "in-short", "backhand push to middle long"]).fine();
    player.run(&["phone", "write", "page"]).fine();
    player
}

#[test]
fn a_file_that_is_not_there_no_text_or_too_large_is_refused_alike_everywhere() {
    let player = with_a_plan();
    std::fs::write(player.beside("latin"), b"caf\xe9").expect("a file");
    std::fs::write(player.beside("large"), vec![b' '; 9 * 1024 * 1024]).expect("a file");
    let commands: [&[&str]; 5] = [
        &["scout", "take"],
        &["points", "north", "--csv"],
        &["drill", "north", "--keys"],
        &["phone", "read"],
        &["launcher", "calibrate", "--launcher", "per-ball"],
    ];
    for (file, words) in [
        ("nowhere", "there is no file `nowhere`"),
        ("latin", "`latin` is not text\n"),
        ("large", "`large` is larger than 8 MB"),
    ] {
        for command in commands {
            let said = player.run(&[command, &[file]].concat()).refused();
            assert!(said.contains(words), "{command:?}: {said}");
        }
    }
}

#[test]
fn an_input_that_is_no_text_is_a_problem_of_the_input() {
    let player = with_a_plan();
    let commands: [&[&str]; 5] = [
        &["points", "north"],
        &["points", "north", "--csv", "-"],
        &["phone", "read", "-"],
        &["scout", "count", "north"],
        &["plan", "choose", "north", "--all"],
    ];
    for command in commands {
        let said = player.run_with_bytes(command, b"caf\xe9\n").refused();
        assert!(said.contains("the standard input is not text"), "{command:?}: {said}");
    }
}

#[test]
fn nobody_is_forgotten_while_the_player_file_cannot_be_read() {
    let player = with_a_plan();
    player.run(&["today", "--event", "Open=2026-12-05", "--against", "north"]).fine();
    let good = player.read("player.ron");
    player.write("player.ron", "(format: 1, ");
    player.run(&["forget", "north", "--yes"]).refused();
    assert!(player.home().join("decks/north.ron").exists(), "nothing was deleted");
    player.write("player.ron", &good);
    let said = player.run(&["forget", "north", "--yes"]).fine();
    assert!(said.contains("taken out of the event `Open`"), "{said}");
}

#[test]
fn a_count_takes_its_opponent_by_place_and_as_a_flag() {
    let player = with_a_plan();
    for whom in [&["north"][..], &["--opponent", "north"]] {
        let said = player.run_with_input(&[&["scout", "count"], whom].concat(), "1q").fine();
        assert!(said.starts_with("1 serve\n"), "{said}");
    }
}
