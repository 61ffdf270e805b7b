//! Points as CSV, read and checked row by row.
//!
//! Header, in any order: `match,server,serve,meant,played,quality,waiting,won`, and optionally `day`.
//!
//! | column | holds |
//! |---|---|
//! | `match` | which match, a word or a name; needed |
//! | `server` | `me` or `them`; needed |
//! | `serve` | the serve's short name; empty when not recognised or on the own serve |
//! | `meant` | the receive intended, as it is said, or `plan`, `safe` or the name of a switch; empty for the plan's |
//! | `played` | the receive that came, when it was another; empty for the one meant |
//! | `quality` | `tight`, `loose`, `missed` or empty |
//! | `waiting` | `yes`, `no` or empty; once noted in a match, empty means `no` in that match |
//! | `won` | `yes` or `no` (also `won`, `lost`, 1, 0); needed |
//! | `day` | 2026-11-15; else the day the match's name begins with |
//!
//! Every mistake is reported with its line, and a file with one is not taken at all. Which serves there are is
//! the caller's business; words that name none stay as typed.

use crate::base::finding::Place;
use crate::base::{Day, Finding, text};
use crate::game::End;
use crate::journal::Quality;

/// The columns, in the order they are written.
pub const COLUMNS: [&str; 8] =
    ["match", "server", "serve", "meant", "played", "quality", "waiting", "won"];
/// The columns without which a row says nothing.
const NEEDED: [&str; 3] = ["match", "server", "won"];

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Its line in the file, from 1.
    pub line: usize,
    /// The match.
    pub of_match: String,
    /// The day, when the row or the match's name says it.
    pub day: Option<Day>,
    /// Who served.
    pub server: End,
    /// The serve as typed.
    pub serve: Option<String>,
    /// The receive meant, as typed.
    pub meant: Option<String>,
    /// The receive played, as typed.
    pub played: Option<String>,
    /// How it came out.
    pub quality: Option<Quality>,
    /// Whether the opponent was waiting.
    pub waiting: Option<bool>,
    /// Who won.
    pub won: bool,
}

/// Reads a file of points; `file` is its name for messages.
///
/// # Errors
/// Every mistake, with its line.
pub fn read(file: &str, source: &str) -> Result<Vec<Row>, Vec<Finding>> {
    let source = source.trim_start_matches('\u{feff}');
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .flexible(true)
        .comment(Some(b'#'))
        .from_reader(source.as_bytes());
    let at = |line: usize| Place { at: Some((line, 1)), ..Place::file(file) };
    let header: Vec<String> = match reader.headers() {
        Ok(header) => header.iter().map(text::plain_word).collect(),
        Err(error) => return Err(vec![Finding::error(error.to_string()).at(Place::file(file))]),
    };
    let mut findings = Vec::new();
    for needed in NEEDED {
        if !header.iter().any(|column| column == needed) {
            findings.push(
                Finding::error(format!("the header has no column `{needed}`"))
                    .at(at(1))
                    .hint(format!("the header is `{}`, optionally `day`", COLUMNS.join(","))),
            );
        }
    }
    for column in &header {
        if !COLUMNS.contains(&column.as_str()) && column != "day" {
            let known: Vec<&str> = COLUMNS.iter().copied().chain(["day"]).collect();
            let finding = Finding::error(format!("`{column}` is no column of points")).at(at(1));
            findings.push(match text::closest(column, &known) {
                Some(word) => finding.hint(format!("did you mean `{word}`?")),
                None => finding.hint(format!("the columns are {}", known.join(", "))),
            });
        }
    }
    if !findings.is_empty() {
        return Err(findings);
    }
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                findings.push(Finding::error(error.to_string()).at(Place::file(file)));
                continue;
            }
        };
        let line = record
            .position()
            .map_or(0, |position| usize::try_from(position.line()).unwrap_or(usize::MAX));
        let cell = |column: &str| {
            let place = header.iter().position(|known| known == column)?;
            record.get(place).map(text::one_line).filter(|cell| !cell.is_empty())
        };
        match row(line, &cell) {
            Ok(row) => rows.push(row),
            Err(wrong) => findings.extend(wrong.into_iter().map(|finding| finding.at(at(line)))),
        }
    }
    if findings.is_empty() { Ok(rows) } else { Err(findings) }
}

fn row(line: usize, cell: &dyn Fn(&str) -> Option<String>) -> Result<Row, Vec<Finding>> {
    let mut wrong = Vec::new();
    let mut needed = |column: &str| {
        let value = cell(column);
        if value.is_none() {
            wrong.push(Finding::error(format!("`{column}` is empty")));
        }
        value.unwrap_or_default()
    };
    let (of_match, server, won) = (needed("match"), needed("server"), needed("won"));
    let mut word = |column: &str, given: &str, words: &[(&str, bool)]| {
        let plain = text::plain_word(given);
        let known = words.iter().find(|(word, _)| *word == plain);
        if known.is_none() && !given.is_empty() {
            let words: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            wrong.push(
                Finding::error(format!("`{given}` is no `{column}`")).hint(text::one_of(&words)),
            );
        }
        known.map(|(_, value)| *value)
    };
    let server = word("server", &server, &[("me", true), ("them", false)]);
    let won = word(
        "won",
        &won,
        &[
            ("yes", true),
            ("no", false),
            ("won", true),
            ("lost", false),
            ("1", true),
            ("0", false),
            ("true", true),
            ("false", false),
        ],
    );
    let waiting = cell("waiting").and_then(|given| {
        word(
            "waiting",
            &given,
            &[
                ("yes", true),
                ("no", false),
                ("1", true),
                ("0", false),
                ("true", true),
                ("false", false),
            ],
        )
    });
    let quality = cell("quality").and_then(|given| match given.parse::<Quality>() {
        Ok(quality) => Some(quality),
        Err(error) => {
            wrong.push(Finding::error(error.to_string()));
            None
        }
    });
    if quality == Some(Quality::Missed) && won == Some(true) {
        wrong.push(
            Finding::error("`quality` is missed and `won` is yes".to_owned())
                .hint("a receive that missed the table loses the point"),
        );
    }
    let day = match cell("day") {
        Some(given) => match given.parse::<Day>() {
            Ok(day) => Some(day),
            Err(error) => {
                wrong.push(Finding::error(error));
                None
            }
        },
        // A match called by its day is dated by it.
        None => of_match.get(..10).and_then(|start| start.parse().ok()),
    };
    match (server, won) {
        (Some(is_me), Some(won)) if wrong.is_empty() => Ok(Row {
            line,
            of_match,
            day,
            server: if is_me { End::Me } else { End::Them },
            serve: cell("serve"),
            meant: cell("meant"),
            played: cell("played"),
            quality,
            waiting,
            won,
        }),
        _ => Err(wrong),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_read_whatever_the_order_of_the_columns() {
        let rows = read(
            "p.csv",
            "won,match,server,serve,quality,waiting\nno,2026-11-15 league,them,short,loose,yes\n\
             yes,club,me,,,\n",
        )
        .unwrap();
        assert_eq!(rows[0].day, Some("2026-11-15".parse().unwrap()));
        assert_eq!((rows[0].quality, rows[0].waiting), (Some(Quality::Loose), Some(true)));
        assert_eq!((rows[1].server, rows[1].day, rows[1].won), (End::Me, None, true));
    }

    #[test]
    fn every_mistake_is_told_with_its_line() {
        let wrong =
            read("p.csv", "match,server,won\nm,us,yes\nm,me,\nm,them,perhaps\n").unwrap_err();
        let shown: Vec<String> = wrong.iter().map(Finding::shown).collect();
        assert_eq!(shown.len(), 3, "{shown:?}");
        assert!(shown[0].starts_with("p.csv:2:1: `us` is no `server`"), "{}", shown[0]);
        assert!(shown[1].starts_with("p.csv:3:1: `won` is empty"), "{}", shown[1]);
        assert!(shown[2].starts_with("p.csv:4:1: `perhaps`"), "{}", shown[2]);
    }

    #[test]
    fn a_header_without_the_needed_columns_is_refused_with_the_whole_header() {
        let wrong = read("p.csv", "match,sever,won\n").unwrap_err();
        assert_eq!(wrong.len(), 2);
        assert!(wrong[1].shown().contains("did you mean `server`?"));
    }
}
