//! `secondball` alone: where the player stands, on one screen, and the one thing to do next.

use crate::agenda::next_thing;
use crate::cli::dossier::{changes_due, foremost};
use crate::cli::rehearse::waiting::newest;
use crate::cli::{Desk, Result, World};
use crate::page::ready::first_screen;

/// Shows where the player stands.
///
/// # Errors
/// [`Failure`](crate::cli::Failure) when the home cannot be read.
pub fn run(desk: &Desk, world: &mut World<'_>) -> Result {
    if !desk.home_unchecked()?.exists() {
        writeln!(world.out, "secondball prepares your receives against a known opponent.\n")?;
        writeln!(world.out, "  See the whole job     secondball demo")?;
        writeln!(world.out, "  Make your own home    secondball init")?;
        writeln!(world.out, "\nNo home in {} yet.", world.home_root.display())?;
        return Ok(());
    }
    let board = desk.overview(world)?;
    let agenda = board.agenda();
    let event = board.player.next_event(board.today).filter(|event| event.day == board.today);
    let event = event.map(|event| event.name.as_str());
    let due = changes_due(&foremost(desk.dossiers(world)?))?;
    let waits = newest(desk.home()?, board.today);
    let next = next_thing(board.decks, &agenda, &board.next_state());
    let page = first_screen(&agenda, event, &due, waits.as_deref(), &next, world.width);
    write!(world.out, "{page}")?;
    board.must_be_whole()
}
