//! A session as text for the terminal or for paper: one calm column, eighty wide.

use crate::base::{Units, text};
use crate::page::rehearsal::document::SheetGroup;
use crate::page::rehearsal::sheet::sheet;
use crate::page::rehearsal::words::NAME;
use crate::rehearsal::Session;

/// Columns before the text of a labelled line.
const LABEL: usize = 11;

/// The session as text, `width` columns at most, lengths in the player's units.
pub fn text(session: &Session, width: usize, units: Units) -> String {
    let (sheet, width) = (sheet(session, units, false), width.max(60));
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
    lines.iter().flat_map(|line| [line.trim_end(), "\n"]).collect()
}

/// Sets lines of one kind.
fn set(group: &SheetGroup, width: usize, page: &mut Vec<String>) {
    let (mut log, mut call) = ("log", "call");
    for line in &group.lines {
        match (line.mark.as_str(), line.cells.as_slice()) {
            ("<drawing>", _) => {}
            ("<line>", lines) => page.extend_from_slice(lines),
            ("-", words) => {
                let entry = format!("  - {}", text::one_line(&words.concat()));
                page.push(text::wrap(&entry, width, "    "));
            }
            ("<list>", _) => {
                page.push(format!(
                    "  ball {:NAME$} {:23} {:22} answer",
                    "serve", "lands", "spin, bends"
                ));
            }
            ("<ball>", [mark, serve, lands, spin, answer, change, settings]) => {
                let (serve, lands) = (text::fit(serve, NAME), text::fit(lands, 23));
                let spin = text::fit(spin, 22);
                page.push(format!("  {mark:>3}  {serve} {lands} {spin} {answer}{change}"));
                if !settings.is_empty() {
                    page.push(labelled("", settings, width));
                }
            }
            ("<letters>", [from, letters]) => {
                let call = text::fit(std::mem::take(&mut call), LABEL - 2);
                page.push(format!("  {call}{from:>3}   {letters}"));
            }
            ("<log>", [number, balls, serve, target]) => {
                let counts = if target.is_empty() { "" } else { "  counts: " };
                let serve = text::fit(serve, NAME.max(text::width(serve)));
                let line = format!("{number:>2}. ____/{balls:<3} {serve}{counts}{target}");
                page.push(labelled(std::mem::take(&mut log), &line, width));
            }
            (label, words) => page.push(labelled(label, &words.concat(), width)),
        }
    }
}

/// A label and its text, wrapped under itself.
fn labelled(label: &str, words: &str, width: usize) -> String {
    let under = format!("\n{:LABEL$}", "");
    let wrapped = text::wrap(words, width - LABEL, "").replace('\n', &under);
    format!("  {}{wrapped}", text::fit(label, LABEL - 2))
}
