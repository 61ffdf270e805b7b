//! The house rules, read from the sources themselves. The map they are held against is the table of DEVELOPERS.md, so
//! that page cannot rot: a folder imports only folders with a smaller number, two of the same number never meet,
//! outside crates stay where they are at home, and no files of a folder form a circle.

#![expect(clippy::unwrap_used, reason = "a test that cannot read the sources must fail")]

mod circles;
mod map;
mod sources;

use std::collections::BTreeMap;

use circles::Tree;
use map::House;
use sources::{Source, imported_folders, sources};

/// Folders that give numbers and reasons as data; their English is made in `page`.
const WITHOUT_SENTENCES: [&str; 6] =
    ["agenda", "drill", "launcher", "memory", "rehearsal", "tactics"];
/// Texts of a few words that stand there for a reason: receives as a deck writes them, and a label that the phone's
/// script says too.
const NO_SENTENCES: [&str; 2] = ["drill/palette.rs", "drill/script.rs"];
/// Words from which a text counts as a sentence.
const SENTENCE_WORDS: usize = 4;
/// Lines of a file, tests and comments too.
const MOST_LINES: usize = 400;
/// Columns of a comment.
const MOST_COLUMNS: usize = 100;

fn assert_none(wrong: &[String], what: &str) {
    assert!(wrong.is_empty(), "{what}:\n{}", wrong.join("\n"));
}

#[test]
fn every_folder_is_on_the_map_and_everything_on_the_map_is_a_folder() {
    let mut folders: Vec<String> =
        sources().into_iter().filter_map(|source| source.folder).collect();
    folders.sort();
    folders.dedup();
    let mut drawn: Vec<String> = House::drawn().floors.into_keys().collect();
    drawn.sort();
    assert_eq!(folders, drawn);
}

#[test]
fn imports_only_go_down() {
    let floors = House::drawn().floors;
    let mut wrong = Vec::new();
    for source in sources() {
        let Some(folder) = &source.folder else { continue };
        for import in imported_folders(&source.code) {
            let Some(&there) = floors.get(&import) else { continue };
            if import != *folder && there >= floors[folder] {
                wrong.push(format!("{} imports `{import}`", source.shown));
            }
        }
    }
    assert_none(&wrong, "imports that do not go down");
}

#[test]
fn the_import_reader_sees_groups_and_paths() {
    assert_eq!(
        imported_folders("use crate::{base::{a, b}, game, store::x};"),
        ["base", "game", "store"]
    );
    assert_eq!(imported_folders("let x = crate::flight::y(crate::base::z);"), ["flight", "base"]);
}

#[test]
fn outside_crates_are_used_where_the_map_says_and_nowhere_else() {
    let homes = House::drawn().crates;
    let sources = sources();
    let mut wrong = Vec::new();
    for (name, homes) in &homes {
        let users = || sources.iter().filter(|source| source.names_crate(name));
        for source in users() {
            if source.folder.as_ref().is_some_and(|folder| !homes.contains(folder)) {
                wrong.push(format!("{} uses `{name}`", source.shown));
            }
        }
        for home in homes {
            if !users().any(|source| source.folder.as_ref() == Some(home)) {
                wrong.push(format!("nothing in `{home}` uses `{name}`"));
            }
        }
    }
    assert_none(&wrong, "crates and their homes");
}

#[test]
fn no_files_of_a_folder_form_a_circle() {
    let tree = Tree::grow(&sources());
    let circles: Vec<String> =
        tree.circles().into_iter().map(|circle| circle.join(" -> ")).collect();
    assert_none(&circles, "files that need each other");
}

#[test]
fn the_circle_finder_follows_names_through_what_a_folder_shows() {
    let source = |path: &str, code: &str| Source::of_text(path, code);
    let round = Tree::grow(&[
        source("a/mod.rs", "mod x; mod y; pub use x::{X, Z}; pub use y::Y;"),
        source("a/x.rs", "use super::Y; pub struct X; pub struct Z;"),
        source("a/y.rs", "use crate::a::{X}; pub struct Y;"),
    ]);
    assert_eq!(round.circles(), [["a/x.rs", "a/y.rs"]]);
    let straight = Tree::grow(&[
        source("a/mod.rs", "mod x; mod y; pub use x::X; pub use y::Y;"),
        source("a/x.rs", "pub struct X;"),
        source("a/y.rs", "fn f() { super::x::g(); crate::a::X; } pub struct Y;"),
    ]);
    assert!(straight.circles().is_empty());
}

#[test]
fn a_type_has_a_name_of_its_own() {
    let mut places: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for source in sources() {
        for name in source.types() {
            places.entry(name).or_default().push(source.shown.clone());
        }
    }
    let twice: Vec<String> = places
        .iter()
        .filter(|(_, places)| places.len() > 1)
        .map(|(name, places)| format!("{name}: {}", places.join(", ")))
        .collect();
    assert_none(&twice, "names of more than one type");
}

#[test]
fn numbers_and_reasons_are_made_below_and_sentences_in_the_views() {
    let mut wrong = Vec::new();
    for source in sources() {
        let folder = source.folder.as_deref().unwrap_or_default();
        if !WITHOUT_SENTENCES.contains(&folder) || NO_SENTENCES.contains(&source.shown.as_str()) {
            continue;
        }
        for text in source.texts() {
            let is_word = |word: &&str| word.len() > 1 && word.chars().all(char::is_alphabetic);
            if text.split_whitespace().filter(is_word).count() >= SENTENCE_WORDS {
                wrong.push(format!("{}: \"{text}\"", source.shown));
            }
        }
    }
    assert_none(&wrong, "sentences below the views");
}

#[test]
fn every_source_says_what_it_is_for_and_none_is_a_warehouse() {
    let mut wrong = Vec::new();
    for source in sources() {
        let shown = &source.shown;
        if !source.text.starts_with("//! ") {
            wrong.push(format!("{shown} does not open with its job"));
        }
        if source.text.lines().count() > MOST_LINES {
            wrong.push(format!("{shown} is longer than {MOST_LINES} lines"));
        }
        let stem = shown.rsplit('/').next().unwrap().trim_end_matches(".rs");
        if ["utils", "util", "helpers", "common", "manager", "misc"].contains(&stem) {
            wrong.push(format!("{shown} has a name that says nothing"));
        }
        for (number, line) in source.text.lines().enumerate() {
            let is_long = line.chars().count() > MOST_COLUMNS;
            if is_long
                && line.trim_start().starts_with("//")
                && !line.contains("://")
                && !line.contains('|')
            {
                wrong.push(format!(
                    "{shown}:{}: a comment beyond {MOST_COLUMNS} columns",
                    number + 1
                ));
            }
            if line.contains("fn of(") {
                wrong.push(format!("{shown}:{}: a function without a verb", number + 1));
            }
        }
    }
    assert_none(&wrong, "the house");
}
