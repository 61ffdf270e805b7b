//! `phone`: writes the page to take along, and reads the answers it gives back.

mod read;
mod taking;
mod write;

use std::path::PathBuf;

use clap::{Args, Subcommand};
use serde::{Deserialize, Serialize};

use crate::cli::{Desk, Failure, World};

/// The file in the home that holds what pages and answers are matched by.
const FILE: &str = "phone.ron";

/// Take the drill, the sheets and the caller along on a phone
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball phone write ~/Sync/phone\n  secondball phone read ~/Downloads/secondball-answers-2026-11-25.json"
)]
pub struct PhoneArguments {
    /// What to do
    #[command(subcommand)]
    pub what: PhoneCommand,
}

/// What to do with the phone.
#[derive(Debug, Subcommand)]
pub enum PhoneCommand {
    /// Write the page
    Write(WriteArguments),
    /// Read the answers a page gave back; reading them twice changes nothing
    Read(ReadArguments),
}

/// Write the page
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball phone write ~/Sync/phone\n  secondball phone write page --rehearse north --launcher feeder --balls 60"
)]
pub struct WriteArguments {
    /// The folder to write into; `index.html` alone is the whole page
    pub folder: PathBuf,
    /// Only this opponent (may be repeated); all of them otherwise
    #[arg(long, value_name = "OPPONENT")]
    pub opponent: Vec<String>,
    /// Days of lists, today included
    #[arg(long, value_name = "DAYS", default_value_t = 14, value_parser = clap::value_parser!(u32).range(1..=60))]
    pub days: u32,
    /// Let your private notes go along too
    #[arg(long)]
    pub with_notes: bool,
    /// Take a session at the table along, against this opponent, for the caller
    #[arg(long, value_name = "OPPONENT")]
    pub rehearse: Option<String>,
    /// The launcher of that session: one of yours, or fixed, oscillating, per-ball, feeder,
    /// partner
    #[arg(long, value_name = "NAME", requires = "rehearse")]
    pub launcher: Option<String>,
    /// Balls of that session
    #[arg(long, value_name = "NUMBER", requires = "rehearse")]
    pub balls: Option<u32>,
    /// Call this switch in that session
    #[arg(long, value_name = "NAME", requires = "rehearse")]
    pub switch: Option<String>,
}

/// Read the answers a page gave back
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball phone read ~/Downloads/secondball-answers-2026-11-25.json\n  secondball phone read -      then paste the text and end with Ctrl-D"
)]
pub struct ReadArguments {
    /// The file the page saved, or - for text on the standard input
    pub file: PathBuf,
    /// Print what was taken in as JSON
    #[arg(long)]
    pub json: bool,
}

/// The file in the home.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PhoneFile {
    format: u32,
    /// Pages of this home carry it, and answers with another one are refused.
    key: String,
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
