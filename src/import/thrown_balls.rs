//! The list of thrown balls: one line a ball, columns by name, centimetres.
//!
//! ```text
//! speed,spin,height,first_cm,land_cm,across_cm,next_cm
//! 6,-3,20,38,182,-12,254
//! ```
//!
//! Every dial that sets physics has a column under its own name. Lengths along the table count from
//! the launcher's end line, across from the centre line, + to the launcher's left. `first_cm` and
//! `next_cm` may stay empty. A semicolon may separate as well; decimals may then have a comma.
//! Lines that begin with `#` are remarks.

use std::ops::Range;

use crate::base::{Bound, Finding, Place, text};
use crate::launcher::{Launcher, SeenBall, physical_dials};

/// The columns beside the dials, in the order they are explained.
pub const COLUMNS: [&str; 4] = ["first_cm", "land_cm", "across_cm", "next_cm"];

const FIRST_CM: Bound = bound("first_cm", 0.0, 137.0);
const LAND_CM: Bound = bound("land_cm", 100.0, 290.0);
const ACROSS_CM: Bound = bound("across_cm", -120.0, 120.0);
const NEXT_CM: Bound = bound("next_cm", 100.0, 700.0);

const fn bound(what: &'static str, least: f64, most: f64) -> Bound {
    let source = "the size of the table, and the floor behind it";
    Bound { what, unit: "cm", least, most, source }
}

/// A cell without the blanks around it, and its bytes in the file.
struct BallCell {
    text: String,
    place: Range<usize>,
}

/// A line that is no remark.
struct BallLine<'a> {
    number: usize,
    start: usize,
    text: &'a str,
}

/// A list being read.
struct BallSheet<'a> {
    file: &'a str,
    source: &'a str,
    launcher: &'a Launcher,
    separator: u8,
    columns: Vec<BallCell>,
    findings: Vec<Finding>,
}

/// Reads the balls of a file for this launcher.
///
/// # Errors
/// Every mistake at once, each with its place.
pub fn read_balls(
    file: &str,
    source: &str,
    launcher: &Launcher,
) -> Result<Vec<SeenBall>, Vec<Finding>> {
    let lines = lines(source);
    let Some((head, rows)) = lines.split_first() else {
        return Err(vec![
            Finding::error("there is no ball in it").at(Place::file(file)).hint(example(launcher)),
        ]);
    };
    let separator = if head.text.contains(';') { b';' } else { b',' };
    let columns = cells(head, separator);
    let findings = Vec::new();
    let mut sheet = BallSheet { file, source, launcher, separator, columns, findings };
    sheet.check_head(head);
    if sheet.findings.is_empty() {
        let balls = rows.iter().filter_map(|row| sheet.read_ball(row)).collect();
        if sheet.findings.is_empty() {
            return Ok(balls);
        }
    }
    Err(sheet.findings)
}

fn lines(source: &str) -> Vec<BallLine<'_>> {
    let mut lines = Vec::new();
    let mut start = 0;
    for (line, number) in source.split('\n').zip(1..) {
        let text = line.trim_end_matches('\r');
        if !text.trim().is_empty() && !text.trim_start().starts_with('#') {
            lines.push(BallLine { number, start, text });
        }
        start += line.len() + 1;
    }
    lines
}

/// The cells of one line. The crate reads it apart from the others, because the place it gives of a
/// record counts the remarks before it.
fn cells(line: &BallLine<'_>, separator: u8) -> Vec<BallCell> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .from_reader(line.text.as_bytes());
    let record = reader.records().find_map(Result::ok).unwrap_or_default();
    let cell = |(number, whole): (usize, &str)| {
        let lead = whole.len() - whole.trim_start().len();
        let text = whole.trim().to_owned();
        // A separator before each cell but the first.
        let within = record.range(number).map_or(0, |range| range.start) + number + lead;
        let start = line.start + within;
        BallCell { place: start..start + text.len(), text }
    };
    record.iter().enumerate().map(cell).collect()
}

impl BallSheet<'_> {
    fn place(&self, bytes: &Range<usize>) -> Place {
        Place::within(self.file, self.source, bytes.start, bytes.end)
    }

    fn column(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|cell| is_same(&cell.text, name))
    }

    /// What is wrong with the names of the columns.
    fn check_head(&mut self, head: &BallLine<'_>) {
        let names: Vec<&str> = self.launcher.dials.iter().map(|dial| dial.name.as_str()).collect();
        let known: Vec<&str> = names.into_iter().chain(COLUMNS).collect();
        for cell in &self.columns {
            if known.iter().any(|known| is_same(&cell.text, known)) {
                continue;
            }
            let hint = text::closest(&cell.text, &known)
                .map_or_else(|| example(self.launcher), |meant| format!("did you mean `{meant}`?"));
            let what = format!("`{}` is no dial and no bounce", text::one_line(&cell.text));
            self.findings.push(Finding::error(what).at(self.place(&cell.place)).hint(hint));
        }
        let needed: Vec<&str> = needed_dials(self.launcher)
            .into_iter()
            .chain([LAND_CM.what, ACROSS_CM.what])
            .filter(|name| self.column(name).is_none())
            .collect();
        if !needed.is_empty() {
            let what = format!("no column {}", text::and_list(&needed));
            let place = self.place(&(head.start..head.start + head.text.len()));
            self.findings.push(Finding::error(what).at(place).hint(example(self.launcher)));
        }
    }

    /// The number of a cell; none when it is empty, not a number when it is wrong and reported.
    fn take(&mut self, row: &[BallCell], name: &str, bounds: [f64; 2], unit: &str) -> Option<f64> {
        let cell = row.get(self.column(name)?).filter(|cell| !cell.text.is_empty())?;
        let decimal_comma = if self.separator == b';' { "," } else { "\0" };
        let read = cell.text.replace(decimal_comma, ".").parse::<f64>().ok();
        let [least, most] = bounds;
        let wrong = match read.filter(|value| value.is_finite()) {
            None => format!("`{}` is not a number", text::one_line(&cell.text)),
            Some(value) if !(least..=most).contains(&value) => {
                format!("{name} is {value}{unit}, allowed is {least} to {most}{unit}")
            }
            right => return right,
        };
        self.findings.push(Finding::error(wrong).at(self.place(&cell.place)));
        Some(f64::NAN)
    }

    fn take_length_m(&mut self, row: &[BallCell], bound: &Bound) -> Option<f64> {
        self.take(row, bound.what, [bound.least, bound.most], " cm").map(|cm| cm / 100.0)
    }

    fn read_ball(&mut self, line: &BallLine<'_>) -> Option<SeenBall> {
        let row = cells(line, self.separator);
        let first_x_m = self.take_length_m(&row, &FIRST_CM);
        let land = self.take_length_m(&row, &LAND_CM);
        let across = self.take_length_m(&row, &ACROSS_CM);
        let next_x_m = self.take_length_m(&row, &NEXT_CM);
        let launcher = self.launcher;
        let needed = needed_dials(launcher);
        let mut missing = Vec::new();
        let mut dials = Vec::new();
        for dial in &launcher.dials {
            let value = self.take(&row, &dial.name, [dial.least, dial.most], "");
            if value.is_none() && needed.contains(&dial.name.as_str()) {
                missing.push(dial.name.as_str());
            }
            dials.push(value.unwrap_or_default());
        }
        missing.extend(land.is_none().then_some(LAND_CM.what));
        missing.extend(across.is_none().then_some(ACROSS_CM.what));
        if !missing.is_empty() {
            let place = self.place(&(line.start..line.start + line.text.len()));
            let what = format!("a ball without {}", text::and_list(&missing));
            self.findings.push(Finding::error(what).at(place));
        }
        Some(SeenBall { line: line.number, dials, first_x_m, land_m: [land?, across?], next_x_m })
    }
}

fn is_same(one: &str, other: &str) -> bool {
    text::plain_word(one) == text::plain_word(other)
}

/// The names of the dials that set something that is calibrated.
fn needed_dials(launcher: &Launcher) -> Vec<&str> {
    physical_dials(launcher).into_iter().map(|at| launcher.dials[at].name.as_str()).collect()
}

/// The first line such a file has for this launcher.
fn example(launcher: &Launcher) -> String {
    let names: Vec<&str> = needed_dials(launcher).into_iter().chain(COLUMNS).collect();
    format!("the first line is {}; then one line a ball", names.join(","))
}
