//! `bat`: what bat and ball do in an opponent's serves: the room of receives, and one of them
//! drawn.

use std::path::PathBuf;

use clap::Args;

use crate::base::text;
use crate::cli::launcher::own_table;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::editing;
use crate::page::bat::{RoomTable, bat_view, room_table};
use crate::page::bat_picture;
use crate::receive::{Bats, Meeting};

/// How much each receive forgives; with a serve, one of them drawn
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball bat north\n\
        \x20 secondball bat north short-fh\n\
        \x20 secondball bat north short-fh --receive \"flick, long\" \\\n\
        \x20   --svg flick.svg")]
pub struct BatArguments {
    #[command(flatten)]
    whom: Whom,
    /// The serve, in its short word
    #[arg(value_name = "SERVE")]
    serve: Option<String>,
    /// The receive, else the plan's
    #[arg(long, value_name = "RECEIVE", requires = "serve")]
    receive: Option<String>,
    /// Write the picture as SVG
    #[arg(long, value_name = "FILE", requires = "serve")]
    svg: Option<PathBuf>,
    /// Print it as JSON
    #[arg(long)]
    json: bool,
}

/// Prints it.
///
/// # Errors
/// [`Failure`] when there is no such serve, or it or the receive cannot be computed.
pub fn run(arguments: &BatArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let player = desk.player()?;
    let deck = desk.opponent(arguments.whom.opponent())?.1.seen_by(player.hand);
    let opponent = text::typed(&deck.opponent);
    let bats = Bats::fly(&deck, Some(player), &own_table(desk)?.0);
    let Some(named) = &arguments.serve else {
        return world.print(&room_table(&bats, &deck), arguments.json, RoomTable::text);
    };
    let id = editing::find_serve(&deck, named)?;
    let serve = deck.serve(&id).ok_or(Failure::Interrupted)?;
    let proposed = || {
        let meeting = Meeting { serve, deck: &deck, player: Some(player), bats: Some(&bats) };
        meeting.proposals(1).into_iter().map(|one| one.receive).next()
    };
    let said = arguments.receive.as_ref().map(|said| deck.receive_said(Some(&id), said));
    let receive = said.transpose()?.or_else(|| deck.plan.get(&id).cloned());
    let receive = receive.or_else(proposed).ok_or_else(|| {
        Failure::request(
            format!("{} has no receive yet", deck.called(&id)),
            "name one with --receive",
        )
    })?;
    let view = bat_view(&bats, &deck, serve, &receive).ok_or_else(|| {
        let serve = text::typed(named);
        let hint =
            format!("`secondball scout change {opponent} {serve} \"spin=backspin depth=short\"`");
        Failure::request("spin or depth of this serve is not known", hint)
    })?;
    let view = view.map_err(|why| {
        let hint = format!("see what leaves room: `secondball bat {opponent}`");
        Failure::request(format!("{}: {why}", receive.shown()), hint)
    })?;
    if let Some(file) = &arguments.svg {
        return world.write_page(file, &bat_picture::svg(&view));
    }
    world.print(&view, arguments.json, bat_picture::text)
}
