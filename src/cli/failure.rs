//! What a command can end with, other than done.

use std::io::Write;
use std::process::ExitCode;

use crate::base::Finding;
use crate::store::{Trouble, failed};

/// What a command, or a step of it, comes to.
pub type Result<T = (), E = Failure> = std::result::Result<T, E>;

/// Why a command did not do what was asked.
#[derive(Debug)]
pub enum Failure {
    /// The files or the request have a problem: exit code 1.
    Findings(Vec<Finding>),
    /// The machine failed: exit code 2.
    Machine {
        /// What was being done, for example "`decks/a.ron` cannot be written".
        what: String,
        /// Why it failed.
        source: std::io::Error,
    },
    /// Somebody who reads our output went away; nothing is wrong.
    Hangup,
    /// The player chose to stop where that is offered; nothing is wrong.
    Stopped,
    /// The player interrupted: exit code 130.
    Interrupted,
    /// The player goes one question back; whoever asks takes it up.
    OneBack,
}

impl Failure {
    /// A problem of the request, with the way out.
    pub fn request(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::Findings(vec![Finding::error(what).hint(hint)])
    }

    /// Says it, and gives the exit code. What was answered is on the disk when it `has_kept` that.
    pub fn told(&self, has_kept: bool, columns: usize, err: &mut dyn Write) -> ExitCode {
        let kept = if has_kept { "; everything answered so far is kept" } else { "" };
        let (text, code) = match self {
            // What was found has been printed as the result already.
            Self::Findings(findings) if findings.is_empty() => return ExitCode::from(1),
            Self::Findings(findings) => {
                let shown: Vec<_> = findings.iter().map(|one| one.shown_in(columns)).collect();
                (shown.join("\n"), 1)
            }
            Self::Machine { what, source } => {
                let kept = if has_kept { "\nEvery answer before it is kept." } else { "" };
                (failed(what, source).shown_in(columns) + kept, 2)
            }
            Self::Hangup => return ExitCode::SUCCESS,
            Self::Stopped | Self::OneBack => (format!("stopped{kept}"), 0),
            Self::Interrupted => (format!("interrupted{kept}"), 130),
        };
        // When the standard error is gone too there is nobody left to tell.
        let _ = writeln!(err, "{text}");
        ExitCode::from(code)
    }
}

impl From<Trouble> for Failure {
    fn from(trouble: Trouble) -> Self {
        match trouble {
            Trouble::Findings(findings) => Self::Findings(findings),
            Trouble::Machine { what, source } => Self::Machine { what, source },
        }
    }
}

impl From<Vec<Finding>> for Failure {
    fn from(findings: Vec<Finding>) -> Self {
        Self::Findings(findings)
    }
}

impl From<Finding> for Failure {
    fn from(finding: Finding) -> Self {
        Self::Findings(vec![finding])
    }
}

impl From<std::io::Error> for Failure {
    /// Writing a result failed.
    fn from(source: std::io::Error) -> Self {
        match source.kind() {
            std::io::ErrorKind::BrokenPipe => Self::Hangup,
            std::io::ErrorKind::Interrupted => Self::Interrupted,
            _ => Self::Machine { what: "the output cannot be written".to_owned(), source },
        }
    }
}
