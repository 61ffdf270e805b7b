//! Each default view answers in its first line and stays within so many lines of eighty columns.

use secondball::base::text;

use crate::harness::Player;
use crate::points::fixture::{after_the_season, north};

/// A home with four serves after a season, days of drill and balls at the table.
fn lived_in() -> Player {
    let mut player = after_the_season();
    for day in ["2026-11-23", "2026-11-24", "2026-11-25"] {
        player.at(day);
        player.run(&["drill", "north", "--balls", "24", "--simulated", "--keep"]).fine();
        let switch = ["drill", "north", "--switch", "long push", "--simulated", "--keep"];
        player.run(&switch).fine();
    }
    player.run(&["today", "--event", "Winter open=2026-12-05", "--against", "north"]).fine();
    let log = ["rehearse", "log", "--opponent", "north", "bh-short-fh=4/22", "bh-half-long=14/18"];
    player.run(&log).fine();
    player
}

/// The views and how many lines each may have.
const BUDGETS: [(&[&str], usize); 7] = [
    (&[], 10),
    (&["today"], 10),
    (&["plan", "north"], 14),
    (&["plan", "advise", "north"], 8),
    (&["progress"], 12),
    (&["sheet", "north"], 48),
    (&["launcher", "aim", "north", "--launcher", "per-ball"], 16),
];

#[test]
fn every_default_view_keeps_to_its_lines_and_columns() {
    let mut over = Vec::new();
    for (home, player) in [("before", north()), ("after", lived_in())] {
        for (view, most) in BUDGETS {
            let page = player.run(view).fine();
            let lines = page.lines().count();
            if lines > most || page.lines().any(|line| text::width(line) > 80) {
                over.push(format!("{home} {view:?}: {lines} lines, {most} at most\n{page}"));
            }
            assert!(!page.lines().next().unwrap_or_default().is_empty(), "{page}");
        }
    }
    assert!(over.is_empty(), "{}", over.join("\n"));
}

#[test]
fn the_demonstration_shows_the_whole_job_in_a_hundred_and_twenty_lines() {
    let said = Player::without_home().run(&["demo"]).fine();
    assert!(said.lines().count() <= 120, "{} lines:\n{said}", said.lines().count());
    assert!(said.lines().all(|line| text::width(line) <= 80 || line.starts_with('$')), "{said}");
}

#[test]
fn on_match_day_both_screens_say_today_and_send_to_the_sheet() {
    let mut player = lived_in();
    player.at("2026-12-05");
    let (bare, today) = (player.run(&[]).fine(), player.run(&["today"]).fine());
    assert!(bare.starts_with("Winter open (invented) is today, against Left-hander"), "{bare}");
    assert!(today.starts_with("Sat 5 Dec, match day."), "{today}");
    for page in [&bare, &today] {
        assert!(page.ends_with("secondball sheet north\n"), "{page}");
        assert!(page.lines().count() <= 10 && !page.contains(" min "), "{page}");
    }
}

#[test]
fn the_first_time_three_keys_are_offered_and_each_command_behind_them_works() {
    let player = Player::without_home();
    let page = player.run(&[]).fine();
    for (key, command) in [("d", "demo --habit"), ("s", "init"), ("w", "demo")] {
        let line = page.lines().find(|line| line.starts_with(&format!("  {key}   ")));
        assert!(
            line.is_some_and(|line| line.ends_with(&format!("secondball {command}"))),
            "{page}"
        );
    }
    assert!(page.lines().count() <= 6, "{page}");
    let habit = player.run(&["demo", "--habit"]).fine();
    assert!(habit.contains(" right") && habit.contains("Nothing of this is kept"), "{habit}");
    assert!(!player.home().exists(), "a habit needs no home");
}

#[test]
fn no_default_view_names_a_serve_by_its_id_or_puts_words_in_backticks() {
    let player = lived_in();
    for (view, _) in BUDGETS {
        let page = player.run(view).fine();
        for id in ["bh-short-fh", "bh-half-long", "pendulum-wide", "fast-bh", "`", "--opponent"] {
            assert!(!page.contains(id), "{id} in {view:?}:\n{page}");
        }
    }
}

#[test]
fn a_guessed_serve_is_called_a_guess_wherever_it_stands() {
    let player = north();
    let called = [
        (&["plan", "north"][..], "fast wide BH, topspin (guess)"),
        (&["plan", "advise", "north"], "fast wide BH (guess)"),
        (&["progress"], "fast wide BH (guess)"),
        (&["sheet", "north"], "FAST WIDE BH (GUESS)"),
    ];
    for (view, words) in called {
        let page = player.run(view).fine();
        assert!(page.contains(words), "{view:?}:\n{page}");
    }
}

/// The names of all fields in a document.
fn fields(document: &serde_json::Value, names: &mut std::collections::BTreeSet<String>) {
    match document {
        serde_json::Value::Object(fields_of) => fields_of.iter().for_each(|(name, value)| {
            names.insert(name.clone());
            fields(value, names);
        }),
        serde_json::Value::Array(values) => values.iter().for_each(|value| fields(value, names)),
        _ => {}
    }
}

#[test]
fn every_field_of_a_document_is_described_and_each_has_the_same_version_key() {
    let page = std::fs::read_to_string(crate::harness::repository("src/page/documents.md"))
        .unwrap_or_default();
    let player = lived_in();
    let documents: [&[&str]; 12] = [
        &["today"],
        &["progress"],
        &["plan", "north"],
        &["plan", "advise", "north"],
        &["plan", "worth", "north"],
        &["plan", "choose", "north", "bh-half-long", "--list"],
        &["sheet", "north"],
        &["scout", "show", "north"],
        &["drill", "north", "--simulated"],
        &["launcher", "aim", "north", "--launcher", "fixed"],
        &["launcher", "fly", "--speed", "8", "--elevation", "10"],
        &["words", "serve"],
    ];
    let mut missing = Vec::new();
    for document in documents {
        let said = player.run(&[document, &["--json"]].concat()).fine();
        assert!(said.starts_with("{\n  \"format\": 1,\n"), "{document:?}: {said}");
        let mut names = std::collections::BTreeSet::new();
        fields(&serde_json::from_str(&said).unwrap_or_default(), &mut names);
        names.retain(|name| !page.contains(&format!("`{name}`")));
        missing.extend(names.into_iter().map(|name| format!("{name} of {document:?}")));
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

/// The sentences of the views: what stands in quotes in `page` and the lines of its templates, three
/// words at least.
fn sentences() -> std::collections::BTreeSet<String> {
    let mut found = std::collections::BTreeSet::new();
    let mut folders = vec![crate::harness::repository("src/page")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = entry.path();
            let text = std::fs::read_to_string(&path).unwrap_or_default();
            let ending = path.extension().and_then(|it| it.to_str()).unwrap_or_default();
            let said: Vec<&str> = match ending {
                "rs" => text
                    .split("#[cfg(test)]")
                    .next()
                    .unwrap_or_default()
                    .lines()
                    .filter(|line| !line.trim_start().starts_with("//"))
                    .flat_map(|line| line.split('"').skip(1).step_by(2))
                    .collect(),
                "txt" => text.lines().filter(|line| !line.starts_with(['{', '#'])).collect(),
                _ => Vec::new(),
            };
            if path.is_dir() {
                folders.push(path);
            }
            let words = |said: &&str| said.split(' ').filter(|it| it.len() > 1).count() > 2;
            found.extend(said.into_iter().filter(words).map(|said| said.trim().to_owned()));
        }
    }
    found
}

/// Leaves them all in `target/tmp/sentences.txt`, to be read.
#[test]
fn no_sentence_of_a_view_has_a_word_of_another_trade() {
    let said = sentences();
    assert!(said.len() > 200, "{}", said.len());
    let list = said.iter().map(String::as_str).collect::<Vec<_>>().join("\n");
    let file = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("sentences.txt");
    std::fs::write(file, list).unwrap_or_default();
    let strange = [
        "racket",
        "racquet",
        "paddle",
        "retention",
        "review",
        "leech",
        "suspicion",
        "starter",
        "utility",
        "metadata",
        "null",
        "optimal",
    ];
    let mut wrong = Vec::new();
    for sentence in &said {
        let words: Vec<String> =
            sentence.split(|letter: char| !letter.is_alphabetic()).map(str::to_lowercase).collect();
        if strange.iter().any(|strange| words.iter().any(|word| word == strange)) {
            wrong.push(sentence.as_str());
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
