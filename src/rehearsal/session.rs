//! The document of a session: blocks of balls with their set-ups, rests, calls and log lines.
//!
//! Numbers and reasons only: the terminal, the card, CSV and JSON put them into words.

use serde::{Deserialize, Serialize};

use crate::base::words;
use crate::game::{Hand, Lane, Receive, ServeId, Side, Stroke};
use crate::journal::Stage;
use crate::launcher::{Launcher, LauncherKind, Limit, NoBall, SetUp, Settings, Shade, Thrown};
use crate::receive::Objection;
use crate::rehearsal::StandIn;

words! {
    /// The phase of a session.
    pub enum SessionPhase : "phase" {
        /// One serve and one receive at a time.
        Groove = "groove" "groove",
        /// Around one serve: another depth, lane or spin.
        Vary = "around" "around one serve" | "vary",
        /// As the opponent serves in a match.
        MatchLike = "as_a_match" "as a match" | "match_like",
    }
}

words! {
    /// What a block does: the drills of the trade, each under a name.
    pub enum Variation : "drill" {
        /// One serve, one receive.
        OneServe = "one_serve" "one serve, one receive",
        /// One motion to three places.
        OneMotion = "one_motion" "one motion, three places",
        /// Three depths of one serve, that which is flicked first.
        InOrOut = "in_or_out" "step in or stay out" | "three_depths",
        /// Short, short, ... until a long one comes.
        UntilLong = "until_long" "short, short, until a long one comes",
        /// One or two long ones, then a short one to step in for.
        StepIn = "step_in" "long, then short: step in and come back",
        /// One or two fast ones, one or two slow ones, by turns.
        OffTempo = "off_tempo" "one or two fast, one or two slow",
        /// Fast long balls over two thirds of the table, taken with the forehand.
        MostlyForehand = "mostly_forehand" "most of the table with the forehand" | "two_thirds_forehand",
        /// Balls without spin among heavy ones.
        DeadAmongHeavy = "dead_among_heavy" "no spin among heavy",
        /// The same ball from four places behind the table.
        FarThenNear = "far_then_near" "the same ball from farther back, then nearer",
        /// Fast topspin countered from behind the table.
        CounterFromFar = "counter_from_far" "counter their topspin from behind the table",
        /// Fast topspin chopped from behind the table.
        ChopFromFar = "chop_from_far" "chop their topspin from behind the table",
        /// The ball stays, the answer changes.
        SameBall = "same_ball" "the ball stays, the answer changes",
        /// The launcher sweeps; the lane decides the answer.
        ByLane = "by_lane" "the lane decides the answer",
        /// The serves of the deck in random order.
        Mixed = "all_by_turns" "all serves in random order",
        /// A switch is called in the middle.
        SwitchRound = "switch_round" "switch round",
        /// Pairs of serves with two own serves between.
        Pairs = "as_a_match" "pairs of serves, as in a game",
    }
}

words! {
    /// What a ball is for.
    pub enum Role : "role" {
        /// A serve of the deck, or one of its neighbours, to be received.
        Receive = "receive" "receive",
        /// Let go, after a change of setting.
        ThrowAway = "throw_away" "throw away",
        /// To the other wing, to keep the player honest; received, not logged.
        OtherWing = "other_wing" "to the other wing",
    }
}

/// A receive that changes at a call.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewAnswer {
    pub serve: ServeId,
    pub old: Receive,
    pub new: Receive,
}

/// A switch as it is called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SwitchCall {
    pub name: String,
    /// What calls for it in a match.
    pub cue: Option<String>,
    pub changes: Vec<NewAnswer>,
    /// The number of the first ball under the switch.
    pub at_ball: u32,
}

/// What happens before a ball.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BeforeBall {
    /// The switch is called.
    Call(SwitchCall),
    /// A call that says: stay with the plan.
    Stay,
    /// So many own serves are played as shadows.
    OwnServes(u32),
}

/// One ball of a session.
#[derive(Debug, Clone, PartialEq)]
pub struct SessionBall {
    /// Counts received balls through the session from 1; none for a ball thrown away.
    pub number: Option<u32>,
    pub role: Role,
    /// The serve it stands for; none for a neighbour of the deck's serves.
    pub serve: Option<ServeId>,
    pub thrown: Thrown,
    /// The receive that is right.
    pub receive: Option<Receive>,
    /// The part of a switch round.
    pub stage: Option<Stage>,
    /// The score before it, the opponent's points first, in match-like blocks.
    pub score: Option<(u32, u32)>,
    pub before: Vec<BeforeBall>,
    /// What is entered for it, once that was computed.
    pub settings: Option<Settings>,
}

impl SessionBall {
    /// The switch that is called before it.
    pub fn call(&self) -> Option<&SwitchCall> {
        self.before.iter().find_map(|before| match before {
            BeforeBall::Call(call) => Some(call),
            _ => None,
        })
    }

    /// True when a result of it is written down: a serve of the deck with its receive.
    pub fn is_logged(&self) -> bool {
        self.role == Role::Receive && self.serve.is_some() && self.receive.is_some()
    }
}

/// A small change against the block before it, because one setting came often enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SmallChange {
    /// The change; none where the plain ball comes again.
    pub shade: Option<Shade>,
}

/// What else to know before a block starts.
#[derive(Debug, Clone, PartialEq)]
pub enum Note {
    /// The ball stays and a list says which serve it stands for; `to_the_middle` where it is
    /// nobody's own ball.
    OneBallForSeveral { to_the_middle: bool },
    /// The list says whether the plan holds or the switch of this name, with its receive.
    PlanOrSwitch(String, Receive),
    /// The slowest rate leaves no time to get ready, so that the block is short.
    Hurried,
    /// When the serve is called.
    CallAfterTheBallBefore,
    /// No other answer suits the ball of this serve.
    OneServeOnly,
    /// The launcher keeps its setting through a block.
    OneDepthAfterTheOther,
    /// The launcher decides which lane comes when.
    LanesAreTheLaunchers,
    /// So many steps behind the ready place; nearer after eight of ten, back after five.
    StepsBack(u32),
    /// A ball that is another one keeps its receive.
    SameReceive { has_topspin: bool },
    /// The switch is called in a later block.
    PlanHolds,
    /// The switch of this name was called in an earlier block.
    SwitchHolds(String),
    /// After this block the plan without the switch holds again.
    RoundEnds,
    /// Each log line may hold up to so many balls.
    CountsAreAGuess { up_to: u32 },
    /// Why some balls have no computed setting.
    SetByEye(NoBall),
}

/// One line to fill in: balls of one serve with one receive in one block.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LogLine {
    /// Counts through the session from 1.
    pub number: u32,
    pub serve: ServeId,
    /// The receive that is right.
    pub receive: Receive,
    /// Balls of it; 0 when that is open.
    pub balls: u32,
    /// As many of it as the launcher may throw, where the launcher shares them out itself.
    #[serde(default)]
    pub up_to: Option<u32>,
}

/// A block: balls from one set-up, then a rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// Counts from 1.
    pub number: u32,
    pub phase: SessionPhase,
    pub variation: Variation,
    /// The serve it is about, when it is about one.
    pub around: Option<ServeId>,
    pub set_up: SetUp,
    /// True when the launcher has to be moved there first.
    pub is_moved: bool,
    /// True when the ball stays the same and the answer is called or read from a list.
    pub is_called: bool,
    /// The lanes an oscillating launcher sweeps over; empty when it does not.
    pub sweep: Vec<Lane>,
    pub thrown_a_minute: f64,
    /// Every so many-th ball is received; 1 when all are.
    pub receive_every: u32,
    pub change: Option<SmallChange>,
    pub notes: Vec<Note>,
    /// True when the hopper is filled before it.
    pub refill: bool,
    /// The balls, those thrown away included.
    pub balls: Vec<SessionBall>,
    /// What is written down after it.
    pub log: Vec<LogLine>,
    /// Rest after it, seconds, while picking up.
    pub rest_s: u32,
    /// What is entered for the whole block, once that was computed.
    pub settings: Option<Settings>,
}

impl Block {
    /// A block of these balls before it is cut to size, timed and numbered.
    pub(super) const fn draft(
        phase: SessionPhase,
        variation: Variation,
        set_up: SetUp,
        balls: Vec<SessionBall>,
    ) -> Self {
        Self {
            number: 0,
            phase,
            variation,
            around: None,
            set_up,
            is_moved: false,
            is_called: false,
            sweep: Vec::new(),
            thrown_a_minute: 0.0,
            receive_every: 1,
            change: None,
            notes: Vec::new(),
            refill: false,
            balls,
            log: Vec::new(),
            rest_s: 0,
            settings: None,
        }
    }

    /// True when every ball is the same one.
    pub fn is_one_setting(&self) -> bool {
        self.balls.windows(2).all(|pair| pair[0].thrown == pair[1].thrown)
    }

    /// The balls that are played, without those let go at the start.
    pub fn played(&self) -> impl Iterator<Item = &SessionBall> {
        self.balls.iter().filter(|ball| ball.role != Role::ThrowAway)
    }

    /// How many balls are received.
    pub fn received(&self) -> usize {
        self.played().count()
    }

    /// How many balls are let go at the start.
    pub fn thrown_away(&self) -> usize {
        self.balls.len() - self.received()
    }

    /// How many balls leave the launcher, those it lets pass included.
    pub fn leaving(&self) -> usize {
        self.received() * self.receive_every as usize + self.thrown_away()
    }
}

/// A serve that is rehearsed, for the head of the sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rehearsed {
    pub serve: ServeId,
    /// Its short word, with `(guess)` where nobody has seen it.
    pub called: String,
    /// The serve in the words of the trade.
    pub words: String,
    /// The side its path bends to, as the receiver sees it.
    pub bends: Option<Side>,
    /// The receive in the plan.
    pub receive: Receive,
    /// How a person with the other hand serves it; only for a person who serves.
    pub stand_in: Option<StandIn>,
    /// Balls of it in the session.
    pub balls: u32,
    /// Whether it is weak in memory or at the table.
    pub is_weak: bool,
}

/// A limit of the launcher for one serve.
#[derive(Debug, Clone, PartialEq)]
pub struct ServeLimit {
    pub serve: ServeId,
    /// True when only a ball that takes turns with others has it.
    pub is_of_mixed_blocks: bool,
    pub limit: Limit,
}

/// A serve that is not in the session.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused {
    pub serve: ServeId,
    /// Its short word.
    pub called: String,
    pub why: WhyRefused,
}

/// Why a serve is not in the session.
#[derive(Debug, Clone, PartialEq)]
pub enum WhyRefused {
    /// It has no receive in the plan, and the deck no safe one.
    NoReceive,
    /// A coach would object to its receive on the ball this launcher throws for it.
    Objection { serve: ServeId, stroke: Stroke, objection: Objection, limits: Vec<Limit> },
    /// None of so many balls is left for it.
    NoBallLeft { balls: u32 },
}

/// A whole session.
#[derive(Debug, Clone, PartialEq)]
pub struct Session {
    pub opponent: String,
    /// The deck's key.
    pub deck: String,
    /// The player's hand.
    pub player: Hand,
    /// The opponent's hand; right when nobody said.
    pub server: Hand,
    /// The machine or person that throws, with its dials in entry order.
    pub launcher: Launcher,
    /// The seed that makes the session again.
    pub seed: u64,
    /// The number under which its results are written down; none until it is kept.
    pub number: Option<u32>,
    /// Whether no result with this launcher is written down yet.
    pub is_launcher_new: bool,
    pub serves: Vec<Rehearsed>,
    pub blocks: Vec<Block>,
    /// The switches that are called, and at which ball.
    pub switches: Vec<SwitchCall>,
    /// Serves whose planned answer looks read by the points.
    pub looks_read: Vec<ServeId>,
    /// What the launcher cannot do of each serve.
    pub limits: Vec<ServeLimit>,
    pub refused: Vec<Refused>,
    /// Minutes it takes, warm-up not counted.
    pub minutes: f64,
}

impl Session {
    pub const fn kind(&self) -> LauncherKind {
        self.launcher.kind
    }

    /// How many balls are received in all.
    pub fn received(&self) -> usize {
        self.blocks.iter().map(Block::received).sum()
    }

    /// How many balls are let go at the start of a block in all.
    pub fn thrown_away(&self) -> usize {
        self.blocks.iter().map(Block::thrown_away).sum()
    }

    /// How many balls leave the launcher in all.
    pub fn leaving(&self) -> usize {
        self.blocks.iter().map(Block::leaving).sum()
    }

    /// The log lines of all blocks, in order.
    pub fn log(&self) -> Vec<LogLine> {
        self.blocks.iter().flat_map(|block| block.log.iter().cloned()).collect()
    }
}
