//! Questions at a terminal. Enter leaves any of them open; Ctrl-C leaves with the cursor back.

use dialoguer::theme::SimpleTheme;
use dialoguer::{Confirm, Input};

use crate::cli::Failure;

/// A line of text; none when it was left empty and there is no `usual` one.
///
/// # Errors
/// [`Failure::Interrupted`] on Ctrl-C.
pub fn line(question: &str, usual: Option<&str>) -> Result<Option<String>, Failure> {
    let mut input =
        Input::<String>::with_theme(&SimpleTheme).with_prompt(question).allow_empty(true);
    if let Some(usual) = usual {
        input = input.default(usual.to_owned());
    }
    let given = restored(input.interact_text())?;
    let given = given.trim();
    Ok((!given.is_empty()).then(|| given.to_owned()))
}

/// Yes or no; `usual` on Enter.
///
/// # Errors
/// [`Failure::Interrupted`] on Ctrl-C.
pub fn confirm(question: &str, usual: bool) -> Result<bool, Failure> {
    restored(Confirm::with_theme(&SimpleTheme).with_prompt(question).default(usual).interact())
}

/// A prompt that ends early leaves the cursor hidden: it is shown again whatever happened.
fn restored<T>(ended: dialoguer::Result<T>) -> Result<T, Failure> {
    ended.map_err(|dialoguer::Error::IO(error)| {
        // When even that fails there is no terminal left to mend.
        let _ = console::Term::stderr().show_cursor();
        Failure::from(error)
    })
}
