//! Floor 7: pure views. One document is built once; terminal text, HTML, SVG, JSON, CSV and
//! iCalendar differ only in the renderer. Nothing here knows a file, a clock or a terminal.

pub mod advice;
pub mod advice_words;
mod bar;
pub mod bat;
pub mod bat_picture;
pub mod bat_words;
pub mod calendar;
mod chart;
pub mod drill;
pub mod flight;
pub mod flight_picture;
pub mod group;
pub mod launcher_aim;
pub mod launcher_by_eye;
pub mod launcher_card;
pub mod launcher_learned;
pub mod launcher_trim;
pub mod launcher_words;
mod made_picture;
pub mod next;
mod numbers;
pub mod opponent;
mod paragraph;
pub mod phone;
pub mod plan;
pub mod progress;
mod progress_charts;
pub mod progress_words;
pub mod proposed;
pub mod ready;
pub mod rehearsal;
pub mod scouted;
pub mod sheet;
pub mod sheet_html;
pub mod spin_guess;
pub mod switching;
mod table_picture;
mod template;
mod text_page;
pub mod today;
pub mod trade_words;
pub mod verdict_words;
mod worded;
pub mod worth;

use crate::base::text;

/// The version of all documents; `src/page/documents.md` describes their fields.
const FORMAT: &str = "{\n  \"format\": 1,\n";

/// A document as JSON, two spaces deep, with the version of its form.
pub fn json(document: &impl serde::Serialize) -> String {
    // Only a map with keys that are no text, or a failing writer, could end here: we have neither.
    let json = serde_json::to_string_pretty(document);
    let json = json.unwrap_or_else(|error| format!("{{\"error\": \"{error}\"}}"));
    let json = match json.strip_prefix("{\n") {
        Some(fields) if !json.contains("\n  \"format\": ") => format!("{FORMAT}{fields}"),
        _ => json,
    };
    text::escaped_json(&json).into_owned()
}
