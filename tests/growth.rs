//! Many opponents, and files of sizes that nobody needs.

use std::fmt::Write as _;

use crate::harness::{Player, flat};

/// A deck of so many serves, each planned.
fn deck(name: &str, serves: usize) -> String {
    let (mut listed, mut plan) = (String::new(), String::new());
    for serve in 0..serves {
        let _ = writeln!(listed, "(id: \"s{serve}\", spin: backspin, depth: short),");
        let _ = writeln!(plan, "\"s{serve}\": (wing: forehand, stroke: push),");
    }
    format!(
        "(format: 1, key: \"{name}\", opponent: \"{name}\", serves: [{listed}], plan: {{{plan}}})"
    )
}

/// A home with thirty opponents; number 20 is met at the event.
fn with_thirty_opponents() -> Player {
    let player = Player::with_home();
    for number in 0..30 {
        player.write(&format!("decks/no{number:02}.ron"), &deck(&format!("no{number:02}"), 2));
    }
    player.run(&["today", "--event", "Open=2026-12-05", "--against", "no20"]).fine();
    player
}

#[test]
fn the_first_screen_speaks_of_those_of_the_event() {
    let player = with_thirty_opponents();
    let said = player.run(&[]).fine();
    assert!(said.contains("against no20."), "{said}");
    assert!(said.contains("Ready for 0 of 2 serves."), "{said}");
}

#[test]
fn a_page_of_many_opponents_takes_those_of_the_event_along_and_says_so() {
    let player = with_thirty_opponents();
    let said = player.run(&["phone", "write", "page"]);
    assert!(flat(&said.err).contains("12 of your 30 opponents go along"), "{}", said.err);
    let page = std::fs::read_to_string(player.beside("page/index.html")).unwrap();
    assert!(page.contains("no20") && !page.contains("no29"));
    let said = player.run(&["phone", "write", "page", "--opponent", "no29"]);
    assert!(!said.err.contains("go along"), "{}", said.err);
    let page = std::fs::read_to_string(player.beside("page/index.html")).unwrap();
    assert!(page.contains("no29") && !page.contains("no20"));
}

/// Twelve opponents of the usual size made a page that was refused.
#[test]
fn of_those_nobody_asked_for_as_many_go_along_as_fit() {
    let player = Player::with_home();
    let why = format!("stroke: push, why: \"{}\"", "x".repeat(19_000));
    for number in 0..20 {
        let name = format!("no{number:02}");
        player.write(&format!("decks/{name}.ron"), &deck(&name, 1).replace("stroke: push", &why));
    }
    let said = player.run(&["phone", "write", "page"]);
    assert!(flat(&said.err).contains(" of your 20 opponents go along"), "{}", said.err);
    said.fine();
}

/// What `check` says of a home with this deck.
fn checked(deck: &str) -> String {
    let player = Player::with_home();
    player.write("decks/kim.ron", deck);
    let said = player.run(&["check"]);
    assert_eq!(said.code, 1, "{}", said.out);
    said.out
}

#[test]
fn an_id_or_a_key_repeated_ten_thousand_times_on_one_line_is_told_in_few_words() {
    let line = |text: &str| text.replace('\n', " ");
    let keys = "\"s0\": (wing: forehand, stroke: push), ".repeat(10_000);
    let said = checked(&line(&deck("kim", 1)).replace("plan: {", &format!("plan: {{{keys}")));
    assert!(said.len() < 20_000, "{}", said.len());
    assert!(said.contains("not shown: 9900 more things"), "{said}");
    let serves = "(id: \"s0\"), ".repeat(10_000);
    let said = checked(&line(&deck("kim", 1)).replace("serves: [", &format!("serves: [{serves}")));
    assert!(said.contains("10001 serves; 1000 at most"), "{said}");
}

#[test]
fn a_name_of_megabytes_and_a_deck_of_thousands_are_refused_with_their_limit() {
    let said = checked(
        &deck("kim", 1).replace("\"kim\", s", &format!("\"{}\", s", "x".repeat(5_000_000))),
    );
    assert!(said.contains("decks/kim.ron:1:") && said.contains("20000 at most"), "{said}");
    assert!(checked(&deck("kim", 5000)).contains("5000 serves; 1000 at most"));
}

#[test]
fn a_list_of_a_million_rows_stops_at_its_limit() {
    let player = Player::with_home();
    player.write("decks/kim.ron", &deck("kim", 1));
    let file = player.beside("points.csv");
    let path = file.to_str().unwrap();
    std::fs::write(&file, format!("match,server,won\n{}", "m,me,1\n".repeat(1_000_000))).unwrap();
    let said = player.run(&["points", "kim", "--csv", path]).refused();
    assert!(said.contains("more than 20000 points"), "{said}");
    std::fs::write(&file, format!("match,server,won\n{}", "m,who,2\n".repeat(1_000_000))).unwrap();
    let said = player.run(&["points", "kim", "--csv", path]).refused();
    assert!(said.contains("not shown:") && said.len() < 30_000, "{said}");
}
