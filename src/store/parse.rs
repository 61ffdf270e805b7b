//! The readers of the home's files: text in, value or findings out, each finding with its place.
//!
//! The types of the nouns (their serde shapes) are the single truth about what may stand where. A
//! mistake stops serde; it is noted with the exact node it concerns, that node is taken out of
//! the tree, and reading starts again, until the rest reads well: so ten mistakes are ten findings
//! after one look. A required field that is taken out or missing is stood in for by any value, so
//! that nothing behind it is hidden.

use std::collections::BTreeSet;
use std::marker::PhantomData;

use serde::de::DeserializeOwned;

use crate::base::finding::{MOST_TOLD, Place, only_first};
use crate::base::{Finding, Gravity, text};
use crate::deck::advice::{self, Judged};
use crate::deck::{Deck, FORMAT, Player};
use crate::launcher::Launcher;
use crate::receive;
use crate::store::disk::no_text;
use crate::store::launcher_file::judge_launcher_file;
use crate::store::scan::Tree;
use crate::store::tree::{Node, NodeKind};
use crate::store::wrong::Wrong;

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
    parse(file, text, receive::of_deck).map(|parsed| parsed.value)
}

/// Reads a player file.
///
/// # Errors
/// Every mistake in the text, with its place.
pub fn parse_player(file: &str, text: &str) -> Result<Player, Vec<Finding>> {
    parse(file, text, advice::of_player).map(|parsed| parsed.value)
}

/// Reads any other file of the home.
///
/// # Errors
/// Every mistake in the text, with its place.
pub fn parse_ron<T: DeserializeOwned>(file: &str, text: &str) -> Result<T, Vec<Finding>> {
    parse(file, text, |_| Vec::new()).map(|parsed| parsed.value)
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

/// Reads a file of which there is more to say than its types do.
///
/// # Errors
/// Every mistake in the text, with its place, warnings among them.
pub fn parse<T: DeserializeOwned>(
    file: &str,
    text: &str,
    judge: impl Fn(&T) -> Vec<Judged>,
) -> Result<Parsed<T>, Vec<Finding>> {
    let text = without_mark(text);
    let root = scanned(file, text).map_err(|finding| vec![finding])?;
    let mut attempts = Attempts::at(&root);
    let mut value = None;
    while value.is_none() && !attempts.is_over {
        match attempts.rest.read(PhantomData::<T>) {
            Ok(read) => value = Some(read),
            Err(wrong) => attempts.go_on_without(wrong),
        }
    }
    let mut judged = value.as_ref().filter(|_| attempts.is_sound).map(judge).unwrap_or_default();
    let more = [
        only_first(&mut attempts.mistakes, |_| Gravity::Error),
        only_first(&mut judged, |judged| judged.finding.gravity),
    ];
    let mut findings: Vec<Finding> =
        attempts.mistakes.into_iter().map(|wrong| wrong.found(file, text)).collect();
    findings.extend(judged.into_iter().map(|judged| {
        let span = root.find(&judged.path);
        judged.finding.at(Place::within(file, text, span.start, span.end))
    }));
    findings.sort_by_key(|finding| finding.place.as_ref().and_then(|place| place.at));
    findings.extend(more.into_iter().flatten().map(|more| more.at(Place::file(file))));
    match value {
        Some(value) if findings.iter().all(|finding| finding.gravity != Gravity::Error) => {
            Ok(Parsed { value, findings })
        }
        _ => Err(findings),
    }
}

/// The text as a tree, if it is one that this program may read.
fn scanned(file: &str, text: &str) -> Result<Node, Finding> {
    if let Some(at) = text.find('\0') {
        return Err(no_text(file, text, at));
    }
    let root = Tree::scan(file, text)?.root;
    // A file of a newer form is refused before anything in it is called a mistake.
    if let Some(format) = root.get("format").map(|part| &part.value)
        && let Some(number) = format.plain().and_then(|number| number.parse::<u32>().ok())
        && number > FORMAT
    {
        let what =
            format!("format {number} is newer than this program, which reads up to {FORMAT}");
        let hint = "use a newer secondball; nothing was changed";
        return Err(Wrong::at(format.span.clone(), what).or(hint).found(file, text));
    }
    Ok(root)
}

/// The attempts at reading one tree, whatever type is read.
struct Attempts {
    /// The tree without what could not be read.
    rest: Node,
    mistakes: Vec<Wrong>,
    /// Fields taken out: the first byte of their group, and their name.
    fields: Vec<(usize, String)>,
    /// Only whole optional fields were taken out, so what the value means can still be judged.
    is_sound: bool,
    /// Another attempt makes no sense.
    is_over: bool,
}

impl Attempts {
    fn at(root: &Node) -> Self {
        let mut rest = root.clone();
        let mut mistakes = Vec::new();
        take_repeated(&mut rest, &mut mistakes);
        let is_over = mistakes.len() >= MOST_TOLD;
        Self { rest, mistakes, fields: Vec::new(), is_sound: true, is_over }
    }

    /// Notes a mistake and takes out what it concerns.
    fn go_on_without(&mut self, wrong: Wrong) {
        let span = wrong.span.clone().unwrap_or_default();
        let start = span.start;
        if span.is_empty() {
            // It is about a stand-in, not about what the player wrote.
            self.is_over = true;
        } else if let Some(field) = wrong.missing {
            self.is_sound = false;
            self.is_over = !self.rest.stand_in(start, field);
            // A field with a misspelt name is told once, as that.
            let is_told = self.fields.iter().any(|(group, name)| {
                *group == start && (name == field || text::closest(name, &[field]).is_some())
            });
            if !is_told {
                self.mistakes.push(wrong);
            }
        } else {
            let taken = self.rest.take_out(start);
            self.is_sound &= matches!(taken, Some((_, Some(_))));
            self.is_over = taken.is_none();
            self.fields.extend(taken.and_then(|(group, field)| Some((group, field?))));
            self.mistakes.push(wrong);
        }
        self.is_over |= self.mistakes.len() >= MOST_TOLD;
    }
}

/// Takes out every second field or key of one name and tells of it.
fn take_repeated(node: &mut Node, mistakes: &mut Vec<Wrong>) {
    let NodeKind::Group { open, parts, .. } = &mut node.kind else { return };
    let what = if *open == '(' { "field" } else { "key" };
    let mut seen = BTreeSet::new();
    parts.retain_mut(|part| {
        take_repeated(&mut part.value, mistakes);
        let (Some(key), Some(name)) = (&part.key, part.name()) else { return true };
        let is_first = seen.insert(name.to_owned());
        if !is_first {
            let what = format!("the {what} `{name}` stands here a second time");
            mistakes.push(Wrong::new(what).or("keep one of the two").claimed_by(key));
        }
        is_first
    });
}
