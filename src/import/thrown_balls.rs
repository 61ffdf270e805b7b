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

use crate::base::{Finding, Place, text};
use crate::launcher::{Launcher, SeenBall, physical_dials};

const LAND_CM: &str = "land_cm";
const ACROSS_CM: &str = "across_cm";
/// The columns beside the dials, in the order they are explained, with the least and the most: the
/// size of the table, and the floor behind it.
const LENGTHS_CM: [(&str, f64, f64); 4] = [
    ("first_cm", 0.0, 137.0),
    (LAND_CM, 100.0, 290.0),
    (ACROSS_CM, -120.0, 120.0),
    ("next_cm", 100.0, 700.0),
];
/// Balls of one list.
const MOST_BALLS: usize = 1000;

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
    let mut start = 0;
    let lines = source.split('\n').zip(1..).map(|(line, number)| {
        start += line.len() + 1;
        BallLine { number, start: start - line.len() - 1, text: line.trim_end_matches('\r') }
    });
    let mut lines = lines
        .filter(|line| !line.text.trim().is_empty() && !line.text.trim_start().starts_with('#'));
    let Some(head) = lines.next() else {
        return Err(vec![
            Finding::error("there is no ball in it").at(Place::file(file)).hint(example(launcher)),
        ]);
    };
    let separator = if head.text.contains(';') { b';' } else { b',' };
    let columns = cells(&head, separator);
    let findings = Vec::new();
    let mut sheet = BallSheet { file, source, launcher, separator, columns, findings };
    sheet.findings = sheet.check_head(&head);
    if !sheet.findings.is_empty() {
        return Err(sheet.findings);
    }
    let balls: Vec<SeenBall> =
        lines.by_ref().take(MOST_BALLS).filter_map(|row| sheet.read_ball(&row)).collect();
    if lines.next().is_some() {
        let what = format!("more than {MOST_BALLS} balls; {MOST_BALLS} at most in one list");
        let finding = Finding::error(what).at(Place::file(file));
        sheet.findings = vec![finding.hint("some twenty balls over all dials are enough")];
    }
    if sheet.findings.is_empty() { Ok(balls) } else { Err(sheet.findings) }
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
    fn finding(&self, what: String, bytes: &Range<usize>) -> Finding {
        Finding::error(what).at(Place::within(self.file, self.source, bytes.start, bytes.end))
    }

    fn column(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|cell| is_same(&cell.text, name))
    }

    /// What is wrong with the names of the columns.
    fn check_head(&self, head: &BallLine<'_>) -> Vec<Finding> {
        let dials = self.launcher.dials.iter().map(|dial| dial.name.as_str());
        let known: Vec<&str> = dials.chain(LENGTHS_CM.map(|(name, ..)| name)).collect();
        let is_unknown = |cell: &&BallCell| !known.iter().any(|known| is_same(&cell.text, known));
        let unknown = self.columns.iter().filter(is_unknown).map(|cell| {
            let hint = text::closest(&cell.text, &known)
                .map_or_else(|| example(self.launcher), |meant| format!("did you mean `{meant}`?"));
            let what = format!("`{}` is no dial and no bounce", text::one_line(&cell.text));
            self.finding(what, &cell.place).hint(hint)
        });
        let missing: Vec<&str> =
            needed(self.launcher).filter(|name| self.column(name).is_none()).collect();
        let missing = (!missing.is_empty()).then(|| {
            let what = format!("no column {}", text::and_list(&missing));
            self.finding(what, &head.bytes()).hint(example(self.launcher))
        });
        unknown.chain(missing).collect()
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
        self.findings.push(self.finding(wrong, &cell.place));
        Some(f64::NAN)
    }

    fn read_ball(&mut self, line: &BallLine<'_>) -> Option<SeenBall> {
        let row = cells(line, self.separator);
        let [first_x_m, land, across, next_x_m] = LENGTHS_CM.map(|(name, least, most)| {
            self.take(&row, name, [least, most], " cm").map(|cm| cm / 100.0)
        });
        let launcher = self.launcher;
        let dials: Vec<Option<f64>> = launcher
            .dials
            .iter()
            .map(|dial| self.take(&row, &dial.name, [dial.least, dial.most], ""))
            .collect();
        let known = launcher.dials.iter().map(|dial| dial.name.as_str()).zip(dials.iter().copied());
        let known: Vec<_> = known.chain([(LAND_CM, land), (ACROSS_CM, across)]).collect();
        let is_missing = |name: &&str| known.contains(&(*name, None));
        let missing: Vec<&str> = needed(launcher).filter(is_missing).collect();
        if !missing.is_empty() {
            let what = format!("a ball without {}", text::and_list(&missing));
            self.findings.push(self.finding(what, &line.bytes()));
        }
        let dials = dials.into_iter().map(Option::unwrap_or_default).collect();
        let land_m = [land?, across?];
        Some(SeenBall { line: line.number, dials, first_x_m, land_m, next_x_m, is_by_eye: false })
    }
}

impl BallLine<'_> {
    fn bytes(&self) -> Range<usize> {
        self.start..self.start + self.text.len()
    }
}

fn is_same(one: &str, other: &str) -> bool {
    text::plain_word(one) == text::plain_word(other)
}

/// The names of the dials that set something that is calibrated, and of the bounce that every ball
/// has.
fn needed(launcher: &Launcher) -> impl Iterator<Item = &str> {
    physical(launcher).chain([LAND_CM, ACROSS_CM])
}

fn physical(launcher: &Launcher) -> impl Iterator<Item = &str> {
    physical_dials(launcher).into_iter().map(|at| launcher.dials[at].name.as_str())
}

/// The first line such a file has for this launcher.
fn example(launcher: &Launcher) -> String {
    let names: Vec<&str> = physical(launcher).chain(LENGTHS_CM.map(|(name, ..)| name)).collect();
    format!("the first line is {}; then one line a ball", names.join(","))
}
