//! The list of thrown balls: one line a ball, columns by name, centimetres.
//!
//! ```text
//! speed,spin,height,first_cm,land_cm,across_cm,next_cm
//! 6,-3,20,38,182,-12,254
//! ```
//!
//! Every dial that sets physics has a column under its own name. Lengths along the table count from the
//! launcher's end line, across from the centre line, + to the launcher's left. `first_cm` and `next_cm`
//! may stay empty. A semicolon may separate as well; decimals may then have a comma. Lines that begin with
//! `#` are remarks.

use crate::base::{Bound, Finding, Place, text};
use crate::launcher::{Dial, Feature, Launcher, Quantity, SeenBall, Wheels};

/// The columns beside the dials, in the order they are explained.
pub const COLUMNS: [&str; 4] = ["first_cm", "land_cm", "across_cm", "next_cm"];

const FIRST_CM: Bound = bound("first_cm", 0.0, 137.0);
const LAND_CM: Bound = bound("land_cm", 100.0, 290.0);
const ACROSS_CM: Bound = bound("across_cm", -120.0, 120.0);
const NEXT_CM: Bound = bound("next_cm", 100.0, 700.0);

const fn bound(what: &'static str, least: f64, most: f64) -> Bound {
    Bound {
        what,
        unit: "cm",
        least,
        most,
        source: "the size of the table, and the floor behind it",
    }
}

/// A cell with its place in the file.
struct Cell<'a> {
    text: &'a str,
    start: usize,
}

fn cells(line: &str, start: usize, separator: char) -> Vec<Cell<'_>> {
    let mut at = start;
    line.split(separator)
        .map(|part| {
            let lead = part.len() - part.trim_start().len();
            let cell = Cell { text: part.trim(), start: at + lead };
            at += part.len() + separator.len_utf8();
            cell
        })
        .collect()
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
    let mut findings = Vec::new();
    let mut lines = Vec::new();
    let mut start = 0;
    for (line, number) in source.split('\n').zip(1..) {
        let bare = line.trim_end_matches('\r');
        let is_said = !bare.trim().is_empty() && !bare.trim_start().starts_with('#');
        if is_said {
            lines.push((number, start, bare));
        }
        start += line.len() + 1;
    }
    let Some(&(_, head_at, head)) = lines.first() else {
        return Err(vec![
            Finding::error("there is no ball in it").at(Place::file(file)).hint(example(launcher)),
        ]);
    };
    let separator = if head.contains(';') { ';' } else { ',' };
    let columns = cells(head, head_at, separator);
    findings.extend(wrong_head(file, source, launcher, (head_at, head), &columns));
    if !findings.is_empty() {
        return Err(findings);
    }
    let has = |name: &str| columns.iter().position(|cell| same(cell.text, name));
    let wheels = launcher.machine.as_ref().map_or(Wheels::Two, |machine| machine.wheels);
    let mut balls = Vec::new();
    for &(number, at, line) in &lines[1..] {
        let row = cells(line, at, separator);
        let mut take = |name: &str, bound: Option<(f64, f64, &str)>| -> Option<f64> {
            let cell = row.get(has(name)?)?;
            if cell.text.is_empty() {
                return None;
            }
            let read = cell.text.replace(if separator == ';' { ',' } else { '\0' }, ".");
            let wrong = match (read.parse::<f64>().ok().filter(|value| value.is_finite()), bound) {
                (None, _) => format!("`{}` is not a number", text::one_line(cell.text)),
                (Some(value), Some((least, most, unit))) if !(least..=most).contains(&value) => {
                    format!("{name} is {value}{unit}, allowed is {least} to {most}{unit}")
                }
                (Some(value), _) => return Some(value),
            };
            findings.push(Finding::error(wrong).at(Place::within(
                file,
                source,
                cell.start,
                cell.start + cell.text.len(),
            )));
            Some(f64::NAN)
        };
        let mut length = |bound: Bound| {
            take(bound.what, Some((bound.least, bound.most, " cm"))).map(|cm| cm / 100.0)
        };
        let (first_x_m, land, across, next_x_m) =
            (length(FIRST_CM), length(LAND_CM), length(ACROSS_CM), length(NEXT_CM));
        let mut missing = Vec::new();
        let dials = launcher
            .dials
            .iter()
            .enumerate()
            .map(|(at, dial)| {
                let value = take(&dial.name, Some((dial.least, dial.most, "")));
                if value.is_none() && is_physical(at, &launcher.dials, wheels) {
                    missing.push(dial.name.as_str());
                }
                value.unwrap_or_default()
            })
            .collect();
        missing.extend(land.is_none().then_some("land_cm"));
        missing.extend(across.is_none().then_some("across_cm"));
        if !missing.is_empty() {
            let place = Place::within(file, source, at, at + line.len());
            findings.push(
                Finding::error(format!("a ball without {}", text::and_list(&missing))).at(place),
            );
        }
        if let (Some(land), Some(across)) = (land, across) {
            balls.push(SeenBall {
                line: number,
                dials,
                first_x_m,
                land_m: [land, across],
                next_x_m,
            });
        }
    }
    if findings.is_empty() { Ok(balls) } else { Err(findings) }
}

/// What is wrong with the names of the columns.
fn wrong_head(
    file: &str,
    source: &str,
    launcher: &Launcher,
    (head_at, head): (usize, &str),
    columns: &[Cell<'_>],
) -> Vec<Finding> {
    let mut findings = Vec::new();
    let has = |name: &str| columns.iter().position(|cell| same(cell.text, name));
    for cell in columns {
        let is_known = COLUMNS.iter().any(|known| same(cell.text, known))
            || launcher.dials.iter().any(|dial| same(cell.text, &dial.name));
        if !is_known {
            let known: Vec<&str> =
                launcher.dials.iter().map(|dial| dial.name.as_str()).chain(COLUMNS).collect();
            let hint = text::closest(cell.text, &known)
                .map_or_else(|| example(launcher), |meant| format!("did you mean `{meant}`?"));
            findings.push(
                Finding::error(format!("`{}` is no dial and no bounce", text::one_line(cell.text)))
                    .at(Place::within(file, source, cell.start, cell.start + cell.text.len()))
                    .hint(hint),
            );
        }
    }
    let wheels = launcher.machine.as_ref().map_or(Wheels::Two, |machine| machine.wheels);
    let needed: Vec<&str> = launcher
        .dials
        .iter()
        .enumerate()
        .filter(|(at, _)| is_physical(*at, &launcher.dials, wheels))
        .map(|(_, dial)| dial.name.as_str())
        .chain(["land_cm", "across_cm"])
        .filter(|name| has(name).is_none())
        .collect();
    if !needed.is_empty() {
        let place = Place::within(file, source, head_at, head_at + head.len());
        findings.push(
            Finding::error(format!("no column {}", text::and_list(&needed)))
                .at(place)
                .hint(example(launcher)),
        );
    }
    findings
}

fn same(one: &str, other: &str) -> bool {
    text::plain_word(one) == text::plain_word(other)
}

/// Whether a dial sets something that is calibrated.
fn is_physical(at: usize, dials: &[Dial], wheels: Wheels) -> bool {
    let mut one = vec![0.0; dials.len()];
    one[at] = 1.0;
    Quantity::ALL
        .iter()
        .filter_map(|&quantity| Feature::find(quantity, dials, wheels))
        .any(|feature| feature.value(&one) != 0.0)
}

/// The first line such a file has for this launcher.
fn example(launcher: &Launcher) -> String {
    let wheels = launcher.machine.as_ref().map_or(Wheels::Two, |machine| machine.wheels);
    let names: Vec<&str> = launcher
        .dials
        .iter()
        .enumerate()
        .filter(|(at, _)| is_physical(*at, &launcher.dials, wheels))
        .map(|(_, dial)| dial.name.as_str())
        .chain(COLUMNS)
        .collect();
    format!("the first line is {}; then one line a ball", names.join(","))
}
