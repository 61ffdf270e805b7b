//! `rehearse`: a session at the table for the launcher the player has, and its results brought
//! back.

mod drills;
pub(crate) mod making;
mod results;
pub(crate) mod waiting;
mod wished;

use std::path::PathBuf;

use clap::{Args, Subcommand};

use crate::base::Finding;
use crate::cli::desk::Desk;
use crate::cli::launcher::ask_who_throws;
use crate::cli::rehearse::drills::DrillsArguments;
use crate::cli::rehearse::making::{SessionWish, make};
use crate::cli::rehearse::results::LogArguments;
use crate::cli::rehearse::wished::SessionArguments;
use crate::cli::whom::Whom;
use crate::cli::{Failure, World};
use crate::page::rehearsal::{all_cautions, csv, html, json, text};
use crate::page::sheet_html::Paper;
use crate::rehearsal::{Session, Volumes};
use crate::store::write_page;

/// A session at the table, ball by ball, for your launcher or a person
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n\
        \x20 secondball rehearse north --launcher fixed --balls 60\n\
        \x20 secondball rehearse --launcher feeder --minutes 40 \\\n\
        \x20   --switch \"long push\" --html calls.html\n\
        \x20 secondball rehearse log 3/4 2/4"
)]
pub struct RehearseArguments {
    /// Bring a session's results back, or read the cautions
    #[command(subcommand)]
    pub then: Option<SessionCommand>,
    /// The opponent.
    #[command(flatten)]
    pub whom: Whom,
    /// Which session
    #[command(flatten)]
    pub session: SessionArguments,
    /// Keep what is asked for under a name, to be repeated with --drill
    #[arg(long, value_name = "NAME")]
    pub keep: Option<String>,
    /// Write every ball as a row of CSV; - prints it
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write the sheet to a file instead of printing it
    #[arg(long, value_name = "FILE")]
    pub text: Option<PathBuf>,
    /// Write a page to print: the set-up drawn, blocks, boxes for the results
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// The paper of the page: a4, letter or a6
    #[arg(long, value_name = "PAPER", default_value = "a4")]
    pub paper: Paper,
    /// Print the session as JSON
    #[arg(long)]
    pub json: bool,
}

/// What to do with a session.
#[derive(Debug, Subcommand)]
pub enum SessionCommand {
    Log(LogArguments),
    Drills(DrillsArguments),
    /// What to mind before the first ball, all of it
    Cautions,
}

/// Makes a session, or writes its results down.
///
/// # Errors
/// [`Failure`] when there is no such opponent, launcher or switch, or nothing can be rehearsed.
pub fn run(
    arguments: &RehearseArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    match &arguments.then {
        Some(SessionCommand::Log(typed)) => return results::log(typed, desk, world),
        Some(SessionCommand::Drills(typed)) => return drills::list(typed, desk, world),
        Some(SessionCommand::Cautions) => {
            let mut cautions = all_cautions().into_iter();
            return cautions.try_for_each(|line| world.say(&format!("- {line}"), "  "));
        }
        None => {}
    }
    let (own, drill) = drills::named(&arguments.session, desk)?;
    let mut asked = own.unwrap_or_else(|| arguments.session.clone());
    if asked.launcher.is_none() {
        asked.launcher = ask_who_throws(desk, world)?;
    }
    let wish = SessionWish {
        opponent: arguments.whom.opponent(),
        launcher: asked.launcher.as_deref(),
        balls: asked.balls,
        minutes: asked.minutes,
        phases: &asked.phase,
        switches: &asked.switch,
        drill,
        volumes: match (asked.under_twelve, asked.eve) {
            (true, _) => Volumes::under_twelve(),
            (_, true) => Volumes::eve(),
            _ => Volumes::adult(),
        },
    };
    let (home, day) = (desk.home()?, desk.today()?);
    // Where the sheet goes to is left out: the same wish gives the same sheet.
    let sheet = format!("{wish:?}");
    if world.asked_seed.is_none() {
        world.seed = waiting::seed_of(home, &sheet, day).unwrap_or(world.seed);
    }
    let mut session = make(&wish, desk, world)?;
    session.number = Some(waiting::keep(home, &session, day, sheet, world)?);
    show(arguments, &session, desk, world)?;
    arguments.keep.as_deref().map_or(Ok(()), |name| drills::keep(name, &asked, desk, world))
}

fn show(
    arguments: &RehearseArguments,
    session: &Session,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let mut is_printed = arguments.json;
    if let Some(file) = &arguments.csv {
        let rows = csv(session).map_err(|error| Finding::error(error.to_string()))?;
        if file.as_os_str() == "-" {
            write!(world.out, "{rows}")?;
            is_printed = true;
        } else {
            world.write_page(file, &rows)?;
        }
    }
    if arguments.json {
        write!(world.out, "{}", json(session))?;
    }
    let units = desk.player()?.units;
    if let Some(file) = &arguments.html {
        let page = html(session, arguments.paper, units)
            .map_err(|error| Finding::error(error.to_string()))?;
        write_page(file, &page)?;
        writeln!(world.err, "wrote {}, to print on {}", file.display(), arguments.paper)?;
        is_printed = true;
    }
    if let Some(file) = &arguments.text {
        world.write_page(file, &text(session, 80, units))?;
    } else if !is_printed {
        write!(world.out, "{}", text(session, world.width, units))?;
    }
    Ok(())
}
