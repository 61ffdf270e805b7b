//! `launcher`: what the player's launchers can do, one file each; machines, and people in their
//! place.

mod aim;
mod calibrate;
mod choosing;
mod fly;
mod trim;

pub(crate) use choosing::{find, own_table};

use clap::{Args, Subcommand};

use crate::base::text;
use crate::cli::{Desk, Failure, World};
use crate::launcher::Launcher;
use crate::page::launcher_card;
use crate::store;
use choosing::{SHIPPED, no_launcher, shipped};

/// What your launcher can do: a machine, or a person who feeds or serves
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball launcher add \"club launcher\" --like fixed\n  secondball launcher show club"
)]
pub struct LauncherArguments {
    /// What to do
    #[command(subcommand)]
    pub then: Then,
}

/// What to do with a launcher.
#[derive(Debug, Subcommand)]
pub enum Then {
    /// Make a launcher's file from a shipped one, to be edited to what yours can do
    #[command(
        after_help = "Examples:\n  secondball launcher add \"club launcher\" --like fixed\n  secondball launcher add \"Sam\" --like partner"
    )]
    Add {
        /// What you call it
        name: String,
        /// The shipped launcher to begin with: fixed, oscillating, per-ball, feeder or partner
        #[arg(long, value_name = "KIND")]
        like: String,
    },
    /// Show what a launcher can do; all of yours without a name
    #[command(
        after_help = "Examples:\n  secondball launcher show\n  secondball launcher show fixed --json"
    )]
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
        Then::Add { name, like } => add(name, like, desk, world),
        Then::Show { name, json } => show(name.as_deref(), *json, desk, world),
        Then::Fly(arguments) => fly::run(arguments, desk, world),
        Then::Aim(arguments) => aim::run(arguments, desk, world),
        Then::Trim(arguments) => trim::run(arguments, desk, world),
        Then::Calibrate(arguments) => calibrate::run(arguments, desk, world),
    }
}

fn add(name: &str, like: &str, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let home = desk.home()?;
    let name = text::one_line(name);
    let (kind, shipped) = shipped(like).ok_or_else(|| no_launcher(like, &[]))?;
    let stem = text::file_stem(&name);
    if home.launcher_stems()?.contains(&stem) {
        return Err(Failure::request(
            format!("there is a launcher `{stem}` already"),
            format!("edit launchers/{stem}.ron, or choose another name"),
        ));
    }
    let file = format!("launchers/{stem}.ron");
    // The shipped text with its comments, under the player's own name.
    let line = |line: &str| {
        if line.starts_with("    name: ") {
            format!("    name: {name:?},\n")
        } else {
            format!("{line}\n")
        }
    };
    let own: String = shipped.lines().map(line).collect();
    store::judge_launcher(&file, &own).map_err(Failure::Findings)?;
    home.write_text(&file, &own)?;
    writeln!(world.err, "wrote {file}, like the shipped `{kind}`")?;
    writeln!(world.err, "Edit it until it says what yours can do; `secondball check` reads it.")?;
    Ok(())
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
    world.print(&launchers, json, |launchers, _| {
        launchers.iter().map(launcher_card::card).collect::<Vec<_>>().join("\n")
    })
}
