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
//! | [`adaptation`], [`drops`], [`detector`] | whether an answer has been read; why ten points prove nothing |
//! | [`switch`] | which answer to change, and when |
//!
//! Then what connects them to decks and journals, as documents without layout:
//!
//! | file | holds |
//! |---|---|
//! | [`usual`] | the usual receives per kind of serve, common practice |
//! | [`history`], [`record`], [`families`] | points and debriefs folded to what is known of each pattern |
//! | [`advice`], [`words`] | which receive or mix for each serve, and the sentences about it |
//! | [`verdict`] | the one verdict on each answer: keep, play it better, watch, change |
//! | [`lessons`] | all verdicts, most pressing first, and what to do before the next meeting |
//! | [`reserve`] | a switch of the deck weighed: worth, when, whether it is ready |
//! | [`worth`] | what an improvement adds to the chance of the match |
//!
//! Nothing here reads a clock, throws its own dice or prints.

pub mod adaptation;
pub mod advice;
pub mod chance;
pub mod detector;
pub mod drops;
pub mod duel;
pub mod families;
pub mod fault;
pub mod habit;
pub mod history;
pub mod lessons;
pub mod matrix;
pub mod mix;
pub mod rates;
pub mod record;
pub mod reserve;
pub mod switch;
pub mod usual;
pub mod verdict;
pub mod words;
pub mod worth;

pub use fault::TacticsError;
