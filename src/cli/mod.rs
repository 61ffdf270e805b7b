//! Floor 8: arguments, the real world, screens, and one file per command.
//!
//! Only this folder knows that there is a shell. [`main`] reads the world once (clock, environment,
//! terminal), parses the arguments, runs the command, and turns what went wrong into words on the
//! standard error and an exit code: 0 done, 1 the files or the request have a problem, 2 the
//! machine failed, 130 interrupted.

mod arguments;
mod ask;
mod bat;
pub mod check;
pub mod completions;
pub mod debrief;
pub mod demo;
mod desk;
mod dossier;
pub mod drill;
mod drill_arguments;
mod drill_screen;
mod failure;
pub mod forget;
pub mod group;
pub mod init;
mod journal;
pub mod launcher;
mod misread;
mod overview;
pub mod phone;
pub mod plan;
mod plan_advise;
mod plan_worth;
pub mod points;
pub mod progress;
mod prompt;
mod raw_terminal;
pub mod rehearse;
pub mod scout;
pub mod sheet;
mod stand;
pub mod them;
pub mod today;
mod values;
mod whom;
pub mod words;
mod world;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{CommandFactory, Parser};

use arguments::Arguments;
pub use arguments::run_line;
pub use desk::Desk;
pub use failure::{Failure, Result};
pub use overview::Overview;
use world::Shown;
pub use world::{Everywhere, World};

/// Runs the program on the real world.
pub fn main() -> ExitCode {
    raw_terminal::give_back_at_a_panic();
    let typed: Vec<_> = std::env::args_os().collect();
    let columns = world::columns().unwrap_or(80).clamp(40, 80);
    let arguments = match Arguments::try_parse_from(&typed) {
        Ok(arguments) => arguments,
        Err(error) => return usage(&error, &typed, columns),
    };
    let mut out = Shown(std::io::stdout().lock());
    let mut err = Shown(std::io::stderr());
    // Not locked: the prompts of a terminal read from the same place.
    let mut input = std::io::BufReader::new(std::io::stdin());
    let mut has_kept = false;
    let ended =
        World::real(&arguments.everywhere, &mut out, &mut err, &mut input).and_then(|mut world| {
            let ended = arguments.run(&mut world);
            has_kept = world.kept > 0;
            let flushed = world.out.flush().map_err(Failure::from);
            ended.and(flushed)
        });
    match ended {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failure.told(has_kept, columns, &mut Shown(std::io::stderr())),
    }
}

/// Help and version are results; a wrong flag is a problem of the request.
fn usage(error: &clap::Error, typed: &[OsString], columns: usize) -> ExitCode {
    use clap::error::ErrorKind::{DisplayHelp, DisplayVersion};
    let is_help = matches!(error.kind(), DisplayHelp | DisplayVersion);
    let typed: Vec<_> = typed.iter().map(|word| word.to_string_lossy().into_owned()).collect();
    if let Some(finding) = misread::finding(error, &typed, &Arguments::command()) {
        return Failure::from(finding).told(false, columns, &mut Shown(std::io::stderr()));
    }
    // Nothing can be said any more when even this cannot be printed.
    let _ = error.print();
    ExitCode::from(u8::from(!is_help))
}
