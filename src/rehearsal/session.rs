//! The document of a session: blocks of balls with their set-ups, rests, calls and log lines.
//!
//! One document, several views: the terminal, CSV and JSON all read this and add nothing.

use serde::{Deserialize, Serialize};

use crate::base::words;
use crate::game::{Hand, Lane, Receive, ServeId, Side, Spin};
use crate::journal::Stage;
use crate::launcher::{Kind, Limit, SetUp, Settings, Thrown, Wheels};
use crate::rehearsal::{LogLine, StandIn};

words! {
    /// The phase of a session.
    pub enum Phase : "phase" {
        /// One serve and one receive at a time.
        Groove = "groove" "groove",
        /// Around one serve.
        Vary = "vary" "vary",
        /// As the opponent serves in a match.
        MatchLike = "match_like" "match-like",
    }
}

words! {
    /// What a block does.
    pub enum Variation : "variation" {
        /// One serve, one receive.
        OneServe = "one_serve" "one serve, one receive",
        /// One motion to three targets.
        ThreeTargets = "three_targets" "one motion, three targets",
        /// Three depths of one serve.
        ThreeDepths = "three_depths" "three depths: step in or stay out",
        /// Short, short, ... until a long one comes.
        UntilLong = "until_long" "short, short, until a long one comes",
        /// Fast balls with the odd slow one.
        OddSlow = "odd_slow" "fast, with the odd slow one",
        /// Random over more than half of the table.
        MostOfTheTable = "most_of_the_table" "random over 60 % of the table",
        /// Dead balls among loaded ones.
        DeadAmongLoaded = "dead_among_loaded" "dead among loaded",
        /// Far back and random, then closer.
        FarThenClose = "far_then_close" "far back and random, then closer",
        /// The ball stays, the answer changes.
        ChangeTheAnswer = "change_the_answer" "keep the ball, change the answer",
        /// The launcher sweeps; the lane decides the answer.
        Sweep = "sweep" "the lane decides the answer",
        /// The serves of the deck in random order.
        Mixed = "mixed" "all serves in random order",
        /// A switch is called in the middle.
        SwitchRound = "switch_round" "switch round",
        /// Pairs of serves with two own serves between.
        Pairs = "pairs" "pairs of serves, as in a game",
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
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewAnswer {
    /// The serve.
    pub serve: ServeId,
    /// The receive until now.
    pub old: Receive,
    /// The receive from now on.
    pub new: Receive,
}

/// A switch as it is called.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SwitchCall {
    /// The switch's name.
    pub name: String,
    /// What calls for it in a match.
    pub cue: Option<String>,
    /// What changes.
    pub changes: Vec<NewAnswer>,
    /// The first ball under the switch.
    pub at_ball: u32,
}

/// What happens before a ball.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cue {
    /// The switch is called.
    Call(SwitchCall),
    /// A call that says: stay with the plan.
    Stay,
    /// So many own serves are played as shadows.
    OwnServes(u32),
}

/// One ball.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ball {
    /// Counts received balls through the session from 1; none for a ball thrown away.
    pub number: Option<u32>,
    /// What it is for.
    pub role: Role,
    /// The serve it stands for; none for a neighbour of the deck's serves.
    pub serve: Option<ServeId>,
    /// The ball.
    pub thrown: Thrown,
    /// The receive that is right.
    pub receive: Option<Receive>,
    /// The part of a switch round.
    pub stage: Option<Stage>,
    /// The score before it, the opponent's points first, in match-like blocks.
    pub score: Option<(u32, u32)>,
    /// What happens before it.
    pub cues: Vec<Cue>,
    /// What is entered for it, once that was computed.
    pub settings: Option<Settings>,
}

/// How fast balls come.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rate {
    /// Balls thrown a minute.
    pub thrown_a_minute: f64,
    /// Every so many-th ball is received; 1 when all are.
    pub receive_every: u32,
}

/// A block: balls from one set-up, then a rest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Block {
    /// Counts from 1.
    pub number: u32,
    /// Its phase.
    pub phase: Phase,
    /// What it does.
    pub variation: Variation,
    /// The serve it is about, when it is about one.
    pub around: Option<ServeId>,
    /// Where the launcher stands.
    pub set_up: SetUp,
    /// True when it has to be moved there first.
    pub is_moved: bool,
    /// True when the ball stays the same and the answer is called or read from a list.
    pub is_called: bool,
    /// The lanes an oscillating launcher sweeps over; empty when it does not.
    pub sweep: Vec<Lane>,
    /// How fast.
    pub rate: Rate,
    /// What is a little different from the block before, and why.
    pub change: Option<String>,
    /// The one coaching line that travels with it.
    pub coaching: Option<String>,
    /// Anything else to know before it starts.
    pub notes: Vec<String>,
    /// True when the hopper is filled before it.
    pub refill: bool,
    /// The balls, those thrown away included.
    pub balls: Vec<Ball>,
    /// What is written down after it.
    pub log: Vec<LogLine>,
    /// Rest after it, seconds, while picking up.
    pub rest_s: u32,
    /// What is entered for the whole block, once that was computed.
    pub settings: Option<Settings>,
}

impl Block {
    /// Balls received.
    pub fn received(&self) -> usize {
        self.balls.iter().filter(|ball| ball.role != Role::ThrowAway).count()
    }

    /// Balls let go at the start.
    pub fn thrown_away(&self) -> usize {
        self.balls.len() - self.received()
    }

    /// Balls received that have no log line: neighbours of the deck's serves, and the other wing.
    pub fn unlogged(&self) -> usize {
        let logged: u32 = self.log.iter().map(|line| line.balls).sum();
        self.received().saturating_sub(logged as usize)
    }

    /// Balls that leave the launcher, those it lets pass included.
    pub fn leaving(&self) -> usize {
        self.received() * self.rate.receive_every as usize + self.thrown_away()
    }
}

/// A serve that is rehearsed, for the head of the sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Rehearsed {
    /// The serve.
    pub serve: ServeId,
    /// The serve in words.
    pub words: String,
    /// The kind of spin, when it is known.
    #[serde(default)]
    pub spin: Option<Spin>,
    /// The side its path bends to, as the receiver sees it.
    pub bends: Option<Side>,
    /// The receive in the plan.
    pub receive: Receive,
    /// How a person with the other hand serves it; only for a person who serves.
    pub stand_in: Option<StandIn>,
    /// Balls of it in the session.
    pub balls: u32,
}

/// A limit of the launcher for one serve.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ServeLimit {
    /// The serve.
    pub serve: ServeId,
    /// What is lost.
    pub limit: Limit,
}

/// A serve that is not in the session.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Refused {
    /// The serve.
    pub serve: ServeId,
    /// Why.
    pub why: String,
    /// The way out.
    pub hint: String,
}

/// A variation this launcher cannot do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LeftOut {
    /// The variation.
    pub variation: Variation,
    /// Why.
    pub why: String,
}

/// A whole session.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Session {
    /// The opponent.
    pub opponent: String,
    /// The deck's key.
    pub deck: String,
    /// The player's hand.
    pub player: Hand,
    /// The opponent's hand; right when nobody said.
    pub server: Hand,
    /// The launcher's name.
    pub launcher: String,
    /// Its kind.
    pub kind: Kind,
    /// The hand of the person who feeds or serves.
    pub hand: Option<Hand>,
    /// The wheels of a machine.
    pub wheels: Option<Wheels>,
    /// Balls a stored sequence of the launcher holds; 0 when it stores none.
    pub stored_balls: u32,
    /// The names of its dials in entry order.
    pub dials: Vec<String>,
    /// The seed that makes the session again.
    pub seed: u64,
    /// The number under which its results are written down; none until it is kept.
    #[serde(default)]
    pub number: Option<u32>,
    /// Minutes of warm-up before the first ball.
    pub warm_up_min: u32,
    /// The serves that are rehearsed.
    pub serves: Vec<Rehearsed>,
    /// The blocks.
    pub blocks: Vec<Block>,
    /// The switch that is called, and at which ball.
    pub switch: Option<SwitchCall>,
    /// What the launcher cannot do of each serve.
    pub limits: Vec<ServeLimit>,
    /// Serves that are not in the session.
    pub refused: Vec<Refused>,
    /// Variations that are not.
    pub left_out: Vec<LeftOut>,
    /// Short cautions for people at a launcher.
    pub cautions: Vec<String>,
    /// Minutes it takes, warm-up not counted.
    pub minutes: f64,
}

impl Session {
    /// Balls received in all.
    pub fn received(&self) -> usize {
        self.blocks.iter().map(Block::received).sum()
    }

    /// Balls that leave the launcher in all.
    pub fn leaving(&self) -> usize {
        self.blocks.iter().map(Block::leaving).sum()
    }

    /// The log lines of all blocks, in order.
    pub fn log(&self) -> Vec<LogLine> {
        self.blocks.iter().flat_map(|block| block.log.iter().cloned()).collect()
    }
}
