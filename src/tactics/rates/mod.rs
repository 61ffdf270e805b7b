//! How often a receive wins, how far that can be trusted, and in which words it is told.
//!
//! [`beta`] is the belief about one rate, [`interval`] the classical intervals for a plain count,
//! [`tally`] counts points with their weights, [`family`] the mean a receive is shrunk to. Which points
//! belong to which pattern is decided by the caller.

pub mod beta;
pub mod family;
pub mod interval;
pub mod tally;

pub use beta::Belief;
pub use family::FamilyMean;
pub use interval::Interval;
pub use tally::{Knowledge, STRENGTH, Tally};
