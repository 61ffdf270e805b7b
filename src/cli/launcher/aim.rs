//! `launcher aim`: the settings of every serve of an opponent for a launcher.

use std::path::PathBuf;

use clap::Args;

use super::choosing::{deck_and_table, find};
use crate::base::text;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, World};
use crate::deck::editing::find_serve;
use crate::flight::{Until, fly};
use crate::game::Serve;
use crate::launcher::aim_deck;
use crate::page::flight_picture;
use crate::page::launcher_aim::AimDocument;

/// Where to put the launcher and what to set for each of an opponent's serves
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball launcher aim north --launcher per-ball\n\
        \x20 secondball launcher aim north --launcher fixed --pictures")]
pub struct AimArguments {
    /// The opponent.
    #[command(flatten)]
    pub whom: Whom,
    /// One of yours, or fixed, oscillating, per-ball
    #[arg(long, value_name = "NAME")]
    pub launcher: Option<String>,
    /// Only this serve (may be repeated)
    #[arg(long, value_name = "SERVE")]
    pub serve: Vec<String>,
    /// Draw each ball from the side and from above
    #[arg(long, conflicts_with = "json")]
    pub pictures: bool,
    /// Write each ball's picture as SVG into this folder
    #[arg(long, value_name = "FOLDER")]
    pub svg: Option<PathBuf>,
    /// All there is to say of each ball
    #[arg(long)]
    pub all: bool,
    /// Print the settings as JSON
    #[arg(long)]
    pub json: bool,
}

/// Aims.
///
/// # Errors
/// [`Failure`] when there is no such opponent, launcher or serve.
pub fn run(arguments: &AimArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let (deck, table, is_own_table) = deck_and_table(arguments.whom.opponent(), desk)?;
    let launcher = find(arguments.launcher.as_deref(), desk, world)?;
    if launcher.kind.is_person() {
        return Err(Failure::request(
            format!("{} is a person, who has no settings", text::one_line(&launcher.name)),
            "`secondball rehearse` prints the call sheet; --launcher names a machine",
        ));
    }
    let mut serves: Vec<&Serve> = deck.active().collect();
    if !arguments.serve.is_empty() {
        let meant = arguments.serve.iter().map(|named| find_serve(&deck, named));
        let meant = meant.collect::<Result<Vec<_>, _>>()?;
        serves.retain(|serve| meant.contains(&serve.id));
    }
    if serves.is_empty() {
        return Err(Failure::request(
            format!("{} has no serves yet", text::one_line(&deck.opponent)),
            "write them down with `secondball scout`",
        ));
    }
    let aim = aim_deck(&launcher, &serves, &table);
    let (own_table, units) = ((table.constants, is_own_table), desk.player()?.units);
    let document = AimDocument::tell(&deck, &launcher, own_table, &aim, units);
    world.print(&document, arguments.json, |of, width| {
        if arguments.all { of.all_text(width) } else { of.text(width) }
    })?;
    if !arguments.pictures && arguments.svg.is_none() {
        return Ok(());
    }
    for one in aim.groups.iter().flat_map(|group| &group.serves) {
        let Ok(path) = fly(&one.ball.launch, &table.constants, Until::default()) else { continue };
        if arguments.pictures {
            let picture = flight_picture::terminal(&path, world.width);
            write!(world.out, "\n{}\n{picture}", deck.called(&one.serve))?;
        }
        if let Some(folder) = &arguments.svg {
            let file = folder.join(format!("{}.svg", text::file_stem(one.serve.as_str())));
            let title = format!("{}: {}", deck.called(&one.serve), one.words);
            world.write_page(&file, &flight_picture::svg(&path, &title))?;
        }
    }
    Ok(())
}
