//! `check`: reads everything and reports every finding; `--settle` makes one file of copies,
//! `--redate` and `--drop` settle events of a clock ahead of time.

mod late;
mod settle;

use clap::Args;

use crate::base::{Finding, Gravity, text};
use crate::cli::rehearse::waiting;
use crate::cli::{Desk, Failure, Result, World, phone};

/// Read everything, report every finding; change nothing unless told to
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
    \x20 secondball check\n\
    \x20 secondball check --settle")]
pub struct CheckArguments {
    /// Print the findings as JSON
    #[arg(long)]
    pub json: bool,
    /// Go through the copies that other programs have left, and ask what to keep of each
    #[arg(long, conflicts_with = "json")]
    pub settle: bool,
    #[command(flatten)]
    late: late::LateArguments,
}

/// Checks the home.
///
/// # Errors
/// [`Failure::Findings`] when something in it needs a hand: an error, or something set aside.
pub fn run(arguments: &CheckArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    if arguments.late.is_wanted() {
        return late::run(&arguments.late, desk, world);
    }
    let home = desk.home()?;
    if arguments.settle {
        return settle::run(home, desk.today()?, world);
    }
    let mut findings = home.check();
    findings.extend(waiting::check(home));
    findings.extend(phone::check(home));
    let errors = findings.iter().filter(|finding| finding.gravity == Gravity::Error).count();
    let needs_a_hand = findings.iter().any(|finding| finding.gravity != Gravity::Advice);
    world.print(&findings, arguments.json, |findings, _| shown(findings, errors))?;
    if needs_a_hand { Err(Failure::Findings(Vec::new())) } else { Ok(()) }
}

/// Each finding, then how many there are.
fn shown(findings: &[Finding], errors: usize) -> String {
    let others = findings.len() - errors;
    let mut counts = Vec::new();
    if errors > 0 {
        counts.push(text::count(errors, "error"));
    }
    if others > 0 {
        counts.push(format!("{} to look at", text::count(others, "thing")));
    }
    let said =
        if counts.is_empty() { "everything reads well".to_owned() } else { counts.join(", ") };
    let findings: String = findings.iter().map(|finding| finding.shown() + "\n\n").collect();
    format!("{findings}{said}\n")
}
