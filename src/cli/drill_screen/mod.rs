//! The drill's screen: rounds from the home, a person or a file of keys in front of the machine,
//! answers to the journal, the summary at the end.
//!
//! | file | holds |
//! |---|---|
//! | `rounds` | which scripts this session plays, from decks, journal and the day |
//! | `keep` | what the machine says, into the journal, at once |
//! | `player` | who plays: a person at the screen, plain lines, a file of keys, a simulated player |
//! | `at_screen`, `in_lines` | a person in front of the machine |
//! | `waiting` | stopwatch, waiting, what a key means |
//! | `terminal` | the terminal and the signals that end it |
//! | `view`, `table`, `panels` | one picture of the machine, drawn |
//! | `plain` | the same picture, in lines |
//! | `keys` | a file of keys |
//! | `voice` | the cue of a shadow round |
//! | `report` | the summary |

mod at_screen;
mod in_lines;
mod keep;
mod keys;
mod panels;
mod plain;
mod player;
mod report;
mod rounds;
mod table;
mod terminal;
mod view;
mod voice;
mod waiting;

pub(super) use keep::Keep;
pub(super) use player::Player;
pub(super) use report::report;
pub(super) use rounds::Rounds;
