//! What can go wrong with files: something a person can put right, or the machine itself.

use std::io;
use std::path::Path;

use crate::base::Finding;

/// Why something could not be read or written.
#[derive(Debug, thiserror::Error)]
pub enum Trouble {
    /// A file or a request has problems, each with its place and the way out.
    #[error("{}", shown(.0))]
    Findings(Vec<Finding>),
    /// The machine failed.
    #[error("{what}: {source}")]
    Machine {
        /// What was being done, and to which file: `cannot write: decks/a.ron`.
        what: String,
        /// What the system said.
        source: io::Error,
    },
}

impl Trouble {
    /// One finding.
    pub fn finding(finding: Finding) -> Self {
        Self::Findings(vec![finding])
    }

    /// The machine failed while this file was read.
    pub(crate) fn reading(path: &Path) -> impl FnOnce(io::Error) -> Self {
        move |error| Self::machine("cannot read", path, error)
    }

    /// The machine failed at `what` on `path`.
    pub fn machine(what: &str, path: &Path, source: io::Error) -> Self {
        Self::Machine { what: format!("{what}: {}", path.display()), source }
    }
}

fn shown(findings: &[Finding]) -> String {
    findings.iter().map(Finding::shown).collect::<Vec<_>>().join("\n")
}
