//! The house rule: a folder imports only folders with a smaller number, and two of the same number
//! never meet. The sources themselves are read, so the map in `src/lib.rs` cannot rot.

#![expect(clippy::unwrap_used, reason = "a test that cannot read the sources must fail")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Floors, as drawn in `src/lib.rs`.
const FLOORS: [(&str, u8); 15] = [
    ("base", 0),
    ("game", 1),
    ("flight", 2),
    ("deck", 2),
    ("journal", 2),
    ("tactics", 3),
    ("memory", 3),
    ("drill", 4),
    ("launcher", 4),
    ("rehearsal", 5),
    ("agenda", 5),
    ("import", 6),
    ("page", 6),
    ("store", 6),
    ("cli", 7),
];

/// Outside crates that are at home in some folders only.
const AT_HOME: [(&str, &[&str]); 18] = [
    ("chrono", &["base", "deck", "page", "cli"]),
    ("rand", &["base"]),
    ("glam", &["flight"]),
    ("statrs", &["tactics"]),
    ("fsrs", &["memory"]),
    ("serde_json", &["import", "journal", "page", "store", "cli"]),
    ("ron", &["store"]),
    ("erased_serde", &["page", "store"]),
    ("memchr", &["store"]),
    ("tempfile", &["store", "cli"]),
    ("minijinja", &["page"]),
    ("csv", &["import", "page"]),
    ("plotters", &["page"]),
    ("clap", &["cli"]),
    ("console", &["cli"]),
    ("dialoguer", &["cli"]),
    ("ratatui_core", &["cli"]),
    ("ratatui_crossterm", &["cli"]),
];

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// Every source with the folder of the house it lives in and its text without comments.
fn rooms() -> Vec<(String, PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    sources(&root)
        .into_iter()
        .filter_map(|path| {
            let inside = path.strip_prefix(&root).unwrap();
            let folder = inside.components().next()?.as_os_str().to_str()?.to_owned();
            let text = std::fs::read_to_string(&path).unwrap();
            let code: Vec<_> = text.lines().map(|line| line.split("//").next().unwrap()).collect();
            root.join(&folder).is_dir().then(|| (folder, inside.to_owned(), code.join("\n")))
        })
        .collect()
}

/// Folders of the house named after `crate::` in this code, also inside `crate::{a::b, c}`.
fn imports(code: &str) -> Vec<String> {
    let word = |text: &str| -> String {
        text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
    };
    let mut found = Vec::new();
    for (start, _) in code.match_indices("crate::") {
        let rest = &code[start + "crate::".len()..];
        let Some(group) = rest.trim_start().strip_prefix('{') else {
            found.push(word(rest));
            continue;
        };
        let mut depth = 0;
        let mut item = String::new();
        for letter in group.chars() {
            match letter {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => found.push(word(&std::mem::take(&mut item))),
                _ => {}
            }
            if letter != ',' || depth > 0 {
                item.push(letter);
            }
        }
        found.push(word(&item));
    }
    found.retain(|name| !name.is_empty());
    found
}

#[test]
fn every_folder_stands_on_a_floor_and_every_floor_is_a_folder() {
    let floors: BTreeMap<_, _> = FLOORS.into_iter().collect();
    let mut folders: Vec<_> = rooms().into_iter().map(|(folder, ..)| folder).collect();
    folders.dedup();
    let mut expected: Vec<_> = floors.keys().map(|name| (*name).to_owned()).collect();
    expected.sort();
    assert_eq!(folders, expected);
}

#[test]
fn imports_only_go_down() {
    let floors: BTreeMap<_, _> = FLOORS.into_iter().collect();
    let mut wrong = Vec::new();
    for (folder, path, code) in rooms() {
        for import in imports(&code) {
            let Some(&there) = floors.get(import.as_str()) else { continue };
            if import != folder && there >= floors[folder.as_str()] {
                wrong.push(format!("{} imports `{import}`", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "imports that do not go down:\n{}", wrong.join("\n"));
}

#[test]
fn the_import_reader_sees_groups_and_paths() {
    assert_eq!(imports("use crate::{base::{a, b}, game, store::x};"), ["base", "game", "store"]);
    assert_eq!(imports("let x = crate::flight::y(crate::base::z);"), ["flight", "base"]);
}

#[test]
fn outside_crates_stay_in_their_rooms() {
    let mut wrong = Vec::new();
    for (folder, path, code) in rooms() {
        // Unit tests stand at the end of their file and may read a value in any form.
        let code = code.split("#[cfg(test)]").next().unwrap_or_default();
        for (name, homes) in AT_HOME {
            let is_used = code.match_indices(&format!("{name}::")).any(|(start, _)| {
                // `crate::console::` or `my_csv::` is no outside crate.
                !code[..start].ends_with([':', '_'])
                    && !code[..start].ends_with(char::is_alphanumeric)
            });
            if is_used && !homes.contains(&folder.as_str()) {
                wrong.push(format!("{} uses `{name}`", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "crates outside their home:\n{}", wrong.join("\n"));
}

#[test]
fn every_source_opens_by_saying_what_it_is_for_and_none_is_a_warehouse() {
    let mut wrong = Vec::new();
    for path in sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src")) {
        let text = std::fs::read_to_string(&path).unwrap();
        if !text.starts_with("//! ") {
            wrong.push(format!("{} does not open with its job", path.display()));
        }
        if text.lines().count() > 600 {
            wrong.push(format!("{} is longer than 600 lines", path.display()));
        }
        let stem = path.file_stem().unwrap().to_str().unwrap();
        if ["utils", "util", "helpers", "common", "manager", "misc"].contains(&stem) {
            wrong.push(format!("{} has a name that says nothing", path.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
