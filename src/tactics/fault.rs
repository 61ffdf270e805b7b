//! What can be wrong with numbers given to the tactics engines.
//!
//! One enum for the folder. The texts say the quantity, what was given and what is allowed; where a
//! number came from (a file, a flag) is added by whoever read it.

use thiserror::Error;

/// A request the engines refuse.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum TacticsError {
    /// A quantity outside its range.
    #[error("`{what}` is {value}, allowed is {least} to {most}")]
    OutOfRange {
        /// The quantity, in the words of its parameter.
        what: &'static str,
        /// What was given.
        value: f64,
        /// Least allowed value.
        least: f64,
        /// Greatest allowed value.
        most: f64,
    },
    /// Every point goes to the same end of the serve: no game is ever two points clear.
    #[error("with `serve` {serve} and `receive` {receive} no game would ever end")]
    Endless {
        /// Chance of a point on one's own serve.
        serve: f64,
        /// Chance of a point on the opponent's serve.
        receive: f64,
    },
    /// A score that the laws of the game cannot produce.
    #[error("`{own}-{theirs}` cannot be reached in a {unit}")]
    NoSuchScore {
        /// Own count.
        own: u32,
        /// The opponent's count.
        theirs: u32,
        /// `game to 11`, `best of 5` and so on.
        unit: String,
    },
    /// Lists that belong together differ in length, or are empty.
    #[error("`{what}` needs {wanted} values, {given} given")]
    Length {
        /// The list.
        what: &'static str,
        /// How many are needed.
        wanted: usize,
        /// How many there are.
        given: usize,
    },
    /// The solution of a game could not be certified.
    #[error("the game's solution is certified only to {gap:e} of its range, not to 1e-9")]
    NoCertificate {
        /// Distance between the two players' guarantees, as a part of the payoff range.
        gap: f64,
    },
}

/// Accepts `value` when it lies in `least..=most`; a NaN is refused.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    least: f64,
    most: f64,
) -> Result<f64, TacticsError> {
    if value >= least && value <= most {
        Ok(value)
    } else {
        Err(TacticsError::OutOfRange { what, value, least, most })
    }
}

/// Accepts a chance, zero to one.
pub(crate) fn chance(what: &'static str, value: f64) -> Result<f64, TacticsError> {
    within(what, value, 0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refused_number_is_told_with_its_range() {
        let error = chance("receive", 1.2).unwrap_err();
        assert_eq!(error.to_string(), "`receive` is 1.2, allowed is 0 to 1");
        assert!(chance("receive", f64::NAN).is_err());
    }
}
