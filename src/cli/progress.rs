//! `progress`: how it has gone, in five pictures, each with one line of what to do; as text, as a
//! page, as JSON.

use std::path::PathBuf;

use clap::Args;

use crate::agenda::progress::{Progress, ProgressRequest, progress};
use crate::base::Finding;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Result, World};
use crate::page::progress::{html, text};

/// What is ready for the event, and how it has gone
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball progress\n\
        \x20 secondball progress north --html progress.html")]
pub struct ProgressArguments {
    /// The opponent.
    #[command(flatten)]
    pub whom: Whom,
    /// Write one page with pictures
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    pub html: Option<PathBuf>,
    /// Also every picture, with what to do about it
    #[arg(long)]
    pub all: bool,
    /// Print it as JSON
    #[arg(long)]
    pub json: bool,
}

/// Shows the progress.
///
/// # Errors
/// [`Failure`] when there is no home or no such opponent.
pub fn run(arguments: &ProgressArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let progress = folded(arguments.whom.opponent(), desk, world)?;
    match &arguments.html {
        Some(file) => {
            let page = html(&progress).map_err(|error| Finding::error(error.to_string()))?;
            world.write_page(file, &page)
        }
        None => world.print(&progress, arguments.json, |it, width| text(it, arguments.all, width)),
    }
}

/// The journal folded into the document.
fn folded(opponent: Option<&str>, desk: &Desk, world: &mut World<'_>) -> Result<Progress> {
    let named = opponent.map(|named| desk.opponent(Some(named))).transpose()?;
    let answers = &desk.journal()?.answers;
    let board = desk.overview(world)?;
    let decks = named.clone().map_or_else(|| board.decks.to_vec(), |one| vec![one]);
    Ok(progress(&ProgressRequest {
        player: board.player,
        decks: &decks,
        opponent: named.as_ref().map(|(_, deck)| deck.opponent.as_str()),
        memories: board.memories,
        events: board.events,
        answers,
        today: board.today,
    }))
}
