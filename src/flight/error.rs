//! What can be wrong with the numbers handed to a flight.

use crate::base::OutOfBounds;

/// A request the flight model refuses to compute.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FlightError {
    /// A number outside its accepted range, or not a number at all.
    #[error(transparent)]
    OutOfBounds(#[from] OutOfBounds),
    /// A band whose lower end lies above its upper end, or has an end that is not a number.
    #[error("the band for `{what}` runs from {least} to {most}, which holds nothing")]
    EmptyBand {
        /// What the band is about.
        what: &'static str,
        /// The lower end given.
        least: f64,
        /// The upper end given.
        most: f64,
    },
}
