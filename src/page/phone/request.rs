//! What a phone page is made from, and why there may be none.

use std::collections::BTreeMap;

use super::caller::CallerSession;
use super::sheets::PhoneSheet;
use crate::base::Day;
use crate::deck::{Deck, Player};
use crate::drill::Flown;
use crate::game::ServeId;
use crate::journal::Event;
use crate::memory::Memories;

/// Everything a page is made from.
#[derive(Debug, Clone)]
pub struct PhoneRequest<'a> {
    /// The home's own key, so that answers find their way back to it and to no other.
    pub home: &'a str,
    /// When it is made, milliseconds since 1970-01-01 UTC.
    pub now_ms: i64,
    pub today: Day,
    pub player: &'a Player,
    /// The opponents with the stems of their files.
    pub decks: &'a [(String, Deck)],
    pub memories: &'a Memories,
    /// The journal, for the tempo last played at.
    pub events: &'a [Event],
    /// The bench sheets, by stem.
    pub sheets: &'a BTreeMap<String, PhoneSheet>,
    /// A line for every change that the points call for.
    pub changes: &'a [String],
    /// Flights computed elsewhere, by stem and serve.
    pub flights: &'a BTreeMap<String, BTreeMap<ServeId, Flown>>,
    /// Answers that are at home already: the highest number of each sitting of a phone.
    pub receipts: BTreeMap<String, u64>,
    /// A session to be called at the table.
    pub caller: Option<CallerSession>,
    /// Whether notes go along.
    pub has_notes: bool,
    /// Days of lists, today included.
    pub days: u32,
    /// The seed of orders and tosses.
    pub seed: u64,
}

/// Why there is no page.
#[derive(Debug, thiserror::Error)]
pub enum PhoneError {
    #[error("no serve has a receive yet, so there is nothing to take along")]
    Nothing,
    /// Even with the lists of one day.
    #[error("the page would be {kib} KiB, more than {most_kib} KiB")]
    TooLarge { kib: usize, most_kib: usize },
    #[error("the page cannot be put together: {0}")]
    Render(#[from] minijinja::Error),
    #[error("the page cannot be put together: {0}")]
    Data(#[from] serde_json::Error),
}

impl PhoneError {
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::Nothing => {
                "scout an opponent and give a serve its receive with `secondball plan choose`"
            }
            Self::TooLarge { .. } => "name fewer opponents with `--opponent`",
            Self::Render(_) | Self::Data(_) => "this is a mistake of the program",
        }
    }
}
