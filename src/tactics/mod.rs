//! What the points say: rates, the duel behind a serve, adaptation, the switch, and match chance.
//!
//! Pure numbers first, each in its own file:
//!
//! | file | holds |
//! |---|---|
//! | [`chance`] | exact chance of a game and a match from any score |
//! | [`rates`] | beliefs about rates, weights of points, how much is known |
//! | [`duel`], [`matrix`], [`mix`] | which mix, when the server may wait for it, as a ratio |
//! | [`adaptation`], `rate_grid` | whether an answer is read, which of two wins more now, the card |
//! | [`drops`] | what being read costs, assumed for a mix |
//!
//! Then what connects them to decks and journals, as documents of figures; the views put them into
//! words:
//!
//! | file | holds |
//! |---|---|
//! | [`history`], [`record`], [`stroke_rates`], [`usual`] | points and debriefs folded, pattern by pattern |
//! | [`question`] | what is asked, and the belief about each receive |
//! | [`evidence`], [`verdict`] | the one verdict on each answer: change, play better, try, keep |
//! | [`advice`] | which receive or mix for each serve |
//! | [`lessons`] | all verdicts, most pressing first, and what to do before the next meeting |
//! | [`reserve`] | a switch of the deck weighed: worth, whether it is ready |
//! | [`worth`] | the chances under the plan, how sure, and what an improvement adds to the match |
//!
//! Nothing here reads a clock, throws its own dice, prints or makes a sentence.

pub mod adaptation;
pub mod advice;
pub mod chance;
pub mod drops;
pub mod duel;
pub mod evidence;
pub mod history;
pub mod lessons;
pub mod matrix;
pub mod mix;
pub mod question;
mod rate_grid;
pub mod rates;
pub mod record;
pub mod reserve;
pub mod stroke_rates;
pub mod usual;
pub mod verdict;
pub mod worth;
