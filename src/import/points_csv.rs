//! Points as CSV, read and checked row by row.
//!
//! Header, in any order: `match,server,serve,meant,played,quality,waiting,won`, and optionally
//! `day`.
//!
//! | column | holds |
//! |---|---|
//! | `match` | which match, a word or a name; needed |
//! | `server` | `me` or `them`; needed |
//! | `serve` | the serve's short name; empty when not recognised or on the own serve |
//! | `meant` | the receive intended, as it is said, or `plan`, `safe` or the name of a switch; empty for the plan's |
//! | `played` | the receive that came, when it was another; empty for the one meant |
//! | `quality` | `good`, `high`, `missed` (also `tight`, `loose`) or empty |
//! | `waiting` | `yes`, `no` or empty; once noted in a match, empty means `no` in that match |
//! | `won` | `yes` or `no` (also `won`, `lost`, 1, 0); needed |
//! | `day` | 2026-11-15; else the day the match's name begins with |
//!
//! Every mistake is reported with its line, and a file with one is not taken at all. Which serves
//! there are is the caller's business; words that name none stay as typed.

use std::str::FromStr;

use crate::base::finding::{MOST_TOLD, Place, only_first};
use crate::base::{Day, Finding, text};
use crate::game::End;
use crate::journal::Quality;

/// The columns, in the order they are written.
pub const COLUMNS: [&str; 8] =
    ["match", "server", "serve", "meant", "played", "quality", "waiting", "won"];
/// The columns without which a row says nothing.
const NEEDED: [&str; 3] = ["match", "server", "won"];

/// Points of one file: two hundred matches.
const MOST_ROWS: usize = 20_000;

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

/// Words for yes and for no, the ones offered first.
type YesNo<'a> = &'a [[&'a str; 2]];
const ME_THEM: YesNo<'_> = &[["me", "them"]];
const YES_NO: YesNo<'_> = &[["yes", "no"], ["1", "0"], ["true", "false"]];
const WON_LOST: YesNo<'_> = &[["yes", "no"], ["won", "lost"], ["1", "0"], ["true", "false"]];

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
    let broken = |error: csv::Error| Finding::error(error.to_string()).at(Place::file(file));
    let at = |line: usize| Place { at: Some((line, 1)), ..Place::file(file) };
    let header = reader.headers().map_err(|error| vec![broken(error)])?;
    let header: Vec<String> = header.iter().map(text::plain_word).collect();
    let mut findings = wrong_columns(&header, &at(1));
    if !findings.is_empty() {
        return Err(findings);
    }
    let mut rows = Vec::new();
    for record in reader.records() {
        if findings.len() > MOST_TOLD || rows.len() > MOST_ROWS {
            break;
        }
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                findings.push(broken(error));
                continue;
            }
        };
        let line = record.position().map_or(0, csv::Position::line);
        let line = usize::try_from(line).unwrap_or(usize::MAX);
        let mut cells = Cells { header: &header, record: &record, wrong: Vec::new() };
        rows.extend(cells.row(line));
        findings.extend(cells.wrong.into_iter().map(|finding| finding.at(at(line))));
    }
    if rows.len() > MOST_ROWS {
        let what = format!("more than {MOST_ROWS} points; {MOST_ROWS} at most in one file");
        findings.push(Finding::error(what).at(Place::file(file)).hint("a file a season"));
    }
    let more = only_first(&mut findings, |found| found.gravity);
    findings.extend(more.map(|more| more.at(Place::file(file))));
    if findings.is_empty() { Ok(rows) } else { Err(findings) }
}

/// What is wrong with the header.
fn wrong_columns(header: &[String], at: &Place) -> Vec<Finding> {
    let known: Vec<&str> = COLUMNS.iter().copied().chain(["day"]).collect();
    let missing = NEEDED.iter().filter(|needed| !header.iter().any(|column| column == *needed));
    let missing = missing.map(|needed| {
        Finding::error(format!("the header has no column `{needed}`"))
            .hint(format!("the header is `{}`, optionally `day`", COLUMNS.join(",")))
    });
    let strange = header.iter().filter(|column| !known.contains(&column.as_str()));
    let strange = strange.map(|column| {
        let hint = match text::closest(column, &known) {
            Some(word) => format!("did you mean `{word}`?"),
            None => format!("the columns are {}", known.join(", ")),
        };
        Finding::error(format!("`{column}` is no column of points")).hint(hint)
    });
    missing.chain(strange).map(|finding| finding.at(at.clone())).collect()
}

/// The cells of one row, and what is wrong with them.
struct Cells<'r> {
    header: &'r [String],
    record: &'r csv::StringRecord,
    wrong: Vec<Finding>,
}

impl Cells<'_> {
    fn cell(&self, column: &str) -> Option<String> {
        let place = self.header.iter().position(|known| known == column)?;
        self.record.get(place).map(text::one_line).filter(|cell| !cell.is_empty())
    }

    fn needed(&mut self, column: &str) -> Option<String> {
        let cell = self.cell(column);
        let is_empty = cell.is_none().then(|| Finding::error(format!("`{column}` is empty")));
        self.wrong.extend(is_empty);
        cell
    }

    /// One of two words, whether it is the first.
    fn either(&mut self, column: &str, given: Option<String>, words: YesNo<'_>) -> Option<bool> {
        let given = given?;
        let plain = text::plain_word(&given);
        let known = words.iter().find_map(|pair| pair.iter().position(|word| *word == plain));
        if known.is_none() {
            let finding = Finding::error(format!("`{given}` is no `{column}`"));
            self.wrong.push(finding.hint(text::one_of(words.as_flattened())));
        }
        known.map(|place| place == 0)
    }

    fn read_value<T: FromStr<Err: ToString>>(&mut self, given: Option<String>) -> Option<T> {
        let read = given?.parse().map_err(|error: T::Err| Finding::error(error.to_string()));
        read.map_err(|finding| self.wrong.push(finding)).ok()
    }

    /// The row; none when something is wrong with it.
    fn row(&mut self, line: usize) -> Option<Row> {
        let of_match = self.needed("match");
        let (server, won) = (self.needed("server"), self.needed("won"));
        let is_me = self.either("server", server, ME_THEM);
        let won = self.either("won", won, WON_LOST);
        let waiting = self.either("waiting", self.cell("waiting"), YES_NO);
        let quality = self.read_value(self.cell("quality"));
        if quality == Some(Quality::Missed) && won == Some(true) {
            let finding = Finding::error("`quality` is missed and `won` is yes");
            self.wrong.push(finding.hint("a receive that missed the table loses the point"));
        }
        let of_match = of_match.unwrap_or_default();
        let day = match self.cell("day") {
            Some(given) => self.read_value(Some(given)),
            // A match called by its day is dated by it.
            None => of_match.get(..10).and_then(|start| start.parse().ok()),
        };
        Some(Row {
            line,
            of_match,
            day,
            server: if is_me? { End::Me } else { End::Them },
            serve: self.cell("serve"),
            meant: self.cell("meant"),
            played: self.cell("played"),
            quality,
            waiting,
            won: won?,
        })
        .filter(|_| self.wrong.is_empty())
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
