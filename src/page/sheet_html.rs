//! The bench sheet as one printable page: A4, letter, or A6 for the towel box.
//!
//! Plain HTML with its own print rules, nothing loaded from anywhere. Small table pictures are inline SVG, the
//! receiver at the bottom.

use serde::Serialize;

use crate::base::{text, words};
use crate::game::{NET_X_M, TABLE_LENGTH_M, TABLE_WIDTH_M};
use crate::page::sheet::{ServeCard, Sheet, SwitchCard};
use crate::page::template::filled;

words! {
    /// The paper of a sheet.
    pub enum Paper : "paper" {
        /// 210 x 297 mm.
        A4 = "a4" "A4",
        /// 8.5 x 11 inches.
        Letter = "letter" "letter",
        /// 105 x 148 mm, for the towel box.
        A6 = "a6" "A6",
    }
}

/// How a page is laid out on a paper.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct Layout {
    /// The paper's name in the print rules.
    pub(super) size: &'static str,
    pub(super) margin_mm: u32,
    /// Inside the margins.
    height_mm: f64,
    width_mm: f64,
    /// Cards beside each other.
    columns: u32,
    /// Width and height of a table picture, in sizes of the type.
    picture_em: (f64, f64),
    /// Only what is needed between two points.
    pub(super) is_small: bool,
}

impl Paper {
    pub(super) const fn layout(self) -> Layout {
        let a4 = Layout {
            size: "A4",
            margin_mm: 10,
            height_mm: 277.0,
            width_mm: 190.0,
            columns: 2,
            picture_em: (5.0, 8.6),
            is_small: false,
        };
        match self {
            Self::A4 => a4,
            Self::Letter => Layout { size: "letter", height_mm: 259.0, width_mm: 196.0, ..a4 },
            Self::A6 => Layout {
                size: "105mm 148mm",
                margin_mm: 5,
                height_mm: 138.0,
                width_mm: 95.0,
                columns: 1,
                picture_em: (3.6, 6.2),
                is_small: true,
            },
        }
    }
}

/// Largest and smallest type, points; below the smallest nobody reads it between two points.
const TYPE_PT: (f64, f64) = (11.0, 5.0);
/// Steps in which a type size is tried, points.
const STEP_PT: f64 = 0.25;
/// Millimetres in a point.
const MM_PT: f64 = 0.352_778;
/// Mean width of a letter, in sizes of the type; a little generous, so that the page is not over-full.
const LETTER_EM: f64 = 0.51;
/// Height of a line, in sizes of the type.
const LINE_EM: f64 = 1.3;
/// Room between a picture and the words beside it, in sizes of the type.
const BESIDE_EM: f64 = 0.8;
/// Drawn units in a metre.
const UNITS_M: f64 = 40.0;
/// Room around a drawn table, drawn units.
const AROUND: f64 = 5.0;

/// A line of a card.
#[derive(Serialize)]
struct Said {
    label: &'static str,
    words: String,
}

/// A switch with its lines.
#[derive(Serialize)]
struct SwitchSet<'s> {
    #[serde(flatten)]
    card: &'s SwitchCard,
    said: Vec<Said>,
}

/// A serve with its lines and its table picture.
#[derive(Serialize)]
struct ServeSet<'s> {
    row: &'s ServeCard,
    facts: String,
    said: Vec<Said>,
    server: Spot,
    serve_to: Option<Spot>,
    target: Option<Spot>,
}

/// A place in a drawing, in drawn units as they are written.
#[derive(Serialize)]
struct Spot {
    x: String,
    y: String,
}

/// The lines of the table that every picture has, in drawn units.
#[derive(Serialize)]
struct TableLines {
    around: f64,
    width: String,
    height: String,
    wide: String,
    long: String,
    net: String,
    right: String,
}

#[derive(Serialize)]
struct SheetPage<'s> {
    sheet: &'s Sheet,
    day: String,
    paper: Layout,
    type_pt: f64,
    line_em: f64,
    beside_em: f64,
    table: TableLines,
    due: Vec<SwitchSet<'s>>,
    others: Vec<SwitchSet<'s>>,
    serves: Vec<ServeSet<'s>>,
}

/// The sheet as one page of HTML.
///
/// # Errors
/// What the template asks for that the page does not have.
pub fn html(sheet: &Sheet, paper: Paper) -> Result<String, minijinja::Error> {
    let paper = paper.layout();
    let switches = |is_due: bool| {
        let cards = sheet.switches.iter().filter(|card| card.is_due == is_due);
        cards.map(|card| SwitchSet { card, said: said_of_switch(card, paper) }).collect()
    };
    let one = |row| ServeSet {
        row,
        facts: facts(row),
        said: said_of_serve(row, paper),
        server: spot(row.picture.server),
        serve_to: row.picture.serve.map(spot),
        target: row.picture.target.map(spot),
    };
    let mut page = SheetPage {
        sheet,
        day: sheet.day.date().format("%-d %B %Y").to_string(),
        paper,
        type_pt: TYPE_PT.1,
        line_em: LINE_EM,
        beside_em: BESIDE_EM,
        table: table_lines(),
        due: switches(true),
        others: switches(false),
        serves: sheet.rows.iter().map(one).collect(),
    };
    let steps = std::iter::successors(Some(TYPE_PT.0), |size| Some(size - STEP_PT));
    let fits = |size: &f64| height_mm(&page, *size) <= paper.height_mm;
    page.type_pt = steps.take_while(|size| *size > TYPE_PT.1).find(fits).unwrap_or(TYPE_PT.1);
    filled("sheet.html", include_str!("templates/sheet.html"), &page)
}

/// What stands beside a serve's name.
fn facts(row: &ServeCard) -> String {
    let mut facts = String::new();
    if !row.how_often.is_empty() {
        facts += &format!(" {}", row.how_often);
    }
    if !row.scores.is_empty() {
        facts += &format!(", more {}", text::and_list(&row.scores));
    }
    if let Some(standing) = &row.standing {
        facts += &format!("; answer {standing}");
    }
    facts
}

/// The lines of a serve's card behind the serve and its receive.
fn said_of_serve(row: &ServeCard, paper: Layout) -> Vec<Said> {
    let bends = row.bends.iter().map(|bends| ("", bends));
    let is_needed = |label: &str| !paper.is_small || ["so far", "lesson"].contains(&label);
    let said = bends.chain(row.reasons()).filter(|(label, _)| is_needed(label));
    said.map(|(label, words)| Said { label, words: words.clone() }).collect()
}

/// The lines of a switch's card.
fn said_of_switch(switch: &SwitchCard, paper: Layout) -> Vec<Said> {
    let mut said = Vec::new();
    said.extend(switch.when.clone().map(|words| Said { label: "when", words }));
    for (serve, old, new) in &switch.changes {
        let line = |label, receive: &String| Said { label, words: format!("{serve}: {receive}") };
        said.extend(old.as_ref().map(|old| line("not", old)));
        said.push(line("now", new));
    }
    let not_when = switch.not_when.clone().filter(|_| !paper.is_small);
    said.extend(not_when.map(|words| Said { label: "not if", words }));
    said
}

/// The height of everything in type of this size, points, by counting letters.
fn height_mm(page: &SheetPage<'_>, size_pt: f64) -> f64 {
    let (paper, sheet) = (page.paper, page.sheet);
    let em_mm = size_pt * MM_PT;
    let column_em = paper.width_mm / em_mm / f64::from(paper.columns) - 2.0;
    let lines = |letters: usize, width_em: f64| {
        (letters as f64 * LETTER_EM / width_em.max(4.0)).ceil().max(1.0)
    };
    let serve = |set: &ServeSet<'_>| {
        let width = column_em - paper.picture_em.0 - BESIDE_EM;
        let receive = set.row.receive.as_deref().map_or(0, text::width);
        let due = set.row.due.as_ref().map_or(0.0, |(name, plan)| {
            lines(24 + text::width(name) + text::width(plan), width)
        });
        let shown = lines(1 + text::width(&set.row.shown), width);
        let said = set.said.iter().map(|line| line.label.len() + 1 + text::width(&line.words));
        let said: f64 = said.map(|letters| lines(letters, width)).sum();
        // Name, counts, and the receive in heavier type.
        let words = shown + said + due + 2.2 + 1.15 * lines(receive * 11 / 10, width);
        words.max(paper.picture_em.1 / LINE_EM) + 0.9
    };
    let switch = |set: &SwitchSet<'_>| {
        let said = set.said.iter().map(|line| lines(8 + text::width(&line.words), column_em));
        said.sum::<f64>() + 2.4
    };
    // Cards beside each other are as high as the highest.
    let height = |cards: Vec<f64>| -> f64 {
        cards
            .chunks(paper.columns as usize)
            .map(|pair| pair.iter().copied().fold(0.0, f64::max))
            .sum()
    };
    let before: usize = sheet.before.iter().map(|thing| text::width(thing) + 3).sum();
    let before = if before == 0 || paper.is_small {
        0.0
    } else {
        lines(before + 17, paper.width_mm / em_mm) + 0.5
    };
    let serves = height(page.serves.iter().map(serve).collect());
    let switches = height(page.due.iter().chain(&page.others).map(switch).collect());
    let head_and_foot = 10.0 + before;
    (serves + switches + head_and_foot) * LINE_EM * em_mm
}

/// The table from above, the receiver at the bottom.
fn table_lines() -> TableLines {
    let (wide, long) = (TABLE_WIDTH_M * UNITS_M, TABLE_LENGTH_M * UNITS_M);
    TableLines {
        around: AROUND,
        width: format!("{:.0}", wide + 2.0 * AROUND),
        height: format!("{:.0}", long + 2.0 * AROUND),
        wide: format!("{wide:.1}"),
        long: format!("{long:.1}"),
        net: format!("{:.1}", AROUND + NET_X_M * UNITS_M),
        right: format!("{:.1}", wide + 2.0 * AROUND - 1.0),
    }
}

/// Where something stands in a drawing: `x` metres from the server's end line, `y` to the receiver's right.
fn spot((x_m, y_m): (f64, f64)) -> Spot {
    Spot {
        x: format!("{:.1}", AROUND + (TABLE_WIDTH_M / 2.0 + y_m) * UNITS_M),
        y: format!("{:.1}", AROUND + x_m * UNITS_M),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_receiver_sits_at_the_bottom() {
        // The serve comes down below the net line, the receive goes above it.
        assert_eq!(table_lines().net, "59.8");
        assert_eq!(spot((2.0, 0.4)).y, "85.0");
        assert_eq!(spot((0.2, -0.4)).y, "13.0");
    }
}
