//! A folder of files with one mistake each, and the exact words the player gets for it.
//!
//! Every `tests/bad_files/NAME.ron` is put into a home, as a deck or (`player-NAME.ron`) as the player
//! file, and `NAME.txt` beside it holds what is said. With `WRITE_EXPECTED=1` in the environment the
//! texts are written anew, to be read by a person before they are kept.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use std::fmt::Write as _;
use std::path::Path;

use secondball::base::Gravity;
use secondball::deck::Player;
use secondball::game::Hand;
use secondball::store::{Device, Home, judge_launcher};

/// What is said about one file.
fn said_about(path: &Path) -> String {
    let folder = tempfile::tempdir().unwrap();
    let home = Home::at(folder.path().to_owned(), Device::named("test"));
    home.create(&Player::new("Invented", Hand::Right)).unwrap();
    let name = path.file_name().unwrap().to_str().unwrap();
    let bytes = std::fs::read(path).unwrap();
    let inside =
        if name.starts_with("player-") { "player.ron".to_owned() } else { format!("decks/{name}") };
    std::fs::write(folder.path().join(inside), &bytes).unwrap();
    let findings = home.check();
    let mut said = String::new();
    for finding in &findings {
        writeln!(said, "{}", finding.shown()).unwrap();
    }
    // An error refuses the file; warnings and advice do not.
    let is_refused = home.decks().unwrap().is_empty() || home.player().is_err();
    let is_player = name.starts_with("player-");
    let is_refused = if is_player { home.player().is_err() } else { is_refused };
    let has_error = findings.iter().any(|finding| finding.gravity == Gravity::Error);
    assert_eq!(is_refused, has_error, "{name}:\n{said}");
    said
}

#[test]
fn every_mistake_is_told_with_its_place_and_the_way_out() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad_files");
    let mut wrong = String::new();
    let mut count = 0;
    let mut paths: Vec<_> =
        std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths.iter().filter(|path| path.extension().is_some_and(|ending| ending == "ron")) {
        count += 1;
        let said = said_about(path);
        let expected_path = path.with_extension("txt");
        if std::env::var_os("WRITE_EXPECTED").is_some() {
            std::fs::write(&expected_path, &said).unwrap();
        }
        let expected = std::fs::read_to_string(&expected_path).unwrap_or_default();
        if said != expected || said.is_empty() {
            let name = path.file_name().unwrap().display();
            writeln!(wrong, "== {name}\n-- said\n{said}-- expected\n{expected}").unwrap();
        }
    }
    assert!(count > 60, "only {count} files found");
    assert!(wrong.is_empty(), "{wrong}");
}

/// A dial from minus infinity was set to "about NaN", and what holds no number could not be changed.
#[test]
fn dials_and_calibrations_of_a_launcher_are_numbers() {
    let mine = include_str!("../fixtures/first/launchers/mine.ron");
    let own = "calibrated: (balls: 9, landing_off_m: 0.1, curves: [(sets: speed, points: [\
        (dial: 1.0, makes: 30.0, give_or_take: 0.5), (dial: 2.0, makes: 40.0, give_or_take: 0.5)])])";
    let mine = format!("{}\n{own})", mine.trim_end().trim_end_matches(')'));
    judge_launcher("a", &mine).unwrap();
    for (sound, wrong) in [
        ("least: 1.0", "least: -inf"),
        ("landing_off_m: 0.1", "landing_off_m: NaN"),
        ("give_or_take: 0.5", "give_or_take: NaN"),
    ] {
        let findings = judge_launcher("a", &mine.replacen(sound, wrong, 1)).unwrap_err();
        assert_eq!(findings.len(), 1, "{wrong}: {findings:?}");
    }
}
