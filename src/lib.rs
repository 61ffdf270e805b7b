//! secondball prepares a tournament table-tennis player's receives against a known opponent.
//!
//! The house has eight floors. A folder imports only folders with a smaller number, and two of
//! the same number never meet; `tests/house.rs` reads the sources and enforces it.
//!
//! | n | folder | holds |
//! |---|---|---|
//! | 0 | `base` | units, bounds, days, dice, text, findings |
//! | 1 | `game` | the nouns of the trade: serve, receive, lane, depth, spin, score, pattern |
//! | 2 | `flight` | ball, air, bounce, path, aim; serve words to a ball |
//! | 2 | `deck` | opponent, plan, switch; player, repertoire, events; meaning checks |
//! | 2 | `journal` | events, the line codec, the fold to facts by day |
//! | 3 | `tactics` | rates, intervals, duel, adaptation, switch, match chance |
//! | 3 | `memory` | the memory model, results to grades, forecast, match-day calendar |
//! | 4 | `drill` | the drill as a machine without a terminal |
//! | 4 | `launcher` | what a launcher can do, set-ups, aim to settings, calibration |
//! | 5 | `rehearsal` | serves to blocks to balls, rests, switch calls |
//! | 5 | `agenda` | the daily list, the forecast, the one next thing |
//! | 6 | `page` | pure views: one document, several renderers |
//! | 6 | `import` | text from elsewhere to facts: points, thrown balls, a phone's answers |
//! | 6 | `store` | the only folder that touches files |
//! | 7 | `cli` | arguments, world, screens, one file per command |
//!
//! No clock, randomness, environment, terminal or file below `store`: they are passed in.

#![cfg_attr(
    not(feature = "cli"),
    allow(dead_code, reason = "the program uses it; a library without the command line need not")
)]
#![cfg_attr(
    not(feature = "inside"),
    allow(unused_imports, reason = "what a folder shows to the tests alone")
)]

// The folders are private, but open to the tests and benches, which switch on the feature `inside`.
// (Two lists and no macro: the formatter follows no module that a macro declares.)
#[cfg(not(feature = "inside"))]
mod agenda;
#[cfg(not(feature = "inside"))]
mod base;
#[cfg(not(feature = "inside"))]
mod deck;
#[cfg(not(feature = "inside"))]
mod drill;
#[cfg(not(feature = "inside"))]
mod flight;
#[cfg(not(feature = "inside"))]
mod game;
#[cfg(not(feature = "inside"))]
mod import;
#[cfg(not(feature = "inside"))]
mod journal;
#[cfg(not(feature = "inside"))]
mod launcher;
#[cfg(not(feature = "inside"))]
mod memory;
#[cfg(not(feature = "inside"))]
mod page;
#[cfg(not(feature = "inside"))]
mod rehearsal;
#[cfg(not(feature = "inside"))]
mod store;
#[cfg(not(feature = "inside"))]
mod tactics;

#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod agenda;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod base;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod deck;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod drill;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod flight;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod game;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod import;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod journal;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod launcher;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod memory;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod page;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod rehearsal;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod store;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod tactics;

#[cfg(feature = "cli")]
mod cli;

#[cfg(feature = "cli")]
pub use cli::main;
