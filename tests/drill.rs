//! The drill's machine, played by script and by simulated players with known habits.

mod days;
pub mod decks;
mod machine;
mod odd;
mod palette;
mod players;
mod program;
mod recall;
pub(crate) mod terminal;
