//! Floor 7: the only folder that touches files.
//!
//! A [`Home`] is the player's folder. Files written by people are read with every mistake found at
//! once and placed, and changed by span so that no comment is lost; the journal is append-only,
//! safe against a cut of power at any byte, and merged from every device's file. What an opponent,
//! a serve or an event is, is said on the floors below.

#![expect(clippy::disallowed_methods, reason = "the one folder that touches files")]

mod aside;
mod check;
mod copies;
mod decks;
mod device;
mod disk;
mod editing;
mod fold;
mod forget;
mod home;
mod late;
mod launcher_file;
mod lines;
mod lock;
mod merge;
mod missing;
mod numbers;
mod outside;
mod parse;
mod reading;
mod saving;
mod scan;
mod settling;
mod sources;
mod splicing;
mod three_way;
mod tree;
mod trouble;
mod undone;
mod uniting;
mod writer;
mod writing;
mod wrong;

pub use check::strangers;
pub use copies::FileCopy;
pub use decks::Decks;
pub use device::Device;
pub use fold::Folded;
pub use forget::{DAYS_IN_BIN, Forgotten};
pub use home::{Home, Ledger};
pub use late::LateEvent;
pub use launcher_file::judge_launcher_file;
pub use outside::{
    homes_in, input_trouble, read_input, read_page, throw_away_folder, unpack, write_page,
};
pub use parse::{Parsed, judge_launcher, parse, parse_deck, parse_player, parse_ron};
pub use settling::{Compared, Settle};
pub use trouble::{Trouble, failed};
pub use uniting::Difference;
pub use writer::Writer;
