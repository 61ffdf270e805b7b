//! A session as text for the terminal or for paper: one calm column, eighty wide.

use crate::base::{Units, text};
use crate::page::rehearsal::document::{BallRow, Label, ListEntry, LogRow, SheetGroup, SheetPart};
use crate::page::rehearsal::sheet::sheet;
use crate::page::rehearsal::words::visible;
use crate::rehearsal::Session;

/// Columns before the text of a labelled line.
const LABEL: usize = 11;

/// The session as text, `width` columns at most, lengths in the player's units.
pub fn text(session: &Session, width: usize, units: Units) -> String {
    let sheet = sheet(session, units);
    let mut page = TextPage { out: String::new(), width: width.max(60) };
    page.line(&sheet.title);
    for part in &sheet.parts {
        page.part(part);
    }
    page.out
}

struct TextPage {
    out: String,
    width: usize,
}

impl TextPage {
    fn line(&mut self, text: &str) {
        self.out.push_str(text.trim_end());
        self.out.push('\n');
    }

    /// A label and its text, wrapped under itself.
    fn labelled(&mut self, label: &str, words: &str) {
        let wrapped = text::wrap(&visible(words), self.width - LABEL, "");
        let labels = std::iter::once(label).chain(std::iter::repeat(""));
        for (label, line) in labels.zip(wrapped.split('\n')) {
            self.line(&format!("  {}{line}", text::fit(label, LABEL - 2)));
        }
    }

    fn part(&mut self, part: &SheetPart) {
        if !part.title.is_empty() {
            let balls = part.balls.as_deref().unwrap_or_default();
            let taken = text::width(&part.title) + text::width(balls);
            let gap = " ".repeat(self.width.saturating_sub(taken).max(2));
            self.line("");
            self.line(&format!("{}{gap}{balls}", part.title));
        }
        for group in &part.groups {
            self.group(group);
        }
    }

    fn group(&mut self, group: &SheetGroup) {
        match group {
            SheetGroup::Lines(lines) => lines.iter().for_each(|line| self.line(line)),
            SheetGroup::Entries(entries) => {
                for words in entries {
                    let entry = format!("  - {}", text::one_line(words));
                    self.line(&text::wrap(&entry, self.width, "    "));
                }
            }
            SheetGroup::Labels(labels) => {
                for (name, words) in labels.iter().flat_map(Label::lines) {
                    self.labelled(name, words);
                }
            }
            SheetGroup::Drawing(_) => {}
            SheetGroup::List { has_score, entries } => {
                self.head(*has_score);
                self.entries(entries, *has_score);
            }
            SheetGroup::Called(entries) => self.entries(entries, false),
            SheetGroup::Logs(rows) => self.logs(rows),
        }
    }

    fn head(&mut self, has_score: bool) {
        self.line(&format!(
            "   no  {}{} {} {} answer",
            if has_score { "score " } else { "" },
            text::fit("serve", 13),
            text::fit("lands", 23),
            text::fit("spin, bends", if has_score { 21 } else { 26 })
        ));
    }

    fn entries(&mut self, entries: &[ListEntry], has_score: bool) {
        let mut label = "call";
        for entry in entries {
            match entry {
                ListEntry::Ball(row) => self.ball(row, has_score),
                ListEntry::Letters(from, letters) => {
                    let letters: Vec<String> = letters.iter().map(char::to_string).collect();
                    let label = text::fit(std::mem::take(&mut label), LABEL - 2);
                    self.line(&format!("  {label}{from:>3}   {}", letters.join(" ")));
                }
                ListEntry::Words(label, words) => self.labelled(label, words),
                ListEntry::OwnServes(words) => self.line(&format!("        -- {words} --")),
            }
        }
    }

    fn ball(&mut self, row: &BallRow, has_score: bool) {
        let score = row.score.map(|(them, me)| format!("{them}-{me}")).unwrap_or_default();
        let columns = if has_score { 6 } else { 0 };
        let change = if row.is_changed { "*" } else { "" };
        self.line(&format!(
            "  {:>3}  {score:<columns$}{} {} {} {}{change}",
            row.number,
            text::fit(&row.serve, 13),
            text::fit(&row.lands, 23),
            text::fit(&row.spin, 26),
            row.answer
        ));
        if let Some(settings) = &row.settings {
            self.labelled("", settings);
        }
    }

    fn logs(&mut self, rows: &[LogRow]) {
        let mut label = "log";
        for LogRow { number, balls, serve, target } in rows {
            let target = target.as_ref().map(|it| format!("  counts: {it}")).unwrap_or_default();
            let name = text::fit(serve, 16);
            let line = format!("{number:>2}. ____/{balls:<3} {name}{target}");
            self.labelled(std::mem::take(&mut label), &line);
        }
    }
}
