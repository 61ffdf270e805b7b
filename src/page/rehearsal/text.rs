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
    lines.iter().flat_map(|line| [line.trim_end(), "\n"]).collect()
}

/// Sets lines of one kind.
fn set(group: &SheetGroup, width: usize, page: &mut Vec<String>) {
    let has_score = group.lines.iter().any(|line| line.mark == "<list>" && line.cells != [""]);
    let (mut log, mut call) = ("log", "call");
    for line in &group.lines {
        match (line.mark.as_str(), line.cells.as_slice()) {
            ("<drawing>", _) => {}
            ("<line>", lines) => page.extend_from_slice(lines),
            ("-", words) => {
                let entry = format!("  - {}", text::one_line(&words.concat()));
                page.push(text::wrap(&entry, width, "    "));
            }
            ("<list>", _) if has_score => {
                page.push(format!(
                    "   no  score {:13} {:23} {:21} answer",
                    "serve", "lands", "spin, bends"
                ));
            }
            ("<list>", _) => {
                page.push(format!(
                    "   no  {:13} {:23} {:26} answer",
                    "serve", "lands", "spin, bends"
                ));
            }
            ("<ball>", [number, score, serve, lands, spin, answer, change, settings]) => {
                let columns = if has_score { 6 } else { 0 };
                let (serve, lands) = (text::fit(serve, NAME), text::fit(lands, 23));
                let spin = text::fit(spin, 22);
                page.push(format!(
                    "  {number:>3}  {score:columns$}{serve} {lands} {spin} {answer}{change}"
                ));
                if !settings.is_empty() {
                    page.push(labelled("", settings, width));
                }
            }
            ("<letters>", [from, letters]) => {
                let call = text::fit(std::mem::take(&mut call), LABEL - 2);
                page.push(format!("  {call}{from:>3}   {letters}"));
            }
            ("<own>", words) => page.push(format!("        -- {} --", words.concat())),
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
