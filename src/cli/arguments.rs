//! The arguments as typed: one variant and one file per command.

use clap::{CommandFactory, Parser, Subcommand};

use crate::cli::drill_arguments::DrillArguments;
use crate::cli::{
    Desk, Everywhere, Failure, Result, World, bat, check, completions, debrief, demo, drill,
    forget, group, init, launcher, phone, plan, points, progress, rehearse, scout, sheet, stand,
    today, words,
};

/// Prepare your receives against a known opponent.
#[derive(Debug, Parser)]
#[command(
    version,
    max_term_width = 80,
    after_help = "Start here:\n  secondball  where you stand and the next thing; the first time, three keys\n\n\
                  Exit codes: 0 done, 1 files or request have a problem, 2 the machine failed,\n\
                  130 interrupted."
)]
pub struct Arguments {
    /// What goes with every command
    #[command(flatten)]
    pub everywhere: Everywhere,
    /// What to do; without it, where you stand and the next thing to do
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    Demo(demo::DemoArguments),
    Init(init::InitArguments),
    Scout(scout::ScoutArguments),
    Plan(plan::PlanArguments),
    Drill(DrillArguments),
    Today(today::TodayArguments),
    Rehearse(rehearse::RehearseArguments),
    Launcher(launcher::LauncherArguments),
    Sheet(sheet::SheetArguments),
    Points(points::PointsArguments),
    Debrief(debrief::DebriefArguments),
    Progress(progress::ProgressArguments),
    Check(check::CheckArguments),
    Forget(forget::ForgetArguments),
    Phone(phone::PhoneArguments),
    Bat(bat::BatArguments),
    Completions(completions::CompletionsArguments),
    Man(completions::ManArguments),
    Group(group::GroupArguments),
    Words(words::WordsArguments),
}

impl Arguments {
    /// Runs the command.
    ///
    /// # Errors
    /// [`Failure`] says what went wrong and with which code the program ends.
    pub fn run(&self, world: &mut World<'_>) -> Result {
        let desk = &Desk::new(world);
        let Some(command) = &self.command else { return stand::run(run_line, desk, world) };
        match command {
            Command::Demo(arguments) => demo::run(arguments, run_line, world),
            Command::Drill(arguments) => drill::run(arguments, desk, world),
            Command::Init(arguments) => init::run(arguments, desk, world),
            Command::Scout(arguments) => scout::run(arguments, desk, world),
            Command::Plan(arguments) => plan::run(arguments, desk, world),
            Command::Today(arguments) => today::run(arguments, desk, world),
            Command::Points(arguments) => points::run(arguments, desk, world),
            Command::Debrief(arguments) => debrief::run(arguments, desk, world),
            Command::Progress(arguments) => progress::run(arguments, desk, world),
            Command::Sheet(arguments) => sheet::run(arguments, desk, world),
            Command::Check(arguments) => check::run(arguments, desk, world),
            Command::Forget(arguments) => forget::run(arguments, desk, world),
            Command::Rehearse(arguments) => rehearse::run(arguments, desk, world),
            Command::Launcher(arguments) => launcher::run(arguments, desk, world),
            Command::Phone(arguments) => phone::run(arguments, desk, world),
            Command::Bat(arguments) => bat::run(arguments, desk, world),
            Command::Completions(arguments) => completions::run(arguments, Self::command(), world),
            Command::Man(_) => completions::run_man(Self::command(), world),
            Command::Group(arguments) => group::run(arguments, world),
            Command::Words(arguments) => words::run(arguments, world),
        }
    }
}

/// Runs the words of a command line in a world, with their own seed where they name one.
///
/// # Errors
/// The words are no command; what the command ends with.
pub fn run_line(words: &[String], world: &mut World<'_>) -> Result {
    let arguments = Arguments::try_parse_from(words).map_err(|error| {
        let line = words[1..].join(" ");
        Failure::request(format!("`{line}` is not a command: {error}"), "a defect")
    })?;
    if let Some(seed) = arguments.everywhere.seed {
        (world.seed, world.asked_seed) = (seed, Some(seed));
    }
    arguments.run(world)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_arguments_do_not_contradict_each_other() {
        Arguments::command().debug_assert();
    }
}
