//! The planned change of one answer: which, and when.
//!
//! [`which`] weighs the gain of each candidate against the cost of holding it ready; [`when`] finds the best
//! moment by exact induction over the whole match.

pub mod when;
pub mod which;

pub use when::{Story, Trigger};
pub use which::{Candidate, Choice, MemoryCost};
