//! `sheet`: the bench sheet of one opponent, ordered by trouble.

use std::path::PathBuf;

use clap::Args;

use crate::cli::board::Board;
use crate::cli::{Failure, World};
use crate::game::Serve;
use crate::memory::Standing;
use crate::page::sheet::{Trouble, sheet};

/// The bench sheet: one page, ordered by trouble
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball sheet north\n  secondball sheet \"Left-hander, north hall\" > sheet.txt"
)]
pub struct SheetArguments {
    /// The opponent: name or file; the only one when there is one
    pub opponent: Option<String>,
    /// Write it to a file instead
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    pub out: Option<PathBuf>,
    /// Print it as JSON
    #[arg(long)]
    pub json: bool,
}

/// Prints the sheet.
///
/// # Errors
/// [`Failure`] when there is no such opponent.
pub fn run(arguments: &SheetArguments, world: &mut World<'_>) -> Result<(), Failure> {
    let board = Board::load(world)?;
    let (_, deck) = world.opponent(arguments.opponent.as_deref())?;
    let on = board.player.next_event(board.today).map_or(board.today, |event| event.day);
    let trouble = |serve: &Serve| {
        let recall = deck
            .plan
            .get(&serve.id)
            .map(|receive| board.recall(&deck.pattern(&serve.id, receive), on));
        let standing = match recall {
            None | Some(0.0) => Standing::Untried,
            Some(recall) if recall < board.player.target => Standing::Shaky,
            Some(_) => Standing::Firm,
        };
        Trouble {
            weight: deck.share(&serve.id) * (1.0 - recall.unwrap_or(0.0)),
            standing: Some(standing.word()),
        }
    };
    let sheet = sheet(&deck, &board.player, board.today, &trouble);
    if arguments.json {
        writeln!(world.out, "{}", crate::page::json(&sheet))?;
    } else if let Some(file) = &arguments.out {
        crate::store::write_page(file, &sheet.text(world.width))?;
        writeln!(world.err, "wrote {}", file.display())?;
    } else {
        write!(world.out, "{}", sheet.text(world.width))?;
    }
    Ok(())
}
