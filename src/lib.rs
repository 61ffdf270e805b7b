//! secondball prepares a tournament table-tennis player's receives against a known opponent.
//!
//! The house has eight floors. A folder imports only folders with a smaller number, and two of
//! the same number never meet; `tests/house.rs` reads the sources and enforces it.
//!
//! | n | folder | holds |
//! |---|---|---|
//! | 0 | [`base`] | units, bounds, days, dice, text, findings |
//! | 1 | [`game`] | the nouns of the trade: serve, receive, lane, depth, spin, score, pattern |
//! | 2 | [`flight`] | ball, air, bounce, path, aim; serve words to a ball |
//! | 2 | [`deck`] | opponent, plan, switch; player, repertoire, events; meaning checks |
//! | 2 | [`journal`] | events, the line codec, the fold to facts by day |
//! | 3 | [`tactics`] | rates, intervals, duel, adaptation, switch, match chance |
//! | 3 | [`memory`] | the memory model, results to grades, forecast, match-day calendar |
//! | 4 | [`drill`] | the drill as a machine without a terminal |
//! | 4 | [`launcher`] | what a launcher can do, set-ups, aim to settings, calibration |
//! | 5 | [`rehearsal`] | serves to blocks to balls, rests, switch calls |
//! | 5 | [`agenda`] | the daily list, the forecast, the one next thing |
//! | 6 | [`page`] | pure views: one document, several renderers |
//! | 6 | [`import`] | text from elsewhere to facts: points, thrown balls, a phone's answers |
//! | 6 | [`store`] | the only folder that touches files |
//! | 7 | `cli` | arguments, world, screens, one file per command |
//!
//! No clock, randomness, environment, terminal or file below `store`: they are passed in.

pub mod agenda;
pub mod base;
#[cfg(feature = "cli")]
pub mod cli;
pub mod deck;
pub mod drill;
pub mod flight;
pub mod game;
pub mod import;
pub mod journal;
pub mod launcher;
pub mod memory;
pub mod page;
pub mod rehearsal;
pub mod store;
pub mod tactics;
