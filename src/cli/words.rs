//! `words`: the words this program shows and understands.

use clap::Args;

use crate::cli::{Failure, Result, World};
use crate::page::trade_words::{WordGroup, groups, of_group, said_so, words_text};

/// What the words mean, and which are understood
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
    \x20 secondball words receive\n\
    \x20 secondball words strawberry")]
pub struct WordsArguments {
    /// serve, spin, place, receive, them, match or practice; or any word
    #[arg(value_name = "GROUP|WORD")]
    words: Vec<String>,
    /// Print a document for programs
    #[arg(long)]
    json: bool,
}

/// Shows them.
///
/// # Errors
/// [`Failure`] for a word that nothing is called by.
pub fn run(arguments: &WordsArguments, world: &mut World<'_>) -> Result {
    let given = arguments.words.join(" ");
    let page = match given.parse::<WordGroup>() {
        _ if given.is_empty() => groups(),
        Ok(group) => of_group(group),
        Err(error) => said_so(&given).ok_or_else(|| {
            let groups = "`secondball words` lists the groups".to_owned();
            let hint = error.closest.map_or(groups, |word| format!("did you mean `{word}`?"));
            Failure::request(format!("`{given}` is not a word here"), hint)
        })?,
    };
    world.print(&page, arguments.json, words_text)
}
