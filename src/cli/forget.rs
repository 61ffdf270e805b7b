//! `forget`: an opponent and everything that happened with them, into the bin or really deleted.

use clap::Args;

use crate::base::text;
use crate::cli::rehearse::waiting::drop_sessions;
use crate::cli::{Desk, Failure, Result, World, prompt};
use crate::store::DAYS_IN_BIN;

/// Forget an opponent: 30 days in the bin of the home, then deleted
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball forget north\n\
        \x20 secondball forget \"Left-hander, north hall\" --yes\n\
        \x20 secondball forget --undo south")]
pub struct ForgetArguments {
    /// The opponent: name or file
    pub opponent: String,
    /// Do it without asking for the name once more, for scripts
    #[arg(long)]
    pub yes: bool,
    /// Delete deck and answers at once, for good
    #[arg(long)]
    pub at_once: bool,
    /// Take the opponent out of the bin again
    #[arg(long, conflicts_with_all = ["yes", "at_once"])]
    pub undo: bool,
}

/// Forgets the opponent, or takes that back.
///
/// # Errors
/// [`Failure`] when there is no such opponent, it was not confirmed, or the disk refuses.
pub fn run(arguments: &ForgetArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let (home, today) = (desk.home()?, desk.today()?);
    home.sweep_bin(world.now, today, None)?;
    if arguments.undo {
        let stem = home.remember(&arguments.opponent, world.now, today)?;
        let back = format!(
            "decks/{stem}.ron is back with everything that happened; no event and no printed sheet \
             names it yet"
        );
        world.say(&back, "  ")?;
        return world.next(&format!("drill {}", text::typed(&stem)));
    }
    let (stem, deck) = desk.opponent(Some(&arguments.opponent))?;
    let name = text::one_line(&deck.opponent);
    if !arguments.yes && !is_meant(&name, arguments.at_once, world)? {
        return Err(Failure::request(
            format!("{name} is kept: nothing was deleted"),
            "type the name when you are asked, or add `--yes`",
        ));
    }
    drop_sessions(home, &deck.key)?;
    let forgotten = home.forget(&stem, world.now, today)?;
    let events = text::count(forgotten.events, "event");
    if arguments.at_once {
        home.sweep_bin(world.now, today, Some(&stem))?;
        writeln!(world.out, "{name} is forgotten: decks/{stem}.ron and {events} deleted")?;
    } else {
        let until = today.plus(DAYS_IN_BIN).spoken();
        let said = format!(
            "{name} is forgotten: decks/{stem}.ron and {events} lie in the bin until {until}. Back \
             again: `secondball forget --undo {}`",
            text::typed(&stem)
        );
        world.say(&said, "  ")?;
    }
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

/// Whether the name was typed; nobody says so without a terminal.
fn is_meant(name: &str, at_once: bool, world: &World<'_>) -> Result<bool> {
    if !world.is_terminal {
        return Ok(false);
    }
    let how = if at_once { "for good, with" } else { "with" };
    let question = format!("Forget {name}, {how} every answer about them? Type the name");
    let typed = prompt::prompt(&question)?.unwrap_or_default();
    Ok(text::one_line(&typed).to_lowercase() == name.to_lowercase())
}
