//! `check`: reads everything, reports every finding, changes nothing.

use clap::Args;

use crate::base::{Finding, Gravity, text};
use crate::cli::{Desk, Failure, World};

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
pub fn run(arguments: &CheckArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let home = desk.home()?;
    let findings = home.check();
    let errors: Vec<&Finding> =
        findings.iter().filter(|finding| finding.gravity == Gravity::Error).collect();
    if arguments.json {
        writeln!(world.out, "{}", crate::page::json(&findings))?;
    } else {
        for finding in &findings {
            writeln!(world.out, "{}\n", finding.shown())?;
        }
        let said = if findings.is_empty() {
            "everything reads well".to_owned()
        } else {
            let others = findings.len() - errors.len();
            let parts = [
                (errors.len(), text::count(errors.len(), "error")),
                (others, format!("{} to look at", text::count(others, "thing"))),
            ];
            let there: Vec<String> =
                parts.into_iter().filter(|(number, _)| *number > 0).map(|(_, said)| said).collect();
            there.join(", ")
        };
        writeln!(world.out, "{said}")?;
    }
    if errors.is_empty() { Ok(()) } else { Err(Failure::Findings(Vec::new())) }
}
