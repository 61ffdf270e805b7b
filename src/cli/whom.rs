//! Which opponent a command is about.

use clap::Args;

/// An opponent, by place or as a flag.
#[derive(Debug, Args)]
#[group(id = "whom", multiple = false)]
pub struct Whom {
    /// The opponent: file, name, or the beginning of either
    #[arg(value_name = "OPPONENT")]
    named: Option<String>,
    /// The same, as a flag
    #[arg(long, value_name = "OPPONENT")]
    opponent: Option<String>,
}

impl Whom {
    /// What was typed for it, if anything.
    pub fn opponent(&self) -> Option<&str> {
        self.named.as_deref().or(self.opponent.as_deref())
    }
}
