//! The picture: what a screen has to show at one moment, without saying how.

use serde::Serialize;

use super::script::{Call, Frame, Reason, RoundPart, WrongBat};
use crate::game::Lane;
use crate::memory::Grade;

/// What the moment is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Phase {
    /// Before the first ball; any key begins.
    Ready,
    /// Something is called between two points; a key goes on.
    Call,
    /// The ball is thrown up.
    Toss,
    /// The ball is under way, or waits at the bat for the answer.
    Flight,
    Stroke,
    Target,
    /// Which serve was it?
    What,
    /// What do you do against it?
    Do,
    /// Shadow: the cue has been given, the stroke is being played.
    Shadow,
    /// Shadow: how was it?
    Own,
    /// What came of the answer.
    Feedback,
    /// Between two turns of serves.
    Between,
    Paused,
    /// The minutes are up: one key goes on, another ends.
    Over,
    /// The round is over.
    Done,
}

/// How a choice of the palette is marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Mark {
    Plain,
    /// Its place was pressed, and a second key chooses.
    Open,
    Right,
    /// It was given and was not right.
    Given,
}

/// One choice with its key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Cell {
    /// Its place in the square, 0 to 8, far row first.
    pub cell: usize,
    /// How many share that place, from left to right as they come.
    pub parts: usize,
    /// The keys that give it, one after the other.
    pub keys: String,
    /// Its receive in words.
    pub words: String,
    /// Its stroke: the cell says where it goes.
    pub label: String,
    /// How it is marked.
    pub mark: Mark,
}

/// One line of a menu with its key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct MenuLine {
    pub key: char,
    pub words: String,
}

/// What an answer came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AnswerVerdict {
    /// A let: a key before contact is a guess.
    BeforeContact,
    /// A let: so soon after contact nobody has seen the ball.
    TooSoon {
        least_ms: u32,
    },
    /// Wrong: what was right before the call.
    OldAnswer,
    /// Wrong: what the call brought in for another serve.
    Spill,
    /// Wrong, because nothing came within twice the window.
    NoAnswer,
    Graded(Grade),
}

impl AnswerVerdict {
    pub const fn is_let(self) -> bool {
        matches!(self, Self::BeforeContact | Self::TooSoon { .. })
    }

    pub const fn is_right(self) -> bool {
        matches!(self, Self::Graded(grade) if grade.is_recalled())
    }
}

/// What came of an answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Feedback {
    pub verdict: AnswerVerdict,
    /// The right receive in words; empty for a let.
    pub right: String,
    /// The receive that was given, when it was another one.
    pub given: Option<String>,
    /// What becomes of the ball with it, when it is the receive for the serve that looks like it.
    pub wrong_bat: Option<WrongBat>,
    /// What the player wrote about the right receive; nothing for a let.
    pub reason: Reason,
    /// The time, milliseconds; none when untimed.
    pub ms: Option<u32>,
    /// The window, milliseconds; none when untimed.
    pub window_ms: Option<u32>,
    /// In a reading round: what the serve was, and whether it was recognised.
    pub was: Option<(String, bool)>,
    /// True when the answer can be taken back.
    pub can_undo: bool,
}

/// What is called between two points.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CallCard {
    pub call: Call,
    /// The name of the switch.
    pub name: String,
    /// What calls for it.
    pub cue: Option<String>,
    /// The serve, the receive until now, the receive from now on; empty for a stay.
    pub changes: Vec<(String, String, String)>,
}

/// Everything a screen has to show.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Picture {
    /// What the moment is about.
    pub phase: Phase,
    pub opponent: String,
    /// Balls begun or answered, lets left out.
    pub ball_number: usize,
    /// Balls of the round as it stands.
    pub balls: usize,
    /// Of them, asked from memory first.
    pub due: usize,
    /// What is left of the player's minutes, seconds.
    pub left_s: Option<u64>,
    /// Right so far; in timed rounds, right in the window.
    pub in_window: usize,
    pub answers: usize,
    /// The part of the round in words, when it has parts.
    pub part: Option<&'static str>,
    /// Before the first ball of a switch round: the switch that will be called.
    pub switch: Option<String>,
    /// The switch the whole round is played under.
    pub under: Option<String>,
    /// Which serve of a turn of two; 0 when they do not come in turns.
    pub of_turn: u8,
    /// The serve in words, when they may be seen.
    pub words: Option<String>,
    /// The step of a reading round in words.
    pub reading: Option<&'static str>,
    /// How far the toss is, thousandths.
    pub toss_permille: Option<u32>,
    /// Where the ball is.
    pub ball: Option<Frame>,
    /// The whole path of the ball in play as far as it may be seen, from contact on; empty before.
    pub path: Vec<Frame>,
    /// What is left of the window, thousandths.
    pub countdown_permille: Option<u32>,
    /// The tempo, thousandths of match speed; none when untimed.
    pub tempo_permille: Option<u32>,
    /// The palette; empty when the answer is not asked from it.
    pub palette: Vec<Cell>,
    /// The opponent's lanes over the palette's columns.
    pub lanes: [Lane; 3],
    /// A menu: strokes or serves.
    pub menu: Vec<MenuLine>,
    /// The stroke that was chosen and waits for its target.
    pub stroke: Option<String>,
    /// What came of the answer.
    pub feedback: Option<Feedback>,
    pub call: Option<CallCard>,
    /// The answer shown after a shadow stroke.
    pub shadow_answer: Option<String>,
    /// Serves of the round with their receives, before the first ball.
    pub serves: Vec<(String, String)>,
}

/// What can happen to the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    Key(char),
    /// A field of the pad, by its place among the choices: a tap.
    Choice(usize),
    Tick,
    /// The player pauses; once more while paused ends the round.
    Pause,
    /// The round ends at once, whatever is in play.
    Interrupt,
}

/// What the machine reports besides its picture.
#[derive(Debug, Clone, PartialEq)]
pub enum Said {
    /// An answer, to be kept at once.
    Answer(crate::journal::Answer),
    /// The last answer is taken back.
    Undo,
    /// The round is over.
    Done,
}

/// What a file of keys or a simulated player is asked at this moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    pub phase: Phase,
    pub serve: usize,
    pub part: RoundPart,
    /// The first moment it can be answered: contact, or when it was shown.
    pub from_ms: u64,
    /// The window, milliseconds; 0 when untimed.
    pub window_ms: u32,
    pub right: Act,
    /// The old answer, for a switched serve after a call.
    pub old: Option<Act>,
    /// What would be a spill.
    pub spills: Vec<Act>,
    /// All that answers.
    pub acts: Vec<Act>,
}
