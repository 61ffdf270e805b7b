//! The sources, with what can be read off them without a compiler.

use std::path::{Path, PathBuf};

/// One file below `src`.
pub struct Source {
    /// Its path below `src`.
    pub shown: String,
    /// The folder of the house it lives in; none for `lib.rs` and `main.rs`.
    pub folder: Option<String>,
    /// Everything.
    pub text: String,
    /// Without comments and without its unit tests, which stand at the end.
    pub code: String,
}

impl Source {
    /// A file of this path and text.
    pub fn of_text(shown: &str, text: &str) -> Self {
        let tested = text.find("#[cfg(test)]").unwrap_or(text.len());
        // Who may see a thing is no need of it.
        let without_comment = |line: &str| {
            line.split("//").next().unwrap_or_default().replace("pub(in crate::", "pub(in ") + "\n"
        };
        Self {
            shown: shown.to_owned(),
            folder: shown.split_once('/').map(|(folder, _)| folder.to_owned()),
            text: text.to_owned(),
            code: text[..tested].lines().map(without_comment).collect(),
        }
    }

    /// Names of its structures, enumerations and traits.
    pub fn types(&self) -> Vec<String> {
        let words: Vec<&str> = self.code.split_whitespace().collect();
        let is_type = |word: &str| ["struct", "enum", "trait"].contains(&word);
        words
            .windows(2)
            .filter(|pair| is_type(pair[0]) && pair[1].starts_with(char::is_uppercase))
            .map(|pair| first_word(pair[1]))
            .collect()
    }

    /// Whether a path of this outside crate stands in it.
    pub fn names_crate(&self, name: &str) -> bool {
        self.code.match_indices(&format!("{name}::")).any(|(start, _)| {
            // `crate::console::` or `my_csv::` is no outside crate.
            !self.code[..start].ends_with([':', '_'])
                && !self.code[..start].ends_with(char::is_alphanumeric)
        })
    }

    /// The texts in quotes, without those of attributes and of vocabularies.
    pub fn texts(&self) -> Vec<String> {
        let mut found = Vec::new();
        let mut is_vocabulary = false;
        let mut attribute_depth = 0_i32;
        let (mut text, mut is_inside) = (String::new(), false);
        for line in self.text.split("#[cfg(test)]").next().unwrap_or_default().lines() {
            let bare = line.trim_start();
            if !is_inside {
                if bare.starts_with("//") {
                    continue;
                }
                is_vocabulary = (is_vocabulary || bare.starts_with("words! {")) && line != "}";
                if attribute_depth > 0 || bare.starts_with("#[") || bare.starts_with("#![") {
                    let count = |letter: char| i32::try_from(bare.matches(letter).count()).unwrap();
                    attribute_depth += count('[') - count(']');
                    continue;
                }
                if is_vocabulary {
                    continue;
                }
            }
            let mut letters = bare.chars();
            while let Some(letter) = letters.next() {
                match letter {
                    '\\' if is_inside => {
                        letters.next();
                    }
                    '\'' if !is_inside => {
                        // A letter in quotes may be a double quote.
                        let rest: String = letters.clone().take(2).collect();
                        if rest == "\"'" {
                            letters.nth(1);
                        }
                    }
                    '"' if is_inside => {
                        found.push(std::mem::take(&mut text));
                        is_inside = false;
                    }
                    '"' => is_inside = true,
                    other if is_inside => text.push(other),
                    _ => {}
                }
            }
        }
        found
    }
}

/// Every source below `src`, in the order of their paths.
pub fn sources() -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    files(&root)
        .into_iter()
        .map(|path| {
            let shown = path.strip_prefix(&root).unwrap().to_str().unwrap().to_owned();
            Source::of_text(&shown, &std::fs::read_to_string(&path).unwrap())
        })
        .collect()
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The word this text begins with.
pub fn first_word(text: &str) -> String {
    text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

/// Every path named in this code, from its first segment on: `use a::{b, c::d}` gives `a::b` and `a::c::d`.
pub fn paths(code: &str) -> Vec<Vec<String>> {
    let mut found = Vec::new();
    let mut rest = code;
    while let Some(at) = rest.find("::") {
        let start = rest[..at]
            .rfind(|c: char| !c.is_alphanumeric() && c != '_')
            .map_or(0, |b| b + rest[b..].chars().next().map_or(1, char::len_utf8));
        let first = first_word(&rest[start..at]);
        let end = if first.is_empty() {
            at + 2
        } else {
            at + 2 + follow(&rest[at + 2..], vec![first], &mut found)
        };
        rest = &rest[end..];
    }
    found
}

/// Reads what stands behind `path::`; gives how many bytes it took.
fn follow(rest: &str, path: Vec<String>, found: &mut Vec<Vec<String>>) -> usize {
    let lead = rest.len() - rest.trim_start().len();
    let bare = &rest[lead..];
    if let Some(group) = bare.strip_prefix('{') {
        let mut at = lead + 1;
        let mut left = group;
        loop {
            let gap = left.len() - left.trim_start_matches([' ', '\n', ',']).len();
            (at, left) = (at + gap, &left[gap..]);
            if left.is_empty() {
                return at;
            }
            if left.starts_with('}') {
                return at + 1;
            }
            let taken = follow(left, path.clone(), found).max(1);
            (at, left) = (at + taken, left.get(taken..).unwrap_or_default());
        }
    }
    let word = first_word(bare);
    if word.is_empty() {
        found.push(path);
        return lead;
    }
    let behind = lead + word.len();
    let path = [path, vec![word]].concat();
    if rest[behind..].starts_with("::") {
        return behind + 2 + follow(&rest[behind + 2..], path, found);
    }
    found.push(path);
    // `x as y` names nothing more.
    let renamed = rest[behind..].trim_start().strip_prefix("as ");
    renamed.map_or(behind, |name| rest.len() - name.len() + first_word(name).len())
}

/// Folders of the house named after `crate::` in this code, also inside `crate::{a::b, c}`.
pub fn imported_folders(code: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for path in paths(code) {
        if let [first, folder, ..] = &path[..]
            && first == "crate"
            && found.last() != Some(folder)
        {
            found.push(folder.clone());
        }
    }
    found
}
