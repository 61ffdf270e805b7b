//! `group`: several players' homes on one page, for who coaches them; nothing is written.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::agenda::{Goal, NextThing, next_thing};
use crate::cli::{Desk, Failure, Result, World};
use crate::page::group::{GroupEvent, GroupPage, GroupPlayer, group_text};
use crate::store::homes_in;

/// Several players on one page: whom to look at today
#[derive(Debug, Args)]
#[command(after_help = "Each folder in DIR with a player.ron is a player. Nothing is written.\n\n\
        Examples:\n\
        \x20 secondball group players\n\
        \x20 secondball group players --json")]
pub struct GroupArguments {
    /// The folder in which the players' homes are
    #[arg(value_name = "DIR")]
    folder: PathBuf,
    /// Print it as JSON
    #[arg(long)]
    json: bool,
}

/// Shows the players.
///
/// # Errors
/// [`Failure`] when there is no home in the folder.
pub fn run(arguments: &GroupArguments, world: &mut World<'_>) -> Result {
    let homes = homes_in(&arguments.folder)?;
    if homes.is_empty() {
        return Err(Failure::request(
            format!("no player's home in `{}`", arguments.folder.display()),
            "name the folder whose folders hold a player.ron each",
        ));
    }
    let players = homes.iter().map(|home| player_of(home, world)).collect();
    let group = GroupPage::from_players(players);
    world.print(&group, arguments.json, group_text)
}

/// The line of a home; one that cannot be read has a line as well.
fn player_of(root: &Path, world: &World<'_>) -> GroupPlayer {
    let folder = root.file_name().unwrap_or(root.as_os_str()).to_string_lossy().into_owned();
    let home = root.display().to_string();
    looked_at(&Desk::only_reading(root, world), &home, &folder)
        .unwrap_or_else(|_| GroupPlayer { is_read: false, ..GroupPlayer::in_home(home, folder) })
}

fn looked_at(desk: &Desk, home: &str, folder: &str) -> Result<GroupPlayer> {
    let board = desk.overview_untold()?;
    let agenda = board.agenda();
    let state = board.next_state();
    let event = board.player.next_event(board.today);
    let named = |stem: &str| {
        let deck = board.decks.iter().find(|(known, _)| known == stem);
        deck.map_or_else(|| stem.to_owned(), |(_, deck)| deck.opponent.clone())
    };
    let event = event.map(|event| GroupEvent {
        name: event.name.clone(),
        day: event.day,
        days: u32::try_from(event.day.days_since(board.today)).unwrap_or(0),
        opponents: event.opponents.iter().map(|opponent| named(&opponent.deck)).collect(),
        ready: match &agenda.outlook {
            Goal::Event(ahead) => Some([ahead.without, ahead.with_all]),
            Goal::Target(_) => None,
        },
    });
    let has_plan = board.decks.iter().any(|(_, deck)| deck.planned().next().is_some());
    let is_short = matches!(
        next_thing(board.decks, &agenda, &state),
        NextThing::NoOpponent | NextThing::NoServes { .. } | NextThing::NoReceive { .. }
    );
    Ok(GroupPlayer {
        name: board.player.name.clone(),
        event,
        minutes: agenda.minutes.ceil(),
        is_table_due: has_plan && state.is_table_due(),
        is_plan_open: is_short,
        troubles: board.unread.len() + desk.journal()?.findings.len(),
        ..GroupPlayer::in_home(home.to_owned(), folder.to_owned())
    })
}
