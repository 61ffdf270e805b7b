//! `launcher`: what the player's launchers can do, one file each; machines, and people in their
//! place.

mod adding;
mod aim;
mod calibrate;
mod choosing;
mod fly;
mod trim;

pub(crate) use choosing::{ask_who_throws, find, own_table};

use clap::{Args, Subcommand};

use crate::cli::{Desk, Failure, World};
use crate::launcher::Launcher;
use crate::page::launcher_card;
use choosing::SHIPPED;

/// What your launcher can do: a machine, or a person who feeds or serves
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball launcher add\n\
        \x20 secondball launcher show club")]
pub struct LauncherArguments {
    /// What to do
    #[command(subcommand)]
    pub then: Then,
}

/// What to do with a launcher.
#[derive(Debug, Subcommand)]
pub enum Then {
    Add(adding::DescribeArguments),
    /// Show what a launcher can do; all of yours without a name
    #[command(after_help = "Examples:\n\
            \x20 secondball launcher show\n\
            \x20 secondball launcher show fixed --json")]
    Show {
        /// One of yours, or a shipped one
        name: Option<String>,
        /// Print it as JSON
        #[arg(long)]
        json: bool,
    },
    Fly(fly::FlyArguments),
    Aim(aim::AimArguments),
    Trim(trim::TrimArguments),
    Calibrate(calibrate::CalibrateArguments),
}

/// Does it.
///
/// # Errors
/// [`Failure`] when there is no such launcher or its file has a mistake.
pub fn run(
    arguments: &LauncherArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    match &arguments.then {
        Then::Add(arguments) => adding::run(arguments, desk, world),
        Then::Show { name, json } => show(name.as_deref(), *json, desk, world),
        Then::Fly(arguments) => fly::run(arguments, desk, world),
        Then::Aim(arguments) => aim::run(arguments, desk, world),
        Then::Trim(arguments) => trim::run(arguments, desk, world),
        Then::Calibrate(arguments) => calibrate::run(arguments, desk, world),
    }
}

fn show(name: Option<&str>, json: bool, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let stems = desk.home()?.launcher_stems()?;
    let names = match name {
        Some(name) => vec![name.to_owned()],
        None if stems.is_empty() => {
            writeln!(world.err, "none of your own yet; these are shipped:\n")?;
            SHIPPED.map(|(word, _)| word.to_owned()).to_vec()
        }
        None => stems,
    };
    let launchers = names.iter().map(|name| find(Some(name), desk, world));
    let launchers: Vec<Launcher> = launchers.collect::<Result<_, _>>()?;
    world.print(&launchers, json, |launchers, width| {
        let cards = launchers.iter().map(|launcher| launcher_card::card(launcher, width));
        cards.collect::<Vec<_>>().join("\n")
    })
}
