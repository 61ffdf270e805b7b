//! The sheet of a session as a document: parts, and in each of them groups of lines, labels, balls
//! and log lines.
//!
//! What repeats is said once: receives stand in front of the balls under a letter. The document
//! serialises into what the card's template is filled with.

use serde::Serialize;

use crate::launcher::SetUp;

/// The whole sheet.
#[derive(Debug, Serialize)]
pub(in crate::page) struct RehearsalSheet {
    pub title: String,
    /// The first part has no title.
    pub parts: Vec<SheetPart>,
    /// Every set-up that a block begins with, in order.
    #[serde(skip)]
    pub set_ups: Vec<SetUp>,
}

/// A part of the sheet: its title, and its balls where it is a block.
#[derive(Debug, Serialize)]
pub(in crate::page) struct SheetPart {
    pub title: String,
    pub balls: Option<String>,
    pub groups: Vec<SheetGroup>,
}

/// Things of one kind that stand together.
#[derive(Debug, Serialize)]
#[serde(tag = "kind", content = "of")]
pub(in crate::page) enum SheetGroup {
    Lines(Vec<String>),
    /// A list of sentences.
    Entries(Vec<String>),
    Labels(Vec<Label>),
    /// Where the launcher stands: the place among the set-ups. Words that follow say the same.
    Drawing(usize),
    /// One ball a line.
    List {
        has_score: bool,
        entries: Vec<ListEntry>,
    },
    /// One letter a ball.
    Called(Vec<ListEntry>),
    Logs(Vec<LogRow>),
}

/// A label and its words; further words go on under it.
#[derive(Debug, Serialize)]
pub(in crate::page) struct Label {
    pub name: &'static str,
    pub words: Vec<String>,
}

/// A line of a list, or words between two of them.
#[derive(Debug, Serialize)]
#[serde(tag = "kind", content = "of")]
pub(in crate::page) enum ListEntry {
    Ball(BallRow),
    /// The number of the first ball, and the letters.
    Letters(u32, Vec<char>),
    /// A label and its words.
    Words(&'static str, String),
    /// Own serves between two balls.
    OwnServes(String),
}

/// One ball of a list.
#[derive(Debug, Serialize)]
pub(in crate::page) struct BallRow {
    pub number: u32,
    /// Theirs first.
    pub score: Option<(u32, u32)>,
    pub serve: String,
    pub lands: String,
    pub spin: String,
    /// The letter of the answer.
    pub answer: char,
    /// True for a small change.
    pub is_changed: bool,
    /// What is entered for it, where that differs from ball to ball.
    pub settings: Option<String>,
}

/// A log line to be filled in.
#[derive(Debug, Serialize)]
pub(in crate::page) struct LogRow {
    pub number: u32,
    pub balls: u32,
    pub serve: String,
    /// Where the ball must land to count.
    pub target: Option<String>,
}

impl Label {
    /// The label with its first words; the others have none.
    pub fn lines(&self) -> impl Iterator<Item = (&'static str, &str)> {
        let names = std::iter::once(self.name).chain(std::iter::repeat(""));
        names.zip(self.words.iter().map(String::as_str))
    }
}

impl RehearsalSheet {
    pub(super) fn new(title: String) -> Self {
        let mut sheet = Self { title, parts: Vec::new(), set_ups: Vec::new() };
        sheet.part("", None);
        sheet
    }

    /// Begins a part.
    pub(super) fn part(&mut self, title: impl Into<String>, balls: Option<String>) {
        self.parts.push(SheetPart { title: title.into(), balls, groups: Vec::new() });
    }

    /// The groups of the part that was begun last.
    fn groups(&mut self) -> &mut Vec<SheetGroup> {
        let last = self.parts.len() - 1;
        &mut self.parts[last].groups
    }

    pub(super) fn line(&mut self, words: impl Into<String>) {
        match self.groups().last_mut() {
            Some(SheetGroup::Lines(lines)) => lines.push(words.into()),
            _ => self.groups().push(SheetGroup::Lines(vec![words.into()])),
        }
    }

    /// An entry of a list of sentences.
    pub(super) fn entry(&mut self, words: impl Into<String>) {
        match self.groups().last_mut() {
            Some(SheetGroup::Entries(entries)) => entries.push(words.into()),
            _ => self.groups().push(SheetGroup::Entries(vec![words.into()])),
        }
    }

    /// A label and its words; an empty label goes on with the one before. Those of a call stay in
    /// their list.
    pub(super) fn labelled(&mut self, name: &'static str, words: impl Into<String>) {
        let words = words.into();
        let is_of_a_call = matches!(name, "CALL" | "when" | "");
        let groups = self.groups();
        match groups.last_mut() {
            Some(SheetGroup::List { entries, .. } | SheetGroup::Called(entries))
                if is_of_a_call =>
            {
                entries.push(ListEntry::Words(name, words));
            }
            Some(SheetGroup::Labels(labels)) => match labels.last_mut().filter(|_| name.is_empty())
            {
                Some(label) => label.words.push(words),
                None => labels.push(Label { name, words: vec![words] }),
            },
            _ => groups.push(SheetGroup::Labels(vec![Label { name, words: vec![words] }])),
        }
    }

    /// A line of the list that was begun, or of a list of calls.
    pub(super) fn listed(&mut self, entry: ListEntry) {
        match self.groups().last_mut() {
            Some(SheetGroup::List { entries, .. } | SheetGroup::Called(entries)) => {
                entries.push(entry);
            }
            _ => self.groups().push(SheetGroup::Called(vec![entry])),
        }
    }

    /// Begins a list of balls.
    pub(super) fn list(&mut self, has_score: bool) {
        self.groups().push(SheetGroup::List { has_score, entries: Vec::new() });
    }

    pub(super) fn logs(&mut self, rows: Vec<LogRow>) {
        if !rows.is_empty() {
            self.groups().push(SheetGroup::Logs(rows));
        }
    }

    /// A drawing of where the launcher stands.
    pub(super) fn drawing(&mut self, set_up: SetUp) {
        let place = self.set_ups.len();
        self.set_ups.push(set_up);
        self.groups().push(SheetGroup::Drawing(place));
    }
}

impl SheetPart {
    /// Every label with its words in order; further words under a label have none.
    pub fn labelled(&self) -> Vec<(&'static str, &str)> {
        let mut all = Vec::new();
        for group in &self.groups {
            match group {
                SheetGroup::Labels(labels) => all.extend(labels.iter().flat_map(Label::lines)),
                SheetGroup::List { entries, .. } | SheetGroup::Called(entries) => {
                    all.extend(entries.iter().filter_map(|entry| match entry {
                        ListEntry::Words(name, words) => Some((*name, words.as_str())),
                        _ => None,
                    }));
                }
                _ => {}
            }
        }
        all
    }
}
