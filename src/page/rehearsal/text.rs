//! A session as text for the terminal or for paper: one calm column, eighty wide.

use crate::base::{Units, text};
use crate::page::rehearsal::document::{Label, ListEntry, SheetGroup};
use crate::page::rehearsal::sheet::sheet;
use crate::rehearsal::Session;

/// Columns before the text of a labelled line.
const LABEL: usize = 11;

/// The session as text, `width` columns at most, lengths in the player's units.
pub fn text(session: &Session, width: usize, units: Units) -> String {
    let (sheet, width) = (sheet(session, units), width.max(60));
    let mut lines = vec![sheet.title];
    for part in &sheet.parts {
        if !part.title.is_empty() {
            let balls = part.balls.as_deref().unwrap_or_default();
            let gap = width.saturating_sub(part.title.len() + balls.len()).max(2);
            lines.extend([String::new(), format!("{}{:gap$}{balls}", part.title, "")]);
        }
        for group in &part.groups {
            set(group, width, &mut lines);
        }
    }
    lines.iter().map(|line| format!("{}\n", line.trim_end())).collect()
}

/// Sets things of one kind.
fn set(group: &SheetGroup, width: usize, page: &mut Vec<String>) {
    match group {
        SheetGroup::Drawing(_) => {}
        SheetGroup::Lines(lines) => page.extend(lines.iter().cloned()),
        SheetGroup::Entries(entries) => page.extend(
            entries
                .iter()
                .map(|words| text::wrap(&format!("  - {}", text::one_line(words)), width, "    ")),
        ),
        SheetGroup::Labels(labels) => {
            let lines = labels.iter().flat_map(Label::lines);
            page.extend(lines.map(|(name, words)| labelled(name, words, width)));
        }
        SheetGroup::List { has_score, entries } => {
            page.push(if *has_score {
                format!("   no  score {:13} {:23} {:21} answer", "serve", "lands", "spin, bends")
            } else {
                format!("   no  {:13} {:23} {:26} answer", "serve", "lands", "spin, bends")
            });
            list(entries, *has_score, width, page);
        }
        SheetGroup::Called(entries) => list(entries, false, width, page),
        SheetGroup::Logs(rows) => {
            for (nth, [number, balls, serve, target]) in rows.iter().enumerate() {
                let counts = if target.is_empty() { "" } else { "  counts: " };
                let serve = text::fit(serve, 16);
                let line = format!("{number:>2}. ____/{balls:<3} {serve}{counts}{target}");
                page.push(labelled(if nth == 0 { "log" } else { "" }, &line, width));
            }
        }
    }
}

/// A label and its text, wrapped under itself.
fn labelled(label: &str, words: &str, width: usize) -> String {
    let under = format!("\n{:LABEL$}", "");
    let wrapped = text::wrap(words, width - LABEL, "").replace('\n', &under);
    format!("  {}{wrapped}", text::fit(label, LABEL - 2))
}

fn list(entries: &[ListEntry], has_score: bool, width: usize, page: &mut Vec<String>) {
    let mut label = "call";
    for entry in entries {
        let line = match entry {
            ListEntry::Words([label, words]) => labelled(label, words, width),
            ListEntry::OwnServes(words) => format!("        -- {words} --"),
            ListEntry::Letters([from, letters]) => {
                let label = text::fit(std::mem::take(&mut label), LABEL - 2);
                format!("  {label}{from:>3}   {letters}")
            }
            ListEntry::Ball([number, score, serve, lands, spin, answer, change, settings]) => {
                let columns = if has_score { 6 } else { 0 };
                let (serve, lands) = (text::fit(serve, 13), text::fit(lands, 23));
                let spin = text::fit(spin, 26);
                page.push(format!(
                    "  {number:>3}  {score:columns$}{serve} {lands} {spin} {answer}{change}"
                ));
                if settings.is_empty() {
                    continue;
                }
                labelled("", settings, width)
            }
        };
        page.push(line);
    }
}
