//! Questions at a terminal. Enter leaves any of them open; Ctrl-C leaves with the cursor back.

use std::fmt::Display;

use dialoguer::theme::SimpleTheme;
use dialoguer::{Confirm, Input, Select};

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

/// One word of a vocabulary; none for "not known" when there is no `usual` one.
///
/// # Errors
/// [`Failure::Interrupted`] on Ctrl-C.
pub fn word<T: Copy + PartialEq + Display>(
    question: &str,
    words: &[T],
    usual: Option<T>,
) -> Result<Option<T>, Failure> {
    let mut items: Vec<String> = words.iter().map(ToString::to_string).collect();
    if usual.is_none() {
        items.insert(0, "not known".to_owned());
    }
    let start = words.iter().position(|word| Some(*word) == usual).unwrap_or(0);
    let select =
        Select::with_theme(&SimpleTheme).with_prompt(question).items(&items).default(start);
    let Some(chosen) = restored(select.interact_opt())? else { return Ok(usual) };
    Ok(match usual {
        Some(_) => words.get(chosen).copied(),
        None => chosen.checked_sub(1).and_then(|place| words.get(place).copied()),
    })
}

/// One of several lines; none when it was left with Escape.
///
/// # Errors
/// [`Failure::Interrupted`] on Ctrl-C.
pub fn one_of(question: &str, lines: &[String]) -> Result<Option<usize>, Failure> {
    restored(
        Select::with_theme(&SimpleTheme)
            .with_prompt(question)
            .items(lines)
            .default(0)
            .interact_opt(),
    )
}

/// A number.
///
/// # Errors
/// [`Failure::Interrupted`] on Ctrl-C.
pub fn number(question: &str, usual: f64) -> Result<f64, Failure> {
    let input = Input::<f64>::with_theme(&SimpleTheme).with_prompt(question).default(usual);
    restored(input.interact_text())
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
