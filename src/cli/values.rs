//! Values as flags take them; their range is each command's own affair.

use crate::base::text;
use crate::cli::{Failure, Result};
use crate::game::{End, MatchLength};

/// Reads a number.
pub(crate) fn number(given: &str) -> Result<f64, String> {
    given
        .trim()
        .parse::<f64>()
        .map_err(|_| format!("`{given}` is not a number; write it as 10 or 2.5"))
}

/// Reads `me` or `them`.
pub(crate) fn end(given: &str) -> Result<End, String> {
    match text::plain_word(given).as_str() {
        "me" | "i" | "own" => Ok(End::Me),
        "them" | "they" | "opponent" => Ok(End::Them),
        _ => Err("one of `me`, `them`".to_owned()),
    }
}

/// The length of a match, best of 3, 5 or 7 games.
///
/// # Errors
/// Another number of games.
pub(crate) fn match_length(best_of: u32) -> Result<MatchLength> {
    MatchLength::best_of(best_of)
        .map_err(|error| Failure::request(error.to_string(), "for example `--best-of 5`"))
}
