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
    #[error("{}", failed(.what, .source).what)]
    Machine {
        /// What was being done, and to which file: "cannot write `decks/a.ron`".
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

    /// What there is to say of it.
    pub(crate) fn findings(self) -> Vec<Finding> {
        match self {
            Self::Findings(findings) => findings,
            Self::Machine { what, source } => vec![failed(&what, &source)],
        }
    }

    /// The machine failed while this file was read.
    pub(crate) fn reading(path: &Path) -> impl FnOnce(io::Error) -> Self {
        move |error| Self::machine("cannot read", path, error)
    }

    /// The machine failed at `what` on `path`.
    pub fn machine(what: &str, path: &Path, source: io::Error) -> Self {
        Self::Machine { what: format!("{what} `{}`", path.display()), source }
    }
}

/// What the machine failed at, why, and what to do. Files are written beside themselves first, so
/// that what was there is as it was.
pub fn failed(what: &str, source: &io::Error) -> Finding {
    use io::ErrorKind as Kind;
    let (why, hint) = match source.kind() {
        Kind::StorageFull | Kind::QuotaExceeded => {
            ("the disk is full", "make room, then type the command again; what was there is kept")
        }
        Kind::PermissionDenied => {
            ("that is not allowed", "it may belong to somebody else: give yourself the right to it")
        }
        Kind::ReadOnlyFilesystem => {
            ("that place can only be read", "make it writable, or use another folder: `--home DIR`")
        }
        Kind::IsADirectory => ("a folder is called so", "give the folder another name"),
        Kind::NotADirectory => {
            ("a part of the path is a file", "give that file another name, or name another folder")
        }
        Kind::InvalidFilename => ("the name is too long", "choose a shorter one"),
        Kind::NotFound => ("it is not there", "was the folder moved, or a disk taken out?"),
        _ => {
            let hint = "the disk may be failing: copy the home elsewhere, then try it once more";
            return Finding::error(format!("{what}: {source}")).hint(hint);
        }
    };
    Finding::error(format!("{what}: {why}")).hint(hint)
}

fn shown(findings: &[Finding]) -> String {
    findings.iter().map(Finding::shown).collect::<Vec<_>>().join("\n")
}
