//! What was found at the table is kept with the launcher, and printed next time by all who print
//! settings.

use super::{json, player};
use crate::harness::{Player, flat};

/// A player with a launcher of two wheels, tilted and turned by hand.
fn with_hall() -> Player {
    let player = player();
    let knobs = "upper 0 10 0.5, lower 0 10 0.5, balls 0 10 1";
    let flags = ["--wheels=two", "--head=no", "--tilt=30", "--swing=no", "--stores=0"];
    let rest = ["--lowest=28", "--slowest=25", "--knobs", knobs];
    player.run(&[&["launcher", "add", "Hall"], &flags[..], &rest].concat()).fine();
    player
}

const TRIM: [&str; 5] = ["launcher", "trim", "pend-short-bh", "--launcher", "hall"];

/// The dials of the line that begins so.
fn dials(said: &str, begins: &str) -> String {
    let line = said.lines().find_map(|line| line.trim_start().strip_prefix(begins));
    line.unwrap_or_else(|| panic!("no `{begins}` in\n{said}")).to_owned()
}

#[test]
fn trimming_begins_with_the_guess_turns_what_there_is_and_keeps_what_was_found() {
    let player = with_hall();
    // Asked in words that were printed; a wheel of this launcher turns, its head is pointed.
    let said = player.run_with_input(&TRIM, "too short\ntoo far left\nas wanted\n");
    assert_eq!(said.code, 0, "{}", said.err);
    let guess = dials(&said.out, "dials    about ");
    assert!(said.out.contains("turn the whole launcher a degree to the right"), "{}", said.out);
    let kept = dials(&said.out, "kept: last time, ");
    assert!(guess.contains("upper") && kept.contains("upper"), "{guess} {kept}");
    let file = player.read("launchers/hall.ron");
    assert!(file.contains("kept") && file.contains("pend-short-bh"), "{file}");
    // Next time trimming begins there, and the sheets and the phone say the same.
    let again = player.run(&[&TRIM[..], &["--seen", "good"]].concat()).fine();
    assert_eq!(dials(&again, "dials    last time, "), kept);
    assert_eq!(dials(&again, "kept: last time, "), kept);
    let aim = player.run(&["launcher", "aim", "north", "--launcher", "hall", "--all"]).fine();
    assert_eq!(dials(&aim, "dials    last time, "), kept);
    let rehearse = ["rehearse", "--launcher", "hall", "--balls", "40"];
    let sheet = player.run(&rehearse).fine();
    assert!(flat(&sheet).contains(&format!("last time, {kept}")), "{kept}: {sheet}");
    let page = player.beside("page");
    let write = ["phone", "write", page.to_str().unwrap(), "--rehearse", "north"];
    player.run(&[&write[..], &["--launcher", "hall"]].concat()).fine();
    assert!(
        std::fs::read_to_string(page.join("index.html"))
            .unwrap()
            .contains(&format!("last time, {kept}"))
    );
}

#[test]
fn a_newer_setting_takes_the_place_of_the_older_one_of_the_same_ball() {
    let mut player = with_hall();
    let good = [&TRIM[..], &["--seen", "good"]].concat();
    player.run(&good).fine();
    player.at("2026-12-04").run(&good).fine();
    let file = player.read("launchers/hall.ron");
    assert_eq!(file.matches("pend-short-bh").count(), 1, "{file}");
    assert!(file.contains("2026-12-04"), "{file}");
}

#[test]
fn three_kept_settings_start_a_calibration_and_two_say_what_is_missing() {
    let player = with_hall();
    let calibrate = ["launcher", "calibrate", "--launcher", "hall"];
    for (count, serve) in ["pend-short-bh", "bh-short-fh", "pend-dead-mid"].iter().enumerate() {
        let said = player.run(&calibrate).refused();
        assert!(said.contains(&format!("kept {count} setting")), "{said}");
        let trim = TRIM.map(|word| if word == "pend-short-bh" { serve } else { word });
        player.run(&[&trim[..], &["--seen", "good"]].concat()).fine();
    }
    let learned = player.run(&calibrate).fine();
    assert!(learned.starts_with("Hall: learned from 3 balls"), "{learned}");
    // Of three slow serves nobody learns how a fast one is set: the guess stays.
    let file = player.read("launchers/hall.ron");
    let vague = player.run(&[&calibrate[..], &["--write"]].concat()).refused();
    assert!(vague.contains("not written: landings would be known to"), "{vague}");
    assert_eq!(player.read("launchers/hall.ron"), file);
    assert!(!player.home().join("table.ron").exists());
}

#[test]
fn a_ball_that_was_not_good_keeps_nothing_and_a_shipped_launcher_never() {
    let player = with_hall();
    let file = player.read("launchers/hall.ron");
    player.run(&[&TRIM[..], &["--seen", "long"]].concat()).fine();
    assert_eq!(player.read("launchers/hall.ron"), file);
    let shipped = TRIM.map(|word| if word == "hall" { "fixed" } else { word });
    let said = player.run(&[&shipped[..], &["--seen", "good"]].concat()).fine();
    assert!(said.contains("not kept: this launcher is a shipped one"), "{said}");
    let steps = player.run(&[&TRIM[..], &["--seen", "good", "--json"]].concat()).fine();
    assert!(json(&steps)[0]["done"].is_string(), "{steps}");
    assert!(player.read("launchers/hall.ron").contains("kept"));
}
