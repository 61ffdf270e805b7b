//! A session as a page to print: the set-up drawn with its measures, blocks with what is entered,
//! calls, rests, what is right, and boxes to pencil the results into.
//!
//! The same document as on the terminal, set for paper. For a person who feeds or serves it is the
//! call sheet. Nothing is loaded and nothing runs; names are data and are escaped by the template.

use std::collections::BTreeMap;

use serde_json::json;

use crate::base::Units;
use crate::page::rehearsal::set_up::svg;
use crate::page::rehearsal::sheet::sheet;
use crate::page::sheet_html::Paper;
use crate::page::template::filled;
use crate::rehearsal::Session;

/// The page on this paper, lengths in the player's units.
///
/// # Errors
/// Never for a session held in memory; the template's own error otherwise.
pub fn html(session: &Session, paper: Paper, units: Units) -> Result<String, minijinja::Error> {
    let (sheet, layout) = (sheet(session, units, false), paper.layout());
    let mut drawings = BTreeMap::new();
    let behind = sheet.set_ups.iter().map(|drawn| drawn.set_up.behind_line_m);
    let behind_m = behind.fold(0.0, f64::max);
    for drawn in &sheet.set_ups {
        let id = format!("set-up-{}", drawings.len() + 1);
        drawings.insert(drawn.block.to_string(), svg(&id, drawn, behind_m, units)?);
    }
    let card = json!({
        "style": include_str!("../templates/rehearsal.css"),
        "size": layout.size,
        "margin_mm": layout.margin_mm,
        "is_small": layout.is_small,
        "drawings": drawings,
        "title": sheet.title,
        "parts": sheet.parts,
    });
    filled("rehearsal.html", include_str!("../templates/rehearsal.html"), &card)
}
