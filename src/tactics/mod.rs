//! What the points say: rates, the duel behind a serve, adaptation, the switch, and match chance.
//!
//! Pure numbers first, each in its own file:
//!
//! | file | holds |
//! |---|---|
//! | [`chance`] | exact chance of a game and a match from any score; what a change is worth |
//! | [`rates`] | beliefs about rates, intervals, weights of points, how much is known |
//! | [`habit`] | what the server has come to expect, and what a log says about the drop |
//! | [`duel`], [`matrix`] | which receive, or which mix, when the server may wait for it |
//! | [`mix`] | ratios small enough to play, their cost, an order in advance |
//! | [`adaptation`], [`detector`] | whether an answer has been read; why ten points prove nothing |
//! | [`switch`] | which answer to change, and when |
//!
//! Nothing here reads a clock, throws its own dice or prints.

pub mod adaptation;
pub mod chance;
pub mod detector;
pub mod duel;
pub mod fault;
pub mod habit;
pub mod matrix;
pub mod mix;
pub mod rates;
pub mod switch;

pub use fault::TacticsError;
