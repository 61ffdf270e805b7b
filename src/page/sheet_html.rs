//! The bench sheet as one printable page: A4, letter, or A6 for the towel box.
//!
//! Plain HTML with its own print rules, nothing loaded from anywhere. Small table pictures are
//! inline SVG, the receiver at the bottom.

use std::borrow::Cow;

use serde::Serialize;
use serde_json::{Value, json};

use crate::base::{text, words};
use crate::game::TABLE_WIDTH_M;
use crate::page::numbers::date;
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
pub(super) struct PaperLayout {
    /// The paper's name in the print rules.
    pub(super) size: &'static str,
    pub(super) margin_mm: u32,
    /// Inside the margins.
    height_mm: f64,
    width_mm: f64,
    /// Cards beside each other.
    columns: usize,
    /// Width and height of a table picture, in sizes of the type.
    picture_em: (f64, f64),
    /// Only what is needed between two points.
    pub(super) is_small: bool,
}

impl Paper {
    pub(super) const fn layout(self) -> PaperLayout {
        let a4 = PaperLayout {
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
            Self::Letter => PaperLayout { size: "letter", height_mm: 259.0, width_mm: 196.0, ..a4 },
            Self::A6 => PaperLayout {
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
/// Mean width of a letter, in sizes of the type; a little generous, so that the page is not
/// over-full.
const LETTER_EM: f64 = 0.51;
/// Height of a line, in sizes of the type.
const LINE_EM: f64 = 1.3;
/// Room between a picture and the words beside it, in sizes of the type.
const BESIDE_EM: f64 = 0.8;
/// Drawn units in a metre; the template's table is drawn with them.
const UNITS_M: f64 = 40.0;
/// Room around a drawn table, drawn units.
const AROUND: f64 = 5.0;

/// The sheet as one page of HTML.
///
/// # Errors
/// What the template asks for that the page does not have.
pub fn html(sheet: &Sheet, paper: Paper) -> Result<String, minijinja::Error> {
    let paper = paper.layout();
    let switches = |is_due: bool| -> Vec<Value> {
        let cards = sheet.switches.iter().filter(|card| card.is_due == is_due);
        cards.map(|card| json!({ "card": card, "said": said_of_switch(sheet, card) })).collect()
    };
    let serve = |row: &ServeCard| {
        json!({
            "row": row,
            "said": row.lines(paper.is_small),
            "server": spot(row.picture.server),
            "serve_to": row.picture.serve.map(spot),
            "target": row.picture.target.map(spot),
        })
    };
    let document = json!({
        "sheet": sheet,
        "day": date(sheet.day),
        "paper": paper,
        "type_pt": type_pt(sheet, paper).to_string(),
        "line_em": LINE_EM,
        "beside_em": BESIDE_EM,
        "due": switches(true),
        "others": switches(false),
        "serves": sheet.rows.iter().map(serve).collect::<Vec<_>>(),
    });
    filled("sheet.html", include_str!("templates/sheet.html"), &document)
}

/// A line of a card: label and words.
type Line<'s> = (&'static str, Cow<'s, str>);

/// The lines of a switch's card.
fn said_of_switch<'s>(sheet: &Sheet, switch: &'s SwitchCard) -> Vec<Line<'s>> {
    let mut said = Vec::new();
    said.extend(switch.when.as_ref().map(|when| ("when", when.into())));
    let now = |(called, _, new): &(String, _, String)| ("now", format!("{called}: {new}").into());
    // What is due stands in its serve's own block.
    let due = sheet.due();
    let is_said = |change: &&(String, _, _)| !switch.is_due || !due.contains(&change.0);
    said.extend(switch.changes.iter().filter(is_said).map(now));
    said.extend(switch.card.as_ref().map(|card| ("card", card.into())));
    said
}

/// The largest type with which everything fits on one page, points.
fn type_pt(sheet: &Sheet, paper: PaperLayout) -> f64 {
    let sizes = std::iter::successors(Some(TYPE_PT.0), |size| Some(size - STEP_PT));
    let fits = |size: &f64| height_mm(sheet, paper, *size) <= paper.height_mm;
    sizes.take_while(|size| *size > TYPE_PT.1).find(fits).unwrap_or(TYPE_PT.1)
}

/// The height of everything in type of this size, by counting letters.
fn height_mm(sheet: &Sheet, paper: PaperLayout, size_pt: f64) -> f64 {
    let em_mm = size_pt * MM_PT;
    let page_em = paper.width_mm / em_mm;
    let column_em = page_em / paper.columns as f64 - 2.0;
    let lines = |letters: usize, width_em: f64| {
        (letters as f64 * LETTER_EM / width_em.max(4.0)).ceil().max(1.0)
    };
    let serve = |row: &ServeCard| {
        let width_em = column_em - paper.picture_em.0 - BESIDE_EM;
        let big = row.receive.as_deref().map_or(14, text::width);
        let said = row.lines(paper.is_small);
        let said = said.iter().map(|(label, words)| label.len() + text::width(words));
        let said: f64 = said.map(|letters| lines(letters + 1, width_em)).sum();
        // The big line, and the counts.
        let words = said + 1.35 * lines(big * 3 / 2, width_em) + 2.3;
        words.max(paper.picture_em.1 / LINE_EM) + 0.9
    };
    let switch = |card: &SwitchCard| {
        let said = said_of_switch(sheet, card);
        said.iter().map(|(_, words)| lines(8 + text::width(words), column_em)).sum::<f64>() + 2.4
    };
    // Cards beside each other are as high as the highest.
    let height = |cards: Vec<f64>| -> f64 {
        cards.chunks(paper.columns).map(|pair| pair.iter().copied().fold(0.0, f64::max)).sum()
    };
    let before: usize = sheet.before.iter().map(|thing| text::width(thing) + 3).sum();
    let has_before = before > 0 && !paper.is_small;
    let before = if has_before { lines(before + 17, page_em) + 0.5 } else { 0.0 };
    let serves = height(sheet.rows.iter().map(serve).collect());
    let switches = height(sheet.switches.iter().map(switch).collect());
    let head_and_foot = 10.0 + before;
    (serves + switches + head_and_foot) * LINE_EM * em_mm
}

/// Where something stands in a drawing: `x` metres from the server's end line, `y` to the
/// receiver's right.
fn spot((x_m, y_m): (f64, f64)) -> Value {
    json!({
        "x": format!("{:.1}", AROUND + (TABLE_WIDTH_M / 2.0 + y_m) * UNITS_M),
        "y": format!("{:.1}", AROUND + x_m * UNITS_M),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_receiver_sits_at_the_bottom() {
        // The serve comes down below the net line, the receive goes above it.
        assert!(include_str!("templates/sheet.html").contains("y1=\"59.8\""));
        assert_eq!(spot((2.0, 0.4))["y"], "85.0");
        assert_eq!(spot((0.2, -0.4))["y"], "13.0");
    }
}
