//! Floor 2: everything about one opponent, and about the player, as it stands in their files.
//!
//! The shapes here are what the RON files hold; how text becomes these values, with every mistake
//! found and placed, is the work of `store`. What a coach would object to is judged in [`advice`].

pub mod advice;
pub mod editing;
mod habit;
mod hands;
mod opponent;
mod player;
mod safe;
mod serve_line;
mod serve_said;
mod taking;

pub use habit::Habit;
pub use hands::{Fitting, Hands};
pub use opponent::{Deck, FORMAT, Plan, Switch};
pub use player::{MatchDay, Opponent, Owned, Player};
pub use safe::{SafeAnswers, SafeFor};
pub use serve_line::ServeLine;
pub use serve_said::Part;
pub use taking::{Took, take_serves};
