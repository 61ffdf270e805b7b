//! Floor 0: what every other folder stands on, and nothing of table tennis itself.
//!
//! Days and instants, seeded dice, the table of bounds, units, closed vocabularies, text, findings.

pub mod bounds;
pub mod day;
pub mod dice;
pub mod finding;
pub mod text;
pub mod units;
pub(crate) mod words;

pub use bounds::{Bound, OutOfBounds};
pub use day::{Day, Moment};
pub use dice::Dice;
pub use finding::{Finding, Gravity, Place};
pub use units::Units;
pub use words::UnknownWord;
pub(crate) use words::words;
