//! The events of a journal: raw facts with the words that make them readable without the deck.
//!
//! Field names are short because there may be a million of them, and words because a person may
//! read them. Their names and meaning are frozen: a journal is read for ever.

use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;

use crate::base::{Day, words};
use crate::game::{End, ReceiveKey, ServeId};

/// Which event: the device that wrote it and its number there.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventId {
    /// The device's random id.
    pub device: String,
    /// Counts from 1 on each device.
    pub n: u64,
}

/// One line of a journal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// Which event.
    pub id: EventId,
    /// Milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
    /// The player's day when it happened; never computed again.
    pub day: Day,
    /// The device it first came from, when it was brought in (a phone page).
    pub origin: Option<String>,
    /// What happened.
    pub fact: Fact,
}

/// What can happen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "k", rename_all = "snake_case", deny_unknown_fields)]
pub enum Fact {
    /// A serve was shown in the drill and answered.
    Answer(Answer),
    /// Balls were received at the table.
    Ball(Ball),
    /// A point was played.
    Point(Point),
    /// A match was talked over.
    Debrief(Debrief),
    /// A serve was seen, once or several times.
    Seen(Seen),
    /// An earlier event is taken back.
    Undo {
        /// Which.
        of: EventId,
        /// The hash of its line, so that another line of the same number stays; lines of earlier
        /// versions have none and take back every line of that number.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        content: Option<u32>,
    },
    /// Everything about an opponent is deleted; older events of that deck are dropped on sight.
    Forget {
        /// The deck's key.
        deck: String,
    },
}

words! {
    /// How an answer was asked for.
    #[derive(Default)]
    pub enum How : "way to answer" {
        /// One key against the clock.
        #[default]
        Snap = "snap" "snap",
        /// Untimed, built from stroke and target.
        Think = "think" "think",
        /// Standing, bat in hand; then one key.
        Shadow = "shadow" "shadow",
        /// A reading round: the serve was to be recognised.
        Read = "read" "read",
        /// The player's own film, gone black at the cut; then one key.
        Film = "film" "film",
    }
}

words! {
    /// What the answer was given with.
    #[derive(Default)]
    pub enum Input : "kind of input" {
        /// The keyboard.
        #[default]
        Keys = "keys" "keys",
        /// A touch screen.
        Tap = "tap" "tap",
        /// A file of keys, played back.
        Script = "script" "script",
        /// A simulated player.
        Simulated = "simulated" "simulated player",
    }
}

words! {
    /// The part of a switch round.
    pub enum Stage : "stage" {
        /// Under the base plan.
        Before = "before" "before the call",
        /// After the call.
        After = "after" "after the call",
        /// After the call to switch back.
        Back = "back" "after switching back",
    }
}

/// The place of an answer in a switch round.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Switched {
    /// The switch's name.
    pub name: String,
    /// The part of the round.
    pub stage: Stage,
    /// For the switched serve: the receive that was right before the last call.
    pub old: Option<ReceiveKey>,
}

/// A serve was shown in the drill and answered.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// The deck's key.
    pub deck: String,
    /// The serve shown.
    pub serve: ServeId,
    /// The receive that was right.
    pub right: ReceiveKey,
    /// The receive given, when it was another one; empty when none was given in time.
    pub given: Option<String>,
    /// How it was asked; `snap` when a line does not say.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub how: How,
    /// Milliseconds from contact (from showing it, when untimed) to the answer.
    pub ms: u32,
    /// The window to the decision, milliseconds, key time included; 0 when untimed.
    pub window: u32,
    /// The player's own key time in that window, milliseconds.
    pub motor: u32,
    /// The tempo it was asked at, thousandths of match speed; 0 when untimed or not written down.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub tempo: u32,
    /// What it was given with; `keys` when a line does not say.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub input: Input,
    /// The answers had been shown before the round.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub shown: bool,
    /// Interrupted, or a guess before contact: played again.
    #[serde(default, rename = "let", skip_serializing_if = "is_usual")]
    pub is_let: bool,
    /// Of film: milliseconds from contact to where it goes black.
    pub cut: Option<i32>,
    /// Its place in a switch round.
    pub switch: Option<Switched>,
}

/// True for what a line need not say.
fn is_usual<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

/// Balls received at the table with one receive against one serve.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ball {
    /// The deck's key.
    pub deck: String,
    /// The serve thrown.
    pub serve: ServeId,
    /// The receive that was right.
    pub right: ReceiveKey,
    /// Balls that landed where they were meant to.
    pub made: u32,
    /// Balls that did not.
    pub missed: u32,
    /// Balls answered with another receive.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub wrong: u32,
}

impl Ball {
    /// All balls, made or not.
    pub const fn balls(&self) -> u32 {
        self.made.saturating_add(self.missed).saturating_add(self.wrong)
    }
}

words! {
    /// How a receive came out.
    pub enum Quality : "quality" {
        /// It came as it was meant.
        Tight = "tight" "good" | "good" | "clean",
        /// On the table, but high, weak or not where it was meant.
        Loose = "loose" "high" | "high" | "weak" | "popped_up",
        /// Not on the table.
        Missed = "missed" "missed",
    }
}

/// One played point.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// The deck's key.
    pub deck: String,
    /// Which match: a word unique for this deck.
    #[serde(rename = "match")]
    pub of_match: String,
    /// Who served.
    pub server: End,
    /// The serve, when the opponent served and it was recognised.
    pub serve: Option<ServeId>,
    /// The receive intended.
    pub meant: Option<ReceiveKey>,
    /// The receive played, when it was another.
    pub played: Option<ReceiveKey>,
    /// How it came out.
    pub quality: Option<Quality>,
    /// Whether the opponent was waiting for it.
    pub waiting: Option<bool>,
    /// True when the player won the point.
    pub won: bool,
    /// Words that named no known serve or receive, kept as they were typed.
    pub unknown: Option<String>,
}

impl Point {
    /// What is kept of a serve that got no name.
    pub const SERVE_NOT_NAMED: &'static str = "another serve (not named)";
    /// What is kept of a receive that got no name.
    pub const RECEIVE_NOT_NAMED: &'static str = "another receive (not named)";

    /// Whether these unknown words are ours, and nobody typed them.
    pub fn is_not_named(words: &str) -> bool {
        [Self::SERVE_NOT_NAMED, Self::RECEIVE_NOT_NAMED].contains(&words)
    }
}

words! {
    /// How many points a serve decided, from memory.
    pub enum HowMany : "amount" {
        /// About three.
        Few = "few" "few",
        /// About seven.
        Some = "some" "some",
        /// About fourteen.
        Many = "many" "many",
    }
}

words! {
    /// How receiving a serve went, from memory.
    pub enum Going : "course" {
        /// More won than lost.
        Well = "well" "well",
        /// About as many.
        Even = "even" "even",
        /// More lost than won.
        Badly = "badly" "badly",
    }
}

/// What is remembered of one serve after a match.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DebriefServe {
    /// The serve.
    pub serve: ServeId,
    /// The receive that was used most.
    pub receive: Option<ReceiveKey>,
    /// How many.
    pub many: HowMany,
    /// How it went.
    pub going: Going,
    /// The opponent had read it.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub read: bool,
}

/// A match talked over in a minute.
#[skip_serializing_none]
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Debrief {
    /// The deck's key.
    pub deck: String,
    /// Which match.
    #[serde(rename = "match")]
    pub of_match: String,
    /// Points of each game: the player's, the opponent's.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub games: Vec<(u32, u32)>,
    /// Serve by serve.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub serves: Vec<DebriefServe>,
    /// Serves that were new, in the player's words.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub new: Vec<String>,
    /// One sentence.
    pub sentence: Option<String>,
}

/// A serve was seen.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Seen {
    /// The deck's key.
    pub deck: String,
    /// The serve.
    pub serve: ServeId,
    /// How many times.
    pub times: u32,
    /// Whether the player keeps it on film.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub film: bool,
    /// Of film: what the player calls the device that has it.
    pub on: Option<String>,
}

impl Seen {
    /// One serve, seen once.
    pub const fn once(deck: String, serve: ServeId) -> Self {
        Self { deck, serve, times: 1, film: false, on: None }
    }
}

impl Fact {
    /// An event is taken back; whoever writes this down finds its line.
    pub const fn undo(of: EventId) -> Self {
        Self::Undo { of, content: None }
    }

    /// The key of the deck it is about; none for one that takes another back.
    pub fn deck(&self) -> Option<&str> {
        match self {
            Self::Answer(Answer { deck, .. })
            | Self::Ball(Ball { deck, .. })
            | Self::Point(Point { deck, .. })
            | Self::Debrief(Debrief { deck, .. })
            | Self::Seen(Seen { deck, .. })
            | Self::Forget { deck } => Some(deck),
            Self::Undo { .. } => None,
        }
    }
}
