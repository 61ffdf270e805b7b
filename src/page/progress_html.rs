//! Progress as one page of HTML: five kinds of pictures, each with one line of what to do and its
//! numbers.
//!
//! Nothing is loaded and nothing runs: the page's policy allows its own style and no script. Names
//! are data and are escaped by the template; drawings hold none.

use serde::Serialize;

use crate::agenda::progress::Progress;
use crate::page::numbers::date;
use crate::page::progress_figures::{Figure, figures};
use crate::page::template::filled;

/// What the template is filled with.
#[derive(Serialize)]
struct ProgressPage<'a> {
    style: &'a str,
    player: &'a str,
    opponent: Option<&'a str>,
    has_simulated: bool,
    today: String,
    figures: Vec<Figure>,
}

/// The page.
///
/// # Errors
/// Never for a document held in memory; the template's own error otherwise.
pub fn html(progress: &Progress) -> Result<String, minijinja::Error> {
    let document = ProgressPage {
        style: include_str!("progress.css"),
        player: &progress.player,
        opponent: progress.opponent.as_deref(),
        has_simulated: progress.has_simulated,
        today: date(progress.today),
        figures: figures(progress),
    };
    filled("progress.html", include_str!("templates/progress.html"), &document)
}
