//! Progress as one page of HTML: five kinds of pictures, each with one line of what to do and its numbers.
//!
//! Nothing is loaded and nothing runs: the page's policy allows its own style and no script. Names are data and
//! are escaped by the template; drawings hold none.

use askama::Template;

use crate::agenda::progress::Progress;
use crate::page::progress_figures::{Figure, figures};

#[derive(Template)]
#[template(config = "src/page/askama.toml", path = "progress.html", escape = "html")]
struct ProgressTemplate<'a> {
    style: &'a str,
    progress: &'a Progress,
    today: String,
    figures: Vec<Figure>,
}

/// The page.
///
/// # Errors
/// Never for a document held in memory; the template's own error otherwise.
pub fn html(progress: &Progress) -> Result<String, askama::Error> {
    ProgressTemplate {
        style: include_str!("progress.css"),
        progress,
        today: progress.today.date().format("%-d %B %Y").to_string(),
        figures: figures(progress),
    }
    .render()
}
