//! `scout`: an opponent's serves into a file, by flags or by questions, from nothing or from a
//! habit.

mod ball;
mod count;
mod edit;
mod new;
mod questions;
mod scouting;
mod show;
mod take;

use clap::{Args, Subcommand};

use crate::cli::{Desk, Result, World};

/// Write down an opponent's serves
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n\
        \x20 secondball scout \"Left-hander, south hall\"\n\
        \x20     asks for hand and serves\n\
        \x20 secondball scout Kim --from-habit pendulum-pair\n\
        \x20     begins with a habit that you recognise\n\
        \x20 secondball scout add north \\\n\
        \x20   \"short side-back to my forehand, backhand motion\""
)]
pub struct ScoutArguments {
    /// One serve, a list, or a count; without it, a new opponent
    #[command(subcommand)]
    what: Option<ScoutCommand>,
    #[command(flatten)]
    new: new::NewArguments,
}

/// What can be done with an opponent's serves.
#[derive(Debug, Subcommand)]
enum ScoutCommand {
    /// Add a serve, by a line or by questions
    Add(edit::AddArguments),
    /// Change what is known of a serve
    Change(edit::ChangeArguments),
    /// A serve is no longer served (or again, with --back); its history is kept
    Retire(edit::RetireArguments),
    /// Give a serve another name in the file; its history is kept
    Rename(edit::RenameArguments),
    /// Show what is known of an opponent, or which opponents there are
    Show(show::ShowArguments),
    /// Count serves as you watch, one key each
    Count(count::CountArguments),
    /// Take the serves of a colleague's file; nothing of yours is overwritten
    Take(take::TakeArguments),
    /// List the habits, or print one
    #[command(alias = "starters")]
    Habits(show::HabitsArguments),
    /// Work out a spin from what your own ball did
    Ball(ball::BallArguments),
}

/// Runs the command.
///
/// # Errors
/// What is wrong with the request or the files, or the machine's own trouble.
pub fn run(arguments: &ScoutArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    match &arguments.what {
        None => new::run(&arguments.new, desk, world),
        Some(ScoutCommand::Add(add)) => edit::add(add, desk, world),
        Some(ScoutCommand::Change(change)) => edit::change(change, desk, world),
        Some(ScoutCommand::Retire(retire)) => edit::retire(retire, desk, world),
        Some(ScoutCommand::Rename(rename)) => edit::rename(rename, desk, world),
        Some(ScoutCommand::Show(show)) => show::show(show, desk, world),
        Some(ScoutCommand::Count(count)) => count::run(count, desk, world),
        Some(ScoutCommand::Take(take)) => take::run(take, desk, world),
        Some(ScoutCommand::Habits(habits)) => show::habits(habits, world),
        Some(ScoutCommand::Ball(ball)) => ball::run(ball, world),
    }
}
