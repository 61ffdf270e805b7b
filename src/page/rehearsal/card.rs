//! A session as a page to print: the same document as on the terminal, with each stand drawn to
//! scale and boxes to pencil the results into.
//!
//! Nothing is loaded and nothing runs; names are data and are escaped by the template.

use serde_json::json;

use crate::base::Units;
use crate::page::rehearsal::set_up::svg;
use crate::page::rehearsal::sheet::sheet;
use crate::page::rehearsal::words::give_spaces;
use crate::page::sheet_html::Paper;
use crate::page::template::filled;
use crate::rehearsal::Session;

/// The page on this paper, lengths in the player's units.
///
/// # Errors
/// Never for a session held in memory; the template's own error otherwise.
pub fn html(session: &Session, paper: Paper, units: Units) -> Result<String, minijinja::Error> {
    let (sheet, layout) = (sheet(session, units), paper.layout());
    let behind = sheet.drawn.iter().map(|drawn| drawn.set_up.behind_line_m);
    let behind_m = behind.fold(0.0, f64::max);
    let drawings = sheet
        .drawn
        .iter()
        .zip(1..)
        .map(|(drawn, number)| svg(&format!("set-up-{number}"), drawn, behind_m, units));
    let card = json!({
        "style": include_str!("../templates/rehearsal.css"),
        "size": layout.size,
        "margin_mm": layout.margin_mm,
        "is_small": layout.is_small,
        "drawings": drawings.collect::<Result<Vec<_>, _>>()?,
        "sheet": sheet,
    });
    let page = filled("rehearsal.html", include_str!("../templates/rehearsal.html"), &card)?;
    Ok(give_spaces(&page))
}
