//! `phone`: writes the page to take along, and reads the answers it gives back.

mod matching;
mod read;
mod write;

use clap::{Args, Subcommand};

use crate::base::Finding;
use crate::cli::{Desk, Failure, World};
use crate::store::{Compared, FileCopy, Home, Trouble};

/// Take the drill, the sheets and the caller along on a phone
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball phone write page\n\
        \x20 secondball phone read answers.json")]
pub struct PhoneArguments {
    /// What to do
    #[command(subcommand)]
    pub what: PhoneCommand,
}

/// What to do with the phone.
#[derive(Debug, Subcommand)]
pub enum PhoneCommand {
    /// Write the page
    Write(write::WriteArguments),
    /// Read the answers a page gave back; reading them twice changes nothing
    Read(read::ReadArguments),
}

/// What is not right in the file by which pages and answers are matched.
pub(super) fn check(home: &Home) -> Vec<Finding> {
    home.check_file(matching::FILE, matching::judge)
}

/// That file beside its copy.
pub(super) fn compared(home: &Home, copy: &FileCopy) -> Result<Compared, Trouble> {
    home.compared(copy, matching::judge, None)
}

/// Writes the page or reads answers.
///
/// # Errors
/// [`Failure`] when there is nothing to take along, or the answers cannot be read.
pub fn run(arguments: &PhoneArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    match &arguments.what {
        PhoneCommand::Write(arguments) => write::run(arguments, desk, world),
        PhoneCommand::Read(arguments) => read::run(arguments, desk, world),
    }
}
