//! The script of a round: everything the machine needs, as plain numbers and words.
//!
//! It is made once ([`super::build`]) and can be written down as it is: the terminal, the tests
//! and a page on a phone play the same script. Times are whole milliseconds, lengths whole
//! millimetres, places are counted from 0, random choices (order, toss) are already made.
//!
//! Frame of a ball: origin at the centre of the server's end line on the playing surface, x
//! towards the player, y to the player's right, z up; time from the server's contact.

use serde::{Deserialize, Serialize};

use super::order::ServeOrder;
use super::palette::Palette;
use super::tempo::TempoRules;
use crate::base::words;
use crate::flight::bat::BallEnd;
use crate::game::ServeId;
use crate::journal::How;

/// The version of the form.
pub const FORMAT: u32 = 1;

/// Where the ball is at one time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Frame {
    /// Milliseconds from contact.
    pub t_ms: i32,
    /// Along the table, millimetres.
    pub x_mm: i32,
    /// Across, to the player's right, millimetres.
    pub y_mm: i32,
    /// Above the surface, millimetres.
    pub z_mm: i32,
}

/// One serve of the round, with what is to be remembered about it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cue {
    /// Its id in the deck.
    pub serve: ServeId,
    /// What the player calls the serve.
    pub words: String,
    /// The same in as few words as tell it from the others.
    pub short: String,
    /// What gives it away.
    pub tell: Option<String>,
    /// Whether its flight alone does not tell it from another serve.
    pub is_alike: bool,
    /// From contact to the bat, milliseconds.
    pub flight_ms: u32,
    /// What a match leaves for the decision, milliseconds.
    pub decision_ms: u32,
    /// Its flight, in the order of time.
    pub frames: Vec<Frame>,
    /// The right choice of the palette under the plan.
    pub right: usize,
    /// The right choice under the switch of a switch round, for a serve it changes.
    pub changed: Option<usize>,
    /// In a day's round: the switch it is asked under, and what was right before.
    pub under: Option<(usize, usize)>,
    /// Whether it is asked from memory: its receive is not shown before the first answer.
    pub is_due: bool,
    /// What the player wrote about the planned receive.
    pub reason: Reason,
    /// What the player wrote about the receive of the switch.
    pub changed_reason: Reason,
    /// Another serve of the round that looks like it.
    pub twin: Option<usize>,
    /// What becomes of it with the bat made for that one.
    pub wrong_bat: Option<WrongBat>,
    /// Earlier days with a counted answer to this pattern.
    pub counted_days: u32,
    /// Earlier days in a row whose first answer was right: what is known is said no more.
    pub right_days: u32,
    /// Whether an old answer is among its last five.
    pub has_recent_old_answer: bool,
}

/// A ball met with the bat that was made for the serve it looks like.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WrongBat {
    pub end: BallEnd,
    /// Over the net, millimetres; below zero it does not get over.
    pub over_net_mm: i32,
    /// Where it goes, from the bat on; its times are places in a row.
    pub frames: Vec<Frame>,
}

/// What the player wrote about a receive.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reason {
    pub why: Option<String>,
    /// The opponent's likely third ball.
    pub expect: Option<String>,
    pub then: Option<String>,
}

words! {
    /// The part of a round a ball belongs to.
    pub enum RoundPart : "part" {
        /// No switch round.
        Plain = "plain" "drill",
        /// Each serve once: is the plan known well enough to switch?
        Gate = "gate" "first, each serve once",
        /// Under the plan.
        Before = "before" "before the call",
        /// Under the switch.
        After = "after" "after the call",
        /// Under the plan again.
        Back = "back" "after switching back",
    }
}

/// The balls after a gate that stayed shut: the plan goes on, and no call comes.
pub const GATE_CLOSED: &str = "no switch yet: the plan first";

words! {
    /// What is called between two points.
    pub enum Call : "call" {
        /// Everything stays as it is.
        Stay = "stay" "stay",
        /// The switch comes.
        Switch = "switch" "switch",
        /// Back to the plan.
        Back = "back" "back",
    }
}

words! {
    /// How much of a serve is given away in a reading round.
    pub enum ReadingStep : "step of reading" {
        /// What gives it away, and no flight.
        Tell = "tell" "by the tell",
        /// The whole flight.
        Flight = "flight" "the whole flight",
        /// The flight, cut off.
        Cut = "cut" "flight cut off",
        /// The same, only serves that look alike.
        Twins = "twins" "twins mixed",
    }
}

/// One ball of the round.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ScriptBall {
    pub serve: usize,
    /// From the start of the toss to contact, milliseconds.
    pub toss_ms: u32,
    /// The part of the round.
    pub part: RoundPart,
    /// What is called before it.
    pub call: Option<Call>,
    /// The switch that is called, and in a day's round stands; the place among the script's.
    pub switch: Option<usize>,
    /// How much is given away, in a reading round.
    pub reading: Option<ReadingStep>,
    /// Which of the two serves of a turn it is, 1 or 2; 0 when serves do not come in turns.
    pub of_turn: u8,
}

impl ScriptBall {
    /// A ball of no part, call or turn, before its toss is drawn.
    pub(super) const fn plain(serve: usize) -> Self {
        let part = RoundPart::Plain;
        Self { serve, toss_ms: 0, part, call: None, switch: None, reading: None, of_turn: 0 }
    }
}

/// A switch of the round.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ScriptSwitch {
    pub name: String,
    /// What calls for it.
    pub cue: Option<String>,
}

/// How long things last, milliseconds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Durations {
    /// Feedback after a right answer in time; after a wrong one it waits for the player.
    pub feedback_ms: u32,
    /// Feedback after a right answer that came late.
    pub long_feedback_ms: u32,
    /// Between the last feedback and the next turn of two serves.
    pub between_turns_ms: u32,
    /// From contact to the cut in reading rounds.
    pub cut_ms: u32,
    /// The window of a shadow stroke.
    pub shadow_ms: u32,
    /// A key earlier than this after contact answers nothing that was seen.
    pub least_ms: u32,
    /// How much longer a round goes on when the player wants more.
    pub more_ms: u32,
}

impl Default for Durations {
    fn default() -> Self {
        Self {
            feedback_ms: 1400,
            long_feedback_ms: 4000,
            between_turns_ms: 1500,
            cut_ms: 200,
            shadow_ms: super::window::SHADOW_MS,
            least_ms: 150,
            more_ms: 300_000,
        }
    }
}

/// A round against one opponent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Script {
    /// The version of the form.
    pub format: u32,
    pub deck: String,
    pub opponent: String,
    /// How answers are given.
    pub how: How,
    /// The order the balls were drawn in.
    pub order: ServeOrder,
    /// This player's key time on this palette, milliseconds.
    pub key_ms: u32,
    pub serves: Vec<Cue>,
    /// The receives to choose from.
    pub palette: Palette,
    pub balls: Vec<ScriptBall>,
    /// How the window shrinks.
    pub tempo: TempoRules,
    /// How long things last.
    pub durations: Durations,
    /// The switches that may be called.
    pub switches: Vec<ScriptSwitch>,
    /// In a switch round: the share of gate balls that must be right in the window, percent.
    pub gate_percent: Option<u8>,
    /// Switches that were called before and stay.
    pub under: Option<String>,
    /// Whether the serve's words stand beside the ball.
    pub has_words: bool,
    /// Whether words and labels fade as a pattern is known.
    pub fades: bool,
    /// How many balls later a serve answered wrongly is asked once more; 0 for never.
    pub repair_after: u32,
    /// After how many milliseconds no new ball is begun.
    pub limit_ms: Option<u64>,
    /// Until then the balls from this one on come again; none do when it is behind the last.
    pub again_from: usize,
}

impl Script {
    /// The switch of a switch round.
    pub fn measured(&self) -> Option<&ScriptSwitch> {
        self.gate_percent.and(self.switches.first())
    }

    /// The right choice for a serve in a part of the round.
    pub fn right(&self, serve: usize, part: RoundPart) -> usize {
        let cue = &self.serves[serve];
        cue.changed.filter(|_| part == RoundPart::After).unwrap_or(cue.right)
    }

    /// The choice that was right before the last call, for a switched serve.
    pub fn old(&self, serve: usize, part: RoundPart) -> Option<usize> {
        let cue = &self.serves[serve];
        if let Some((_, old)) = cue.under {
            return Some(old);
        }
        match part {
            RoundPart::After => cue.changed.map(|_| cue.right),
            RoundPart::Back => cue.changed,
            RoundPart::Plain | RoundPart::Gate | RoundPart::Before => None,
        }
    }

    /// What the player wrote about the receive that is right in a part of the round.
    pub fn reason(&self, serve: usize, part: RoundPart) -> &Reason {
        let cue = &self.serves[serve];
        let is_changed = part == RoundPart::After && cue.changed.is_some();
        if is_changed { &cue.changed_reason } else { &cue.reason }
    }

    /// Where the ball of a serve is at a time after contact; between frames on a straight line.
    pub fn ball_at(&self, serve: usize, t_ms: i32) -> Option<Frame> {
        let frames = &self.serves[serve].frames;
        let place = frames.partition_point(|frame| frame.t_ms < t_ms);
        let (Some(from), Some(to)) = (place.checked_sub(1).map(|at| frames[at]), frames.get(place))
        else {
            return frames.get(place).or(frames.last()).copied();
        };
        let span = (to.t_ms - from.t_ms).max(1);
        let between = |a: i32, b: i32| a + (b - a) * (t_ms - from.t_ms) / span;
        Some(Frame {
            t_ms,
            x_mm: between(from.x_mm, to.x_mm),
            y_mm: between(from.y_mm, to.y_mm),
            z_mm: between(from.z_mm, to.z_mm),
        })
    }
}
