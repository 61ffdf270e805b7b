//! Floor 2: everything about one opponent, and about the player, as it stands in their files.
//!
//! The shapes here are what the RON files hold; how text becomes these values, with every mistake
//! found and placed, is the work of `store`. What a coach would object to is judged in [`advice`].

pub mod advice;
mod opponent;
mod player;

pub use opponent::{Deck, FORMAT, Plan, Switch};
pub use player::{Event, Opponent, Owned, Player};
