//! `forget`: deletes an opponent and everything that happened with them, really.

use clap::Args;

use crate::base::text;
use crate::cli::rehearse::waiting::drop_sessions;
use crate::cli::{Desk, Failure, Result, World, ask};

/// Delete an opponent and everything about them, really
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball forget north\n  secondball forget \"Left-hander, north hall\" --yes"
)]
pub struct ForgetArguments {
    /// The opponent: name or file
    pub opponent: String,
    /// Do it without asking
    #[arg(long)]
    pub yes: bool,
}

/// Forgets the opponent.
///
/// # Errors
/// [`Failure`] when there is no such opponent, it was not confirmed, or the disk refuses.
pub fn run(arguments: &ForgetArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let home = desk.home()?;
    let (stem, deck) = desk.opponent(Some(&arguments.opponent))?;
    let name = text::one_line(&deck.opponent);
    let is_meant = arguments.yes
        || world.is_terminal
            && ask::confirm(
                &format!("Delete {name} and every answer about them, for good?"),
                false,
            )?;
    if !is_meant {
        return Err(Failure::request(
            format!("{name} is kept: nothing was deleted"),
            "add `--yes` when you mean it; there is no way back",
        ));
    }
    // Before anything is deleted: with a mistake in the player file its events could not be kept
    // up.
    let today = desk.today()?;
    drop_sessions(home, &deck.key)?;
    let forgotten = home.forget(&stem, world.now, today)?;
    writeln!(
        world.out,
        "{name} is forgotten: decks/{stem}.ron and {} deleted",
        text::count(forgotten.events, "event")
    )?;
    for file in &forgotten.elsewhere {
        writeln!(
            world.out,
            "  {file} of another device still holds some; they count no more, and go when `forget` \
             is run there"
        )?;
    }
    for (event, has_others) in &forgotten.taken_from {
        let event = text::one_line(event);
        let alone = if *has_others { "" } else { "; it stays, with no opponent named" };
        world.say(&format!("  taken out of the event `{event}` in player.ron{alone}"), "    ")?;
    }
    for event in &forgotten.named_at {
        let event = text::one_line(event);
        let said =
            format!("  the event `{event}` still names `{stem}` in player.ron: take it out there");
        world.say(&said, "    ")?;
    }
    Ok(())
}
