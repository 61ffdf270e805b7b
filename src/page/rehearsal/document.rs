//! The sheet of a session as a document: parts, and in each of them groups of lines, labels, balls
//! and log lines.
//!
//! What repeats is said once: receives stand in front of the balls under a letter. The parts
//! serialise into what the card's template is filled with.

use serde::Serialize;

use crate::launcher::SetUp;

/// The whole sheet.
#[derive(Debug)]
pub(in crate::page) struct RehearsalSheet {
    pub title: String,
    /// The first part has no title.
    pub parts: Vec<SheetPart>,
    /// Every set-up that is drawn, in order.
    pub set_ups: Vec<SetUp>,
}

/// A part of the sheet: its title, and its balls where it is a block.
#[derive(Debug, Default, Serialize)]
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
    Logs(Vec<LogCells>),
}

/// A label and its words; further words go on under it.
#[derive(Debug, Serialize)]
pub(in crate::page) struct Label {
    pub name: String,
    pub words: Vec<String>,
}

/// A line of a list, or words between two of them.
#[derive(Debug, Serialize)]
#[serde(tag = "kind", content = "of")]
pub(in crate::page) enum ListEntry {
    /// Number; score, theirs first; serve, where it lands, its spin; the letter of the answer, a
    /// star for a small change; what is entered where that differs from ball to ball.
    Ball([String; 8]),
    /// The number of the first ball, and the letters with spaces between them.
    Letters([String; 2]),
    /// A label and its words.
    Words([String; 2]),
    /// Own serves between two balls.
    OwnServes(String),
}

/// A log line to be filled in: its number, its balls, the serve, and where the ball must land to
/// count.
pub(in crate::page) type LogCells = [String; 4];

impl RehearsalSheet {
    /// The sheet from the lines of its template, in each a mark or a label, a tab and its words or
    /// its cells.
    pub(super) fn from_marks(page: &str, set_ups: Vec<SetUp>) -> Self {
        let mut lines = page.lines().filter(|line| !line.is_empty());
        let title = lines.next().unwrap_or_default().to_owned();
        let (mut parts, mut part, mut drawn) = (Vec::new(), SheetPart::default(), 0);
        for line in lines {
            let Some((mark, words)) = line.split_once('\t') else {
                part.add(SheetGroup::Lines(vec![line.to_owned()]));
                continue;
            };
            let own = words.to_owned();
            match mark {
                "#" => {
                    let next = SheetPart { title: own, ..SheetPart::default() };
                    parts.push(std::mem::replace(&mut part, next));
                }
                "<balls>" => part.balls = Some(own),
                "-" => part.add(SheetGroup::Entries(vec![own])),
                "+" => part.go_on(words),
                "<drawing>" => {
                    part.add(SheetGroup::Drawing(drawn));
                    drawn += 1;
                }
                "<list>" => {
                    let has_score = !words.is_empty();
                    part.add(SheetGroup::List { has_score, entries: Vec::new() });
                }
                "<ball>" => part.add(SheetGroup::Called(vec![ListEntry::Ball(cells(words))])),
                "<letters>" => part.add(SheetGroup::Called(vec![ListEntry::Letters(cells(words))])),
                "<own>" => part.add(SheetGroup::Called(vec![ListEntry::OwnServes(own)])),
                "<log>" => part.add(SheetGroup::Logs(vec![cells(words)])),
                name => part.label(name.to_owned(), own),
            }
        }
        parts.push(part);
        Self { title, parts, set_ups }
    }
}

/// The cells of a row.
fn cells<const N: usize>(words: &str) -> [String; N] {
    let mut cells = words.split('\t');
    std::array::from_fn(|_| cells.next().unwrap_or_default().to_owned())
}

impl SheetPart {
    /// Adds to the group that was begun last where it is of the same kind.
    fn add(&mut self, new: SheetGroup) {
        match (self.groups.last_mut(), new) {
            (Some(SheetGroup::Lines(known)), SheetGroup::Lines(new))
            | (Some(SheetGroup::Entries(known)), SheetGroup::Entries(new)) => known.extend(new),
            (
                Some(SheetGroup::List { entries, .. } | SheetGroup::Called(entries)),
                SheetGroup::Called(new),
            ) => entries.extend(new),
            (Some(SheetGroup::Logs(known)), SheetGroup::Logs(new)) => known.extend(new),
            (_, new) => self.groups.push(new),
        }
    }

    /// Goes on with the last line.
    fn go_on(&mut self, words: &str) {
        if let Some(SheetGroup::Lines(lines)) = self.groups.last_mut()
            && let Some(line) = lines.last_mut()
        {
            line.push('\n');
            line.push_str(words);
        }
    }

    /// A label and its words; an empty label goes on with the one before. Those of a call stay in
    /// their list.
    fn label(&mut self, name: String, words: String) {
        let is_of_a_call = matches!(name.as_str(), "CALL" | "when" | "");
        match self.groups.last_mut() {
            Some(SheetGroup::List { entries, .. } | SheetGroup::Called(entries))
                if is_of_a_call =>
            {
                entries.push(ListEntry::Words([name, words]));
            }
            Some(SheetGroup::Labels(labels)) => match labels.last_mut() {
                Some(label) if name.is_empty() => label.words.push(words),
                _ => labels.push(Label { name, words: vec![words] }),
            },
            _ => self.groups.push(SheetGroup::Labels(vec![Label { name, words: vec![words] }])),
        }
    }

    /// Every label with its words in order; further words under a label have none.
    pub fn labelled(&self) -> Vec<(&str, &str)> {
        let mut all = Vec::new();
        for group in &self.groups {
            match group {
                SheetGroup::Labels(labels) => all.extend(labels.iter().flat_map(Label::lines)),
                SheetGroup::List { entries, .. } | SheetGroup::Called(entries) => {
                    all.extend(entries.iter().filter_map(|entry| match entry {
                        ListEntry::Words([name, words]) => Some((name.as_str(), words.as_str())),
                        _ => None,
                    }));
                }
                _ => {}
            }
        }
        all
    }
}

impl Label {
    /// The label with its first words; the others have none.
    pub fn lines(&self) -> impl Iterator<Item = (&str, &str)> {
        let names = std::iter::once(self.name.as_str()).chain(std::iter::repeat(""));
        names.zip(self.words.iter().map(String::as_str))
    }
}
