//! A finding: something wrong in a file or a request, said with its place and the way out.
//!
//! A reader of files returns all its findings at once; the screen prints them, one after the other:
//!
//! ```text
//! decks/north.ron:7:17: `pendulm` is not a motion
//!   7 |         motion: pendulm,
//!     |                 ^^^^^^^
//!   hint: did you mean `pendulum`?
//! ```

use serde::{Deserialize, Serialize};

use crate::base::text;

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Gravity {
    /// Worth a look; everything works.
    Advice,
    /// Something was set aside or cannot be right; the rest works.
    Warning,
    /// The file or request cannot be used as it is.
    Error,
}

/// Where in a file something stands. Lines and columns count from 1; columns count characters.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Place {
    /// The file as the player knows it, for example `decks/north.ron`.
    pub file: String,
    /// The line and column, when the place is inside the file.
    pub at: Option<(usize, usize)>,
    /// The text of that line, to be shown.
    pub line_text: Option<String>,
    /// How many characters to underline.
    pub length: usize,
}

/// Findings told of one file.
pub const MOST_TOLD: usize = 100;

/// Keeps the first [`MOST_TOLD`] of what was found; a finding for the others, as grave as they are.
pub fn only_first<T>(found: &mut Vec<T>, gravity: impl Fn(&T) -> Gravity) -> Option<Finding> {
    let others = found.split_off(found.len().min(MOST_TOLD));
    let gravity = others.iter().map(gravity).max()?;
    let what = format!("not shown: {}", text::count(others.len(), "more thing"));
    let hint = "put the first ones right, then read it again";
    Some(Finding { gravity, ..Finding::error(what).hint(hint) })
}

impl Place {
    /// A file as a whole.
    pub fn file(file: impl Into<String>) -> Self {
        Self { file: file.into(), at: None, line_text: None, length: 0 }
    }

    /// Bytes `start..end` of `source`, which is the text of `file`.
    pub fn within(file: impl Into<String>, source: &str, start: usize, end: usize) -> Self {
        let start = source.floor_char_boundary(start);
        let before = &source[..start];
        let line = before.matches('\n').count() + 1;
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        let line_text =
            source[line_start..].split('\n').next().unwrap_or_default().trim_end_matches('\r');
        let column = source[line_start..start].chars().count() + 1;
        let line_end = line_start + line_text.len();
        let end = source.floor_char_boundary(end.min(line_end)).max(start);
        let length = source[start..end].chars().count().max(1);
        Self {
            file: file.into(),
            at: Some((line, column)),
            line_text: (line_text.len() <= LONGEST_LINE).then(|| line_text.to_owned()),
            length,
        }
    }
}

/// A line before, under and behind its mistake.
fn parted(line: &str, column: usize, length: usize) -> [String; 3] {
    let mut letters = line.chars();
    let before = letters.by_ref().take(column - 1).collect();
    let under = letters.by_ref().take(length).collect();
    [before, under, letters.collect()]
}

/// A longer line is not shown, bytes: it is no line that a person wrote.
const LONGEST_LINE: usize = 8000;

/// What stands where an excerpt is cut.
const CUT: &str = "...";

/// The part of a line around a mistake that fits into `room` columns, with the column and length of
/// the mistake in it.
fn excerpt(line: &str, column: usize, length: usize, room: usize) -> (String, usize, usize) {
    let letters: Vec<char> = line.chars().collect();
    let width = |letters: &[char]| text::width(&letters.iter().collect::<String>());
    if width(&letters) <= room {
        return (line.to_owned(), column, length);
    }
    let at = (column - 1).min(letters.len());
    let end = (at + length.min(room / 3)).min(letters.len());
    // More of what follows than of what comes before, and no more cut away than must be.
    let start = if width(&letters[..end]) <= room / 2 {
        0
    } else {
        at.saturating_sub(room / 3).min((letters.len() + CUT.len()).saturating_sub(room))
    };
    let lead = if start == 0 { "" } else { CUT };
    let rest = &letters[start..];
    let mut shown: Vec<char> = rest.iter().take(room).copied().collect();
    let tail =
        if shown.len() == rest.len() && lead.len() + width(&shown) <= room { "" } else { CUT };
    while lead.len() + width(&shown) + tail.len() > room && shown.pop().is_some() {}
    let length = length.min((shown.len() + 1).saturating_sub(at - start)).max(1);
    let text: String = lead.chars().chain(shown).chain(tail.chars()).collect();
    (text, at - start + lead.len() + 1, length)
}

impl std::fmt::Display for Place {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let file = text::visible(&self.file);
        match self.at {
            Some((line, column)) => write!(out, "{file}:{line}:{column}"),
            None => out.write_str(&file),
        }
    }
}

/// Something wrong, where it is, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Finding {
    /// How much it matters.
    pub gravity: Gravity,
    /// Where it stands; none for a request made by flags.
    pub place: Option<Place>,
    /// What is wrong: lower case, no full stop, names in backticks.
    pub what: String,
    /// What would be right.
    pub hint: Option<String>,
}

impl Finding {
    /// An error without a place yet.
    pub fn error(what: impl Into<String>) -> Self {
        Self { gravity: Gravity::Error, place: None, what: what.into(), hint: None }
    }

    /// A warning without a place yet.
    pub fn warning(what: impl Into<String>) -> Self {
        Self { gravity: Gravity::Warning, ..Self::error(what) }
    }

    /// A piece of advice without a place yet.
    pub fn advice(what: impl Into<String>) -> Self {
        Self { gravity: Gravity::Advice, ..Self::error(what) }
    }

    /// The same finding with a place.
    #[must_use]
    pub fn at(self, place: Place) -> Self {
        Self { place: Some(place), ..self }
    }

    /// The same finding with a hint.
    #[must_use]
    pub fn hint(self, hint: impl Into<String>) -> Self {
        Self { hint: Some(hint.into()), ..self }
    }

    /// The finding as the player reads it, with the line and a caret when the place is known.
    pub fn shown(&self) -> String {
        self.shown_in(COLUMNS)
    }

    /// The same in so many columns.
    pub fn shown_in(&self, columns: usize) -> String {
        let mark = match self.gravity {
            Gravity::Error => "",
            Gravity::Warning => "warning: ",
            Gravity::Advice => "advice: ",
        };
        let place = self.place.as_ref().map_or_else(String::new, |place| format!("{place}: "));
        let first = format!("{place}{mark}{}", text::one_line(&self.what));
        let mut lines = vec![wrapped(&first, columns, "  ")];
        if let Some(Place {
            at: Some((line, column)), line_text: Some(line_text), length, ..
        }) = &self.place
        {
            let number = line.to_string();
            let gap = " ".repeat(number.len());
            let room = columns.saturating_sub(number.len() + 5);
            // What is hidden takes the room of its sign, before the caret and under it.
            let [before, under, behind] = parted(line_text, *column, *length)
                .map(|part| part.split('\t').map(text::visible).collect::<Vec<_>>().join("\t"));
            let letters = |part: &str| part.chars().count();
            let (column, length) = (letters(&before) + 1, letters(&under).max(1));
            let line = format!("{before}{under}{behind}");
            let (line_text, column, length) = excerpt(&line, column, length, room);
            // A tab stays a tab in the line of the caret, so both lines line up.
            let before: String = line_text.chars().take(column - 1).collect();
            let blank = |part: &str| " ".repeat(text::width(part));
            let lead = before.split('\t').map(blank).collect::<Vec<_>>().join("\t");
            lines.push(format!("  {number} | {line_text}"));
            lines.push(format!("  {gap} | {lead}{}", "^".repeat(length)));
        }
        if let Some(hint) = &self.hint {
            lines.push(wrapped(&format!("  hint: {}", text::one_line(hint)), columns, "        "));
        }
        lines.join("\n")
    }
}

/// Columns of a usual terminal.
const COLUMNS: usize = 80;

/// What is written in backquotes stays on one line, so that it can be copied, where one holds it.
fn wrapped(line: &str, columns: usize, indent: &str) -> String {
    if text::width(line) <= columns {
        return line.to_owned();
    }
    // Dates, flags and names are not broken either.
    let kept = line.trim_start().replace('-', "\u{2011}");
    let parts = kept.split('`').enumerate();
    let parts = parts.map(|(place, part)| match place % 2 {
        0 => part.to_owned(),
        _ if text::width(part) + indent.len() + 2 > columns => part.to_owned(),
        _ => part.replace(' ', "\u{a0}"),
    });
    let begin = line.len() - line.trim_start().len();
    let kept = format!("{}{}", &line[..begin], parts.collect::<Vec<_>>().join("`"));
    text::wrap(&kept, columns, indent).replace('\u{a0}', " ").replace('\u{2011}', "-")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_the_terminal_and_no_word_is_broken() {
        let values =
            "`a short ball`, `a long push`, `a slow spinny ball`, `a wide ball to the forehand`";
        let finding = Finding::error(format!("`frog` is none of {values}"));
        let finding = finding
            .hint("`secondball scout \"Left-hander, north hall\" --likes flick --hates short`");
        for columns in [40, 60, 80] {
            let shown = finding.shown_in(columns);
            assert!(shown.lines().all(|line| text::width(line) <= columns), "{shown}");
            let words: Vec<&str> = shown.split_whitespace().collect();
            let said = format!("{} hint: {}", finding.what, finding.hint.clone().unwrap());
            assert_eq!(words, said.split_whitespace().collect::<Vec<_>>(), "{shown}");
        }
    }

    #[test]
    fn the_caret_stands_under_the_word_that_is_wrong() {
        let source = "(\n    motion: pendulm,\n)";
        let start = source.find("pendulm").unwrap();
        let shown = Finding::error("`pendulm` is not a motion")
            .at(Place::within("decks/north.ron", source, start, start + 7))
            .hint("did you mean `pendulum`?")
            .shown();
        assert_eq!(
            shown,
            "decks/north.ron:2:13: `pendulm` is not a motion\n  2 |     motion: pendulm,\n    \
             |             ^^^^^^^\n  hint: did you mean `pendulum`?"
        );
    }

    #[test]
    fn a_line_too_wide_for_the_terminal_is_cut_around_the_caret() {
        let source = format!("{}pendulm{}", "word, ".repeat(30), ", word".repeat(30));
        let start = source.find("pendulm").unwrap();
        for (from, to) in [(start, start + 7), (0, 4), (source.len() - 4, source.len()), (9, 300)] {
            let place = Place::within("decks/north.ron", &source, from, to);
            let shown = Finding::error("this is wrong").at(place).shown();
            let lines: Vec<&str> = shown.lines().collect();
            assert!(lines.iter().all(|line| text::width(line) <= COLUMNS), "{shown}");
            let caret = lines[2].find('^').unwrap();
            let word: String = source[from..to].chars().take(4).collect();
            assert!(lines[1][caret..].starts_with(&word), "{shown}");
            assert_eq!(lines[1].ends_with("..."), to < source.len(), "{shown}");
        }
    }

    #[test]
    fn a_place_inside_a_character_or_behind_the_end_is_no_danger() {
        assert_eq!(Place::within("f", "é", 1, 1).at, Some((1, 1)));
        assert_eq!(Place::within("f", "ab", 9, 12).at, Some((1, 3)));
    }
}
