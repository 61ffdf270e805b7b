//! A session as a page to print: the set-up drawn with its measures, blocks with what is entered, calls, rests, what
//! is right, and boxes to pencil the results into.
//!
//! The same pieces as on the terminal, set for paper. For a person who feeds or serves it is the call sheet. Nothing
//! is loaded and nothing runs; names are data and are escaped by the template.

use serde::Serialize;

use crate::base::{Units, text};
use crate::page::rehearsal_drawing;
use crate::page::rehearsal_pieces::{Piece, Row, pieces};
use crate::page::sheet_html::Paper;
use crate::page::template::filled;
use crate::rehearsal::Session;

/// A label and its words, the first in one line with it.
#[derive(Serialize)]
struct Label {
    name: &'static str,
    words: Vec<String>,
    is_call: bool,
}

/// A line of a list of balls or letters, or words between two of them.
#[derive(Serialize)]
#[serde(tag = "kind", content = "of")]
enum Entry {
    Ball(Row),
    Letters(u32, Vec<char>),
    Words(String),
}

/// A log line.
#[derive(Serialize)]
struct Log {
    number: u32,
    balls: u32,
    serve: String,
    target: Option<String>,
}

/// Pieces that belong together.
#[derive(Serialize)]
#[serde(tag = "kind", content = "of")]
enum Group {
    Lines(Vec<String>),
    Entries(Vec<String>),
    Labels(Vec<Label>),
    Drawing(String),
    List { has_score: bool, entries: Vec<Entry> },
    Called(Vec<Entry>),
    Logs(Vec<Log>),
}

/// A part of the page: its title, its balls where it is a block.
#[derive(Serialize)]
struct Part {
    title: String,
    balls: Option<String>,
    groups: Vec<Group>,
}

/// What the template is filled with.
#[derive(Serialize)]
struct Document<'a> {
    style: &'a str,
    size: &'a str,
    margin_mm: u32,
    is_small: bool,
    title: String,
    parts: Vec<Part>,
}

/// The page on this paper, lengths in the player's units.
///
/// # Errors
/// Never for a session held in memory; the template's own error otherwise.
pub fn html(session: &Session, paper: Paper, units: Units) -> Result<String, minijinja::Error> {
    let document = Document {
        style: include_str!("rehearsal.css"),
        size: paper.layout().size,
        margin_mm: paper.layout().margin_mm,
        is_small: paper.layout().is_small,
        title: format!("Rehearsal against {}", text::one_line(&session.opponent)),
        parts: parts(session, units),
    };
    filled("rehearsal.html", include_str!("templates/rehearsal.html"), &document)
}

/// Words inside a list stay in it; any other label ends it.
fn is_of_a_call(label: &str) -> bool {
    matches!(label, "CALL" | "when" | "")
}

fn parts(session: &Session, units: Units) -> Vec<Part> {
    let mut parts = vec![Part { title: String::new(), balls: None, groups: Vec::new() }];
    let mut drawings = 0;
    // The first line is the title of the page.
    for piece in pieces(session, units).into_iter().skip(1) {
        match piece {
            Piece::Title(title) => {
                parts.push(Part { title: title.to_owned(), balls: None, groups: Vec::new() });
            }
            Piece::Block(title, balls) => {
                parts.push(Part { title, balls: Some(balls), groups: Vec::new() });
            }
            other => {
                let Some(part) = parts.last_mut() else { continue };
                take(&mut part.groups, other, units, &mut drawings);
            }
        }
    }
    parts
}

fn take(groups: &mut Vec<Group>, piece: Piece, units: Units, drawings: &mut usize) {
    match (piece, groups.last_mut()) {
        (Piece::Line(line), Some(Group::Lines(lines))) => lines.push(text::one_line(&line)),
        (Piece::Line(line), _) => groups.push(Group::Lines(vec![text::one_line(&line)])),
        (Piece::Entry(words), Some(Group::Entries(entries))) => entries.push(words),
        (Piece::Entry(words), _) => groups.push(Group::Entries(vec![words])),
        (Piece::SetUp(set_up), _) => {
            *drawings += 1;
            let id = format!("set-up-{drawings}");
            groups.push(Group::Drawing(rehearsal_drawing::svg(&id, &set_up, units)));
        }
        (
            Piece::Labelled(label, words),
            Some(Group::List { entries, .. } | Group::Called(entries)),
        ) if is_of_a_call(label) => {
            let lead = if label.is_empty() { String::new() } else { format!("{label}: ") };
            entries.push(Entry::Words(format!("{lead}{}", text::one_line(&words))));
        }
        (Piece::Labelled("", words), Some(Group::Labels(labels))) if !labels.is_empty() => {
            if let Some(last) = labels.last_mut() {
                last.words.push(words);
            }
        }
        (Piece::Labelled(label, words), last) => {
            let label = Label { name: label, words: vec![words], is_call: label == "CALL" };
            match last {
                Some(Group::Labels(labels)) => labels.push(label),
                _ => groups.push(Group::Labels(vec![label])),
            }
        }
        (Piece::Letters(_, from, letters), Some(Group::Called(entries))) => {
            entries.push(Entry::Letters(from, letters));
        }
        (Piece::Letters(_, from, letters), _) => {
            groups.push(Group::Called(vec![Entry::Letters(from, letters)]));
        }
        (Piece::Head(has_score), _) => {
            groups.push(Group::List { has_score, entries: Vec::new() });
        }
        (Piece::Ball(row, _), Some(Group::List { entries, .. })) => entries.push(Entry::Ball(row)),
        (Piece::Ball(row, has_score), _) => {
            groups.push(Group::List { has_score, entries: vec![Entry::Ball(row)] });
        }
        (
            Piece::OwnServes(count, score),
            Some(Group::List { entries, .. } | Group::Called(entries)),
        ) => {
            let serves = text::count(count as usize, "own serve");
            let then = score.map(|(them, me)| format!("; then {them}-{me}"));
            let then = then.unwrap_or_default();
            entries.push(Entry::Words(format!("{serves}, without a ball{then}")));
        }
        (Piece::Log(_, number, balls, serve, target), last) => {
            let log = Log { number, balls, serve, target };
            match last {
                Some(Group::Logs(logs)) => logs.push(log),
                _ => groups.push(Group::Logs(vec![log])),
            }
        }
        // Titles open parts, and own serves stand in lists only.
        (Piece::Title(_) | Piece::Block(..) | Piece::OwnServes(..), _) => {}
    }
}
