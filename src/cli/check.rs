//! `check`: reads everything, reports every finding, changes nothing.

use clap::Args;

use crate::base::{Finding, Gravity, text};
use crate::cli::{Desk, Failure, Result, World};

/// Read everything, report every finding, change nothing
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball check\n  secondball check --json --home ~/other-home"
)]
pub struct CheckArguments {
    /// Print the findings as JSON
    #[arg(long)]
    pub json: bool,
}

/// Checks the home.
///
/// # Errors
/// [`Failure::Findings`] when something in it is an error.
pub fn run(arguments: &CheckArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let home = desk.home()?;
    let findings = home.check();
    let errors = findings.iter().filter(|finding| finding.gravity == Gravity::Error).count();
    world.print(&findings, arguments.json, |findings, _| shown(findings, errors))?;
    if errors == 0 { Ok(()) } else { Err(Failure::Findings(Vec::new())) }
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
