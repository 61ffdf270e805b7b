//! Names and notes that hold what moves a cursor, turns the writing or hides: shown as signs.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use std::path::{Path, PathBuf};

use proptest::prelude::*;

use crate::harness::Player;

/// Letters that no output may hold as they are, as RON and JSON write them.
const HIDDEN: [char; 16] = [
    '\u{1b}',
    '\u{7}',
    '\r',
    '\u{8}',
    '\u{7f}',
    '\u{9b}',
    '\u{ad}',
    '\u{61c}',
    '\u{200b}',
    '\u{200f}',
    '\u{2028}',
    '\u{202e}',
    '\u{2066}',
    '\u{2069}',
    '\u{feff}',
    '\u{e0041}',
];

/// A home in which every name and note is this.
fn hostile(name: &str) -> Player {
    let player = Player::with_home();
    let escaped = name
        .chars()
        .fold(String::new(), |text, letter| text + &format!("\\u{{{:x}}}", u32::from(letter)));
    let with = |text: &str| text.replace("NAME", &escaped);
    player.write(
        "decks/kim.ron",
        &with(
            "(format: 1, key: \"abcdef\", opponent: \"Kim NAME\", source: \"NAME\", hand: right,
    private_note: \"NAME\", serves: [
    (id: \"one\", motion: pendulum, spin: side_backspin, weight: heavy, breaks: right, lane: forehand,
     depth: short, looks_like: \"two\", tells: [\"NAME\"], note: \"NAME\"),
    (id: \"two\", motion: pendulum, spin: dead, lane: middle, depth: long, tells: [\"NAME\"]),
], plan: {
    \"one\": (wing: forehand, stroke: push, to: (lane: middle, depth: short), why: \"NAME\", expect: \"NAME\", then: \"NAME\"),
    \"two\": (wing: backhand, stroke: drive, to: (lane: middle, depth: long), why: \"NAME\"),
}, switches: [(name: \"NAME\", cue: \"NAME\", changes: {
    \"one\": (wing: backhand, stroke: banana_flick, to: (lane: middle, depth: long), why: \"NAME\"),
})])",
        ),
    );
    let file = player.read("player.ron").replace("Invented Player", &escaped);
    let events = with(
        "events: [(name: \"NAME\", day: \"2026-12-05\", opponents: [(deck: \"kim\"), (deck: \"NAME\")])],\n)",
    );
    let (head, _) = file.rsplit_once(')').unwrap();
    player.write("player.ron", &format!("{head}{events}"));
    player.run(&["launcher", "add", "hall", "--like", "fixed"]).fine();
    let hall = player.read("launchers/hall.ron");
    let own = hall.split("name: \"").nth(1).unwrap().split('"').next().unwrap();
    player.write("launchers/hall.ron", &hall.replace(own, &escaped));
    player.run(&["drill", "kim", "--simulated", "--balls", "12"]);
    player.run_with_input(&["points", "kim"], "one won\ntwo lost\nend\n");
    let broken: String = name.chars().filter(|letter| *letter != '/').take(20).collect();
    player.write(&format!("decks/{broken}.ron"), &with("(format: 1, oops: \"NAME\")"));
    player
}

const VIEWS: [&[&str]; 30] = [
    &[],
    &["check"],
    &["check", "--json"],
    &["today"],
    &["today", "--json"],
    &["today", "--ics", "OUT.ics"],
    &["scout", "show", "kim"],
    &["scout", "show", "kim", "--json"],
    &["plan", "kim"],
    &["plan", "kim", "--json"],
    &["plan", "advise", "kim"],
    &["plan", "worth", "kim"],
    &["points", "lessons", "kim"],
    &["sheet", "kim"],
    &["sheet", "kim", "--json"],
    &["sheet", "kim", "--html", "OUT.sheet.html"],
    &["progress"],
    &["progress", "--json"],
    &["progress", "--html", "OUT.progress.html"],
    &["rehearse", "kim", "--launcher", "hall", "--balls", "40"],
    &["rehearse", "kim", "--launcher", "hall", "--balls", "40", "--json"],
    &["rehearse", "kim", "--launcher", "hall", "--balls", "40", "--csv", "OUT.csv"],
    &["rehearse", "kim", "--launcher", "feeder", "--balls", "40", "--html", "OUT.session.html"],
    &["rehearse", "log"],
    &["launcher", "show", "hall"],
    &["launcher", "aim", "kim", "--launcher", "hall", "--svg", "OUT.svg"],
    &["drill", "kim", "--simulated", "--balls", "12", "--plain"],
    &["drill", "kim", "--simulated", "--balls", "12", "--json"],
    &["phone", "write", "OUT.phone"],
    &["forget", "kim"],
];

fn texts_below(folder: &Path, found: &mut Vec<(PathBuf, String)>) {
    for entry in std::fs::read_dir(folder).unwrap().flatten() {
        if entry.path().is_dir() {
            texts_below(&entry.path(), found);
        } else if entry.file_name().to_string_lossy().starts_with("OUT")
            || folder.to_string_lossy().contains("OUT")
        {
            let text = std::fs::read_to_string(entry.path()).unwrap();
            found.push((entry.path(), text.replace("\r\n", "\n")));
        }
    }
}

/// What stands in a text as it is and must not.
fn raw(text: &str) -> Vec<char> {
    let is_raw = |letter: &char| HIDDEN.contains(letter) || letter.is_control() && *letter != '\n';
    text.chars().filter(is_raw).collect()
}

/// Whether a line begins within a name although there was room before it: a line of a page is
/// broken at its end only.
fn begins_a_line(text: &str) -> bool {
    let mut before = 80;
    text.lines().any(|line| {
        let had_room = std::mem::replace(&mut before, line.chars().count()) < 60;
        had_room && line.trim_start().starts_with("EVIL")
    })
}

fn shows_nothing_raw(name: &str) {
    let player = hostile(name);
    let mut wrong = Vec::new();
    for view in VIEWS {
        let said = player.run(view);
        for (what, text) in [("out", &said.out), ("err", &said.err)] {
            let raw = raw(text);
            if !raw.is_empty() {
                wrong.push(format!("{view:?} {what}: {raw:?}"));
            }
            if begins_a_line(text) {
                wrong.push(format!("{view:?} {what}: a name begins a line\n{text}"));
            }
        }
        // A view that says nothing shows nothing.
        if said.out.is_empty() && said.err.is_empty() {
            wrong.push(format!("{view:?} is silent"));
        }
    }
    let mut texts = Vec::new();
    texts_below(player.home().parent().unwrap(), &mut texts);
    assert!(texts.len() >= 8, "{} files", texts.len());
    for (path, text) in texts {
        let raw = raw(&text);
        if !raw.is_empty() {
            wrong.push(format!("{}: {raw:?}", path.display()));
        }
        if path.extension().is_some_and(|ending| ending == "csv") {
            let mut cells = text.split([',', '\n']);
            let formula = cells.find(|cell| {
                cell.trim_matches('"').starts_with(['=', '+', '@'])
                    || cell.starts_with('-') && cell.parse::<f64>().is_err()
            });
            wrong.extend(formula.map(|cell| format!("a formula: {cell}")));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_view_shows_every_hidden_letter_of_a_file_as_a_sign() {
    let name: String = HIDDEN.iter().flat_map(|letter| ['x', *letter]).collect();
    shows_nothing_raw(&format!("=Ev\u{1b}]0;il\nEVIL {name}"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1, ..ProptestConfig::default() })]
    #[test]
    fn no_view_shows_a_hidden_letter_of_any_name(name in "[=+@-]?[a-c \\p{Cc}\\p{Cf}]{1,12}") {
        prop_assume!(!name.contains('\0'));
        // Joiners between letters of other scripts are spelling; here are none.
        shows_nothing_raw(&format!("Kim{name}k"));
    }
}
