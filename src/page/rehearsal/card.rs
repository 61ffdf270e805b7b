//! A session as a page to print: the set-up drawn with its measures, blocks with what is entered,
//! calls, rests, what is right, and boxes to pencil the results into.
//!
//! The same document as on the terminal, set for paper. For a person who feeds or serves it is the
//! call sheet. Nothing is loaded and nothing runs; names are data and are escaped by the template.

use serde::Serialize;

use crate::base::Units;
use crate::page::rehearsal::document::RehearsalSheet;
use crate::page::rehearsal::set_up::svg;
use crate::page::rehearsal::sheet::sheet;
use crate::page::sheet_html::Paper;
use crate::page::template::filled;
use crate::rehearsal::Session;

/// What the template is filled with.
#[derive(Serialize)]
struct Card<'a> {
    style: &'a str,
    size: &'a str,
    margin_mm: u32,
    is_small: bool,
    drawings: Vec<String>,
    #[serde(flatten)]
    sheet: &'a RehearsalSheet,
}

/// The page on this paper, lengths in the player's units.
///
/// # Errors
/// Never for a session held in memory; the template's own error otherwise.
pub fn html(session: &Session, paper: Paper, units: Units) -> Result<String, minijinja::Error> {
    let sheet = sheet(session, units);
    let drawn = sheet
        .set_ups
        .iter()
        .zip(1..)
        .map(|(set_up, number)| svg(&format!("set-up-{number}"), set_up, units));
    let card = Card {
        style: include_str!("../templates/rehearsal.css"),
        size: paper.layout().size,
        margin_mm: paper.layout().margin_mm,
        is_small: paper.layout().is_small,
        drawings: drawn.collect::<Result<_, _>>()?,
        sheet: &sheet,
    };
    filled("rehearsal.html", include_str!("../templates/rehearsal.html"), &card)
}
