//! The sheet of a session as a document: parts, and in each of them groups of lines of one kind.
//!
//! What repeats is said once: receives stand in front of the balls under a letter. The parts
//! serialise into what the card's template is filled with.

use serde::Serialize;

use crate::page::rehearsal::set_up::DrawnSetUp;

/// The whole sheet.
#[derive(Debug)]
pub(crate) struct RehearsalSheet {
    pub title: String,
    /// The first part has no title.
    pub parts: Vec<SheetPart>,
    /// The set-up of every block that has it drawn.
    pub set_ups: Vec<DrawnSetUp>,
}

/// A part of the sheet: its title, and its balls where it is a block.
#[derive(Debug, Default, Serialize)]
pub(crate) struct SheetPart {
    pub title: String,
    pub balls: Option<String>,
    pub groups: Vec<SheetGroup>,
}

/// Lines of one kind that stand together.
#[derive(Debug, Serialize)]
pub(crate) struct SheetGroup {
    pub kind: SheetKind,
    pub lines: Vec<SheetLine>,
}

/// What stands together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub(crate) enum SheetKind {
    Lines,
    /// A list of sentences.
    Entries,
    /// Labels and their words; a line without a label goes on with the one before.
    Labels,
    /// Where the launcher stands, by the number of the block. Words that follow say the same.
    Drawing,
    /// One kind of ball a line, each under its mark.
    List,
    /// One mark a ball, and what is called between two balls.
    Called,
    Logs,
}

/// A line: its mark or its label, and what stands behind it.
#[derive(Debug, Serialize)]
pub(crate) struct SheetLine {
    pub mark: String,
    pub cells: Vec<String>,
}

impl RehearsalSheet {
    /// The sheet from the lines of its template.
    pub(super) fn from_marks(page: &str, set_ups: Vec<DrawnSetUp>) -> Self {
        let mut lines = page.lines().filter(|line| !line.is_empty());
        let title = lines.next().unwrap_or_default().to_owned();
        let (mut parts, mut part) = (Vec::new(), SheetPart::default());
        for line in lines {
            let (mark, words) = line.split_once('\t').unwrap_or(("<line>", line));
            let last = part.groups.last_mut();
            let called = last.as_ref().map(|group| group.kind);
            let called = called.filter(|kind| *kind == SheetKind::Called);
            let kind = match mark {
                "#" => {
                    let next = SheetPart { title: words.to_owned(), ..SheetPart::default() };
                    parts.push(std::mem::replace(&mut part, next));
                    continue;
                }
                "<balls>" => {
                    part.balls = Some(words.to_owned());
                    continue;
                }
                "+" => {
                    if let Some(line) = last.and_then(|group| group.lines.last_mut()) {
                        line.cells.push(words.to_owned());
                    }
                    continue;
                }
                "<line>" => SheetKind::Lines,
                "-" => SheetKind::Entries,
                "<drawing>" => SheetKind::Drawing,
                "<list>" | "<ball>" => SheetKind::List,
                "<log>" => SheetKind::Logs,
                "<letters>" => SheetKind::Called,
                "CALL" | "when" | "" => called.unwrap_or(SheetKind::Labels),
                _ => SheetKind::Labels,
            };
            let cells = words.split('\t').map(str::to_owned).collect();
            let line = SheetLine { mark: mark.to_owned(), cells };
            match last.filter(|group| group.kind == kind) {
                Some(group) => group.lines.push(line),
                None => part.groups.push(SheetGroup { kind, lines: vec![line] }),
            }
        }
        parts.push(part);
        Self { title, parts, set_ups }
    }
}

impl SheetPart {
    /// Every label with its words in order; further words under a label have none.
    pub fn labelled(&self) -> impl Iterator<Item = (&str, &str)> {
        let lines = self.groups.iter().flat_map(|group| &group.lines);
        let labels = lines.filter(|line| !line.mark.starts_with(['<', '-']));
        labels.map(|line| (line.mark.as_str(), line.cells[0].as_str()))
    }
}
