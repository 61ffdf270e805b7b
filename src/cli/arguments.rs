//! The arguments as typed: one variant and one file per command.

use std::path::PathBuf;

use clap::{Parser, Subcommand};

use crate::base::Moment;
use crate::cli::{
    Desk, Failure, World, check, debrief, demo, drill, forget, init, launcher, phone, plan, points,
    progress, rehearse, scout, sheet, today,
};

/// Prepare your receives against a known opponent.
#[derive(Debug, Parser)]
#[command(
    version,
    max_term_width = 80,
    after_help = "Start here:\n  secondball demo         watch the whole job on an invented opponent\n  \
                  secondball init         make your own home\n  secondball              where you stand, and the next thing to do\n\n\
                  Exit codes: 0 done, 1 the files or the request have a problem, 2 the machine failed,\n\
                  130 interrupted."
)]
pub struct Arguments {
    /// The folder that holds your files; without it `SECONDBALL_HOME`, or the platform's own place
    #[arg(long, global = true, help_heading = "Everywhere", value_name = "DIR")]
    pub home: Option<PathBuf>,
    /// The time to work with instead of the clock: 2026-11-29, or 2026-11-29T18:30:00+01:00
    #[arg(long, global = true, help_heading = "Everywhere", value_name = "TIME")]
    pub now: Option<Moment>,
    /// The seed of every random choice, so that a run can be repeated
    #[arg(long, global = true, help_heading = "Everywhere", value_name = "NUMBER")]
    pub seed: Option<u64>,
    /// What to do; without it, where you stand and the next thing to do
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// What to do.
#[derive(Debug, Subcommand)]
#[expect(missing_docs, reason = "each variant is documented by its arguments")]
pub enum Command {
    Demo(demo::DemoArguments),
    Init(init::InitArguments),
    Scout(scout::ScoutArguments),
    Plan(plan::PlanArguments),
    Drill(drill::DrillArguments),
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
}

impl Command {
    /// Runs the command.
    ///
    /// # Errors
    /// Whatever kept it from being done.
    pub fn run(&self, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
        match self {
            Self::Demo(arguments) => demo::run(arguments, world),
            Self::Drill(arguments) => drill::run(arguments, desk, world),
            Self::Init(arguments) => init::run(arguments, desk, world),
            Self::Scout(arguments) => scout::run(arguments, desk, world),
            Self::Plan(arguments) => plan::run(arguments, desk, world),
            Self::Today(arguments) => today::run(arguments, desk, world),
            Self::Points(arguments) => points::run(arguments, desk, world),
            Self::Debrief(arguments) => debrief::run(arguments, desk, world),
            Self::Progress(arguments) => progress::run(arguments, desk, world),
            Self::Sheet(arguments) => sheet::run(arguments, desk, world),
            Self::Check(arguments) => check::run(arguments, desk, world),
            Self::Forget(arguments) => forget::run(arguments, desk, world),
            Self::Rehearse(arguments) => rehearse::run(arguments, desk, world),
            Self::Launcher(arguments) => launcher::run(arguments, desk, world),
            Self::Phone(arguments) => phone::run(arguments, desk, world),
        }
    }
}

/// A number given to a flag; its range is the command's own affair.
pub(crate) fn number(given: &str) -> Result<f64, String> {
    given
        .trim()
        .parse::<f64>()
        .map_err(|_| format!("`{given}` is not a number; write it as 10 or 2.5"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_arguments_do_not_contradict_each_other() {
        Arguments::command().debug_assert();
    }
}
