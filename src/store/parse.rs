//! The readers of the home's files: text in, value or findings out, each finding with its place.

use serde::de::DeserializeOwned;

use crate::base::finding::Place;
use crate::base::{Finding, Gravity, text};
use crate::deck::advice::{self, Judged};
use crate::deck::{Deck, Player};
use crate::launcher::Launcher;
use crate::store::attempts;
use crate::store::launcher_file::judge_launcher_file;
use crate::store::misread::{Misread, Mistake};
use crate::store::scan::Tree;

/// A value read from a text, and what is worth saying about it although it can be used.
#[derive(Debug, Clone, PartialEq)]
pub struct Parsed<T> {
    /// The value.
    pub value: T,
    /// Warnings and advice.
    pub findings: Vec<Finding>,
}

/// Reads a deck.
///
/// # Errors
/// Every mistake in the text, with its place.
pub fn parse_deck(file: &str, text: &str) -> Result<Deck, Vec<Finding>> {
    judge_deck(file, text).map(|parsed| parsed.value)
}

/// Reads a player file.
///
/// # Errors
/// Every mistake in the text, with its place.
pub fn parse_player(file: &str, text: &str) -> Result<Player, Vec<Finding>> {
    judge_player(file, text).map(|parsed| parsed.value)
}

/// Reads any other file of the home.
///
/// # Errors
/// Every mistake in the text, with its place.
pub fn parse_ron<T: DeserializeOwned>(file: &str, text: &str) -> Result<T, Vec<Finding>> {
    parse(file, text, |_| Vec::new()).map(|parsed| parsed.value)
}

/// Reads a deck with the warnings and advice about it.
///
/// # Errors
/// Every mistake in the text, with its place, warnings among them.
pub fn judge_deck(file: &str, text: &str) -> Result<Parsed<Deck>, Vec<Finding>> {
    parse(file, text, advice::of_deck)
}

/// Reads a player file with the warnings and advice about it.
///
/// # Errors
/// Every mistake in the text, with its place, warnings among them.
pub fn judge_player(file: &str, text: &str) -> Result<Parsed<Player>, Vec<Finding>> {
    parse(file, text, advice::of_player)
}

/// Reads a launcher file with the warnings and advice about it.
///
/// # Errors
/// Every mistake in the text, with its place, warnings among them.
pub fn judge_launcher(file: &str, text: &str) -> Result<Parsed<Launcher>, Vec<Finding>> {
    parse(file, text, judge_launcher_file)
}

/// The text behind a byte-order mark.
pub(crate) fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

pub(crate) fn parse<T: DeserializeOwned>(
    file: &str,
    text: &str,
    judge: impl Fn(&T) -> Vec<Judged>,
) -> Result<Parsed<T>, Vec<Finding>> {
    let text = without_mark(text);
    let tree = scanned(file, text)?;
    let read = attempts::read::<T>(&tree.root);
    let judged = match &read.value {
        Some(value) if read.is_sound => judge(value),
        _ => Vec::new(),
    };
    let findings = placed(file, text, &tree, &read.mistakes, judged);
    match read.value {
        Some(value) if findings.iter().all(|finding| finding.gravity != Gravity::Error) => {
            Ok(Parsed { value, findings })
        }
        _ => Err(findings),
    }
}

/// The text as a tree, if it is one that this program may read.
fn scanned(file: &str, text: &str) -> Result<Tree, Vec<Finding>> {
    if text.contains('\0') {
        return Err(vec![
            Finding::error("this is not a text file")
                .at(Place::file(file))
                .hint("save it as plain text (UTF-8), or bring it back from a copy"),
        ]);
    }
    let tree = Tree::scan(file, text).map_err(|finding| vec![finding])?;
    match newer_format(file, text, &tree) {
        Some(format) => Err(vec![format]),
        None => Ok(tree),
    }
}

/// All that is said of a text, each with its place, in the order of the text.
fn placed(
    file: &str,
    text: &str,
    tree: &Tree,
    mistakes: &[Misread],
    judged: Vec<Judged>,
) -> Vec<Finding> {
    let mut findings: Vec<Finding> =
        mistakes.iter().map(|misread| worded(misread, file, text)).collect();
    findings.extend(judged.into_iter().map(|judged| {
        let span = tree.root.find(&judged.path);
        judged.finding.at(Place::within(file, text, span.start, span.end))
    }));
    findings.sort_by_key(|finding| finding.place.as_ref().and_then(|place| place.at));
    findings
}

/// A file of a newer form is refused before anything in it is called a mistake.
fn newer_format(file: &str, text: &str, tree: &Tree) -> Option<Finding> {
    let format = tree.root.get("format")?;
    let number = format.value.plain()?.parse::<u32>().ok()?;
    if number <= crate::deck::FORMAT {
        return None;
    }
    let span = format.value.span.clone();
    Some(
        Finding::error(format!(
            "format {number} is newer than this program, which reads up to {}",
            crate::deck::FORMAT
        ))
        .at(Place::within(file, text, span.start, span.end))
        .hint("use a newer secondball; nothing was changed"),
    )
}

/// A mistake in words.
fn worded(misread: &Misread, file: &str, source: &str) -> Finding {
    let place = Place::within(file, source, misread.span.start, misread.span.end);
    let (what, hint) = match &misread.mistake {
        Mistake::Word { of, found, known } => word_unknown(of, found, known),
        Mistake::Field { of, found, known } => {
            let hint = match text::closest(found, known) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None => format!("it may have {}", text::and_list(&quoted(known))),
            };
            (format!("a {} has no field `{found}`", group_name(of)), hint)
        }
        Mistake::Missing { of, field } => (
            format!("this {} has no `{field}`", group_name(of)),
            format!("add `{field}: ...` inside the brackets"),
        ),
        Mistake::Kind { found, expected } => {
            (format!("{found} cannot stand here"), format!("expected {expected}"))
        }
        Mistake::Twice { is_field, name } => {
            let what = if *is_field { "field" } else { "key" };
            (
                format!("the {what} `{name}` stands here a second time"),
                "keep one of the two".to_owned(),
            )
        }
        Mistake::Said(said) => match said.split_once("; ") {
            Some((what, hint)) => (what.to_owned(), hint.to_owned()),
            None => match said.rsplit_once(": ") {
                Some((what, hint)) => (what.to_owned(), hint.to_owned()),
                None => return Finding::error(said.clone()).at(place),
            },
        },
    };
    Finding::error(what).at(place).hint(hint)
}

fn quoted(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| format!("`{word}`")).collect()
}

fn word_unknown(of: &str, found: &str, known: &[&str]) -> (String, String) {
    let bare = found.trim_matches('"');
    let what = vocabulary(of);
    let article = text::article(&what);
    if bare != found && known.contains(&bare) {
        return (
            format!("the {what} {found} stands in quotes"),
            format!("words of this kind stand without quotes: {bare}"),
        );
    }
    let is_word = found.chars().all(|letter| letter.is_alphanumeric() || letter == '_');
    let shown = if is_word { format!("`{found}`") } else { found.to_owned() };
    let hint = match text::closest(bare, known) {
        Some(meant) => format!("did you mean `{}`?", with_value(meant)),
        None => text::one_of(&known.iter().map(|word| with_value(word)).collect::<Vec<_>>()),
    };
    (format!("{shown} is not {article} {what}"), hint)
}

/// A word of a vocabulary as it is written, with the value that belongs to it.
fn with_value(word: &str) -> String {
    match word {
        "own" => "own(\"in your words\")".to_owned(),
        "share" => "share(0.4)".to_owned(),
        "rev_s" => "rev_s(50)".to_owned(),
        word => word.to_owned(),
    }
}

/// What a vocabulary is about, from the name of its type.
fn vocabulary(of: &str) -> String {
    match of {
        "HowOften" => "frequency".to_owned(),
        "From" => crate::game::From::WHAT.to_owned(),
        "Sure" => crate::game::Sure::WHAT.to_owned(),
        "ScoreHabit" => crate::game::ScoreHabit::WHAT.to_owned(),
        "Against" => crate::game::Against::WHAT.to_owned(),
        "WeightName" => crate::game::WeightName::WHAT.to_owned(),
        "Units" => crate::base::Units::WHAT.to_owned(),
        other => spaced(other),
    }
}

/// What a group of fields is called, from the name of its type.
fn group_name(of: &str) -> String {
    match of {
        "MatchDay" => "event".to_owned(),
        "Owned" => "receive of the repertoire".to_owned(),
        "Player" => "player file".to_owned(),
        other => spaced(other),
    }
}

/// `HowOften` as `how often`.
fn spaced(name: &str) -> String {
    let mut words = String::new();
    for letter in name.chars() {
        if letter.is_uppercase() && !words.is_empty() {
            words.push(' ');
        }
        words.extend(letter.to_lowercase());
    }
    words
}
