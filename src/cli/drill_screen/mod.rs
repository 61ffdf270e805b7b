//! The drill's screen: rounds from the home, a person or a file of keys in front of the machine,
//! answers to the journal, the summary at the end.
//!
//! | file | holds |
//! |---|---|
//! | `rounds` | which scripts this session plays, from decks, journal and the day |
//! | `keep` | what the machine says, into the journal, at once |
//! | `player` | who plays, what their keys mean, and the loop they all play by |
//! | `terminal` | the terminal, the stopwatch, and the signals that end it |
//! | `look`, `view`, `table`, `panels` | one picture of the machine, drawn |
//! | `lines` | the same picture, in lines |
//! | `keys` | a file of keys |
//! | `voice` | the cue of a shadow round |
//! | `warm_up` | measuring the key time at the screen |

mod keep;
mod keys;
mod lines;
mod look;
mod panels;
mod player;
mod rounds;
mod table;
mod terminal;
mod view;
mod voice;
mod warm_up;

pub(super) use keep::Keep;
pub(super) use player::DrillPlayer;
pub(super) use rounds::Rounds;
