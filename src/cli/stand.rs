//! `secondball` alone: where the player stands, on one screen, and the one thing to do next.

use crate::agenda::next_thing;
use crate::cli::ask::Asker;
use crate::cli::demo::Runner;
use crate::cli::dossier::{changes_due, foremost};
use crate::cli::rehearse::waiting::newest;
use crate::cli::{Desk, Result, World};
use crate::page::ready::first_screen;

/// The first time: three keys, and the commands that they stand for.
const BEGINNINGS: [(&str, &str, &[&str]); 3] = [
    ("d", "drill a serve habit now, 60 seconds", &["demo --habit"]),
    ("s", "scout your opponent, 3 minutes", &["init", "scout"]),
    ("w", "watch the whole job, all invented", &["demo"]),
];

/// Offers the three where there is no home.
fn begin(runner: Runner, world: &mut World<'_>) -> Result {
    writeln!(world.out, "secondball prepares your receives against a known opponent.\n")?;
    for (key, what, commands) in BEGINNINGS {
        writeln!(world.out, "  {key}   {what:<38}secondball {}", commands[0])?;
    }
    if !world.is_terminal {
        return Ok(());
    }
    let chosen = |given: &str| {
        let meant = BEGINNINGS.iter().find(|(key, ..)| given.eq_ignore_ascii_case(key));
        meant.map(|(_, _, commands)| *commands).ok_or_else(|| "d, s or w".to_owned())
    };
    let commands = Asker::default().read(world, "\nd, s or w; Enter leaves", chosen)?;
    for command in commands.unwrap_or_default() {
        let words = std::iter::once("secondball").chain(command.split(' ')).map(str::to_owned);
        runner(&words.collect::<Vec<_>>(), world)?;
    }
    Ok(())
}

/// Shows where the player stands.
///
/// # Errors
/// [`Failure`](crate::cli::Failure) when the home cannot be read.
pub fn run(runner: Runner, desk: &Desk, world: &mut World<'_>) -> Result {
    if !desk.home_unchecked()?.exists() {
        return begin(runner, world);
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
