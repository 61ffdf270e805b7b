//! Floor 6: pure views. One document is built once; terminal text, HTML, SVG, JSON, CSV and iCalendar
//! differ only in the renderer. Nothing here knows a file, a clock or a terminal.

pub mod sheet;
pub mod today;
