//! Floor 0: what every other folder stands on, and nothing of table tennis itself.
//!
//! Days and instants, seeded dice, the table of bounds, units, closed vocabularies, text, findings,
//! things in order, work on all cores.

pub mod bounds;
mod cores;
pub mod day;
pub mod dice;
pub mod finding;
pub mod order;
pub mod text;
pub mod units;
pub(crate) mod words;

pub use bounds::{Bound, OutOfBounds};
pub use cores::on_all_cores;
pub use day::{Day, Moment};
pub use dice::Dice;
pub use finding::{Finding, Gravity, Place};
pub use units::Units;
pub use words::UnknownWord;
pub(crate) use words::words;
