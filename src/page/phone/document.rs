//! The data of a phone page, as it stands in the page. `logic.js` and `page.js` read these names.

use std::collections::BTreeMap;

use serde::Serialize;

use super::caller::CallerSession;
use super::pack::Tables;
use crate::base::Day;

/// Everything in a page.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhoneData {
    /// The version of the form.
    pub format: u32,
    /// The program that wrote it.
    pub version: &'static str,
    /// The home's own key.
    pub home: String,
    /// When it was made, milliseconds since 1970-01-01 UTC.
    pub made: i64,
    pub player: String,
    /// The hour at which the player's day begins.
    pub rollover_hour: u8,
    /// The event ahead: its name, its day in words, its day.
    pub event: Option<(String, String, Day)>,
    /// The opponent to begin with.
    pub foremost: usize,
    /// A line for every change that the points call for.
    pub changes: Vec<String>,
    /// The days with their lists.
    pub days: Vec<PhoneDay>,
    pub opponents: Vec<PhoneOpponent>,
    /// Scripts and what they share.
    #[serde(flatten)]
    pub tables: Tables,
    /// The highest number of each sitting that is at home.
    pub receipts: BTreeMap<String, u64>,
    /// The prompts of the tap-time measurement: a cell and the cells it is among.
    pub warm_up: Vec<(usize, &'static [usize])>,
    /// A session to be called.
    pub caller: Option<CallerSession>,
    /// The words a serve is scouted with.
    pub words: Vec<Vocabulary>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhoneDay {
    pub day: Day,
    /// Its weekday and date in words.
    pub spoken: String,
    /// Whether it is a day off.
    pub is_off: bool,
    /// Answers it is expected to ask for, as said on the day the page was made.
    pub expected: Option<usize>,
    pub lists: Vec<PhoneList>,
    /// For how many serves the answers are ready, when the lists before it were answered.
    pub ready: Option<String>,
    /// Of a hundred of their serves, how many will be answered right at the event ahead: before the
    /// day's lists, and after them.
    pub right: Option<[f64; 2]>,
    /// What there is to know about it.
    pub notes: Vec<String>,
}

/// What is to be answered against one opponent on one day, in one round.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhoneList {
    pub opponent: usize,
    /// The patterns: deck, serve, receive.
    pub patterns: Vec<String>,
    pub script: usize,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhoneOpponent {
    pub key: String,
    pub name: String,
    /// The serves still served: id and what each is called.
    pub serves: Vec<(String, String)>,
    /// Rounds beyond the lists.
    pub rounds: Vec<PhoneRound>,
    /// Notes, when they were asked for.
    pub notes: Vec<String>,
}

/// A round that can be played at any time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhoneRound {
    /// What it is called.
    pub name: String,
    /// One line about it.
    pub about: &'static str,
    /// Its scripts, one order each, played in turn.
    pub scripts: Vec<usize>,
}

/// The words of one property of a serve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Vocabulary {
    /// The field of a serve.
    pub field: &'static str,
    pub asks: &'static str,
    /// The word in files and the word shown.
    pub words: Vec<(&'static str, &'static str)>,
}
