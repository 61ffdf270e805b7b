//! A session at the table as the page calls it: blocks, balls, calls, rests, in words and milliseconds.

use serde::Serialize;

use crate::base::text;
use crate::game::{ReceiveKey, Target};
use crate::rehearsal::{Ball, Block, Cue, Role, Session};

/// A session.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CallerSession {
    /// The opponent.
    pub opponent: String,
    /// The deck's key.
    pub deck: String,
    /// What throws or serves the balls.
    pub launcher: String,
    /// True when a person feeds, who waits for calls and own serves; a machine does not.
    pub waits: bool,
    /// Minutes of warm-up before the first ball.
    pub warm_up_min: u32,
    /// Short cautions.
    pub cautions: Vec<String>,
    /// The blocks.
    pub blocks: Vec<CalledBlock>,
}

/// A block.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CalledBlock {
    /// What it does.
    pub name: String,
    /// Where the launcher stands and how it is set, line by line.
    pub set_up: Vec<String>,
    /// Whatever else is to be known before it starts.
    pub notes: Vec<String>,
    /// Between two balls that leave the launcher, milliseconds.
    pub throw_ms: u32,
    /// Every so many-th ball is received.
    pub receive_every: u32,
    /// Rest after it, seconds.
    pub rest_s: u32,
    /// The balls.
    pub balls: Vec<CalledBall>,
}

/// A ball.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CalledBall {
    /// `receive`, `throw_away` or `other_wing`.
    pub role: &'static str,
    /// The serve it stands for.
    pub serve: Option<String>,
    /// The serve in words.
    pub words: Option<String>,
    /// The receive in words.
    pub receive: Option<String>,
    /// The receive's canonical text, when its result is kept.
    pub right: Option<String>,
    /// The score before it.
    pub score: Option<(u32, u32)>,
    /// What is called before it.
    pub cues: Vec<CalledCue>,
}

/// What is called between two balls.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CalledCue {
    /// `switch`, `stay` or `own`.
    pub is: &'static str,
    /// In words, to be shown and spoken.
    pub says: String,
}

impl CallerSession {
    /// A session as the page calls it.
    pub fn of(session: &Session) -> Self {
        Self {
            opponent: text::one_line(&session.opponent),
            deck: session.deck.clone(),
            launcher: text::one_line(&session.launcher),
            waits: session.kind.is_person(),
            warm_up_min: session.warm_up_min,
            cautions: session.cautions.clone(),
            blocks: session.blocks.iter().map(|block| called_block(session, block)).collect(),
        }
    }
}

fn called_block(session: &Session, block: &Block) -> CalledBlock {
    let mut set_up = vec![block.set_up.shown()];
    let dials = block.settings.iter().flat_map(|settings| &settings.dials);
    let dials: Vec<String> =
        dials.map(|dial| text::one_line(&format!("{} {}", dial.name, dial.value))).collect();
    if !dials.is_empty() {
        set_up.push(dials.join(", "));
    }
    if block.is_moved {
        set_up.push("Move it there first; watch the first ball from the side.".to_owned());
    }
    if block.refill {
        set_up.push("Fill the hopper.".to_owned());
    }
    let notes = block.change.iter().chain(&block.coaching).chain(&block.notes);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0.5 s to 60 s")]
    let throw_ms = (60_000.0 / block.rate.thrown_a_minute.clamp(1.0, 120.0)).round() as u32;
    CalledBlock {
        name: block.variation.shown().to_owned(),
        set_up,
        notes: notes.map(|note| text::one_line(note)).collect(),
        throw_ms,
        receive_every: block.rate.receive_every.max(1),
        rest_s: block.rest_s,
        balls: block.balls.iter().map(|ball| called_ball(session, ball)).collect(),
    }
}

fn called_ball(session: &Session, ball: &Ball) -> CalledBall {
    let known = ball
        .serve
        .as_ref()
        .and_then(|serve| session.serves.iter().find(|known| known.serve == *serve));
    let thrown = Target::new(ball.thrown.lane, ball.thrown.depth).shown();
    let is_received = ball.role == Role::Receive;
    CalledBall {
        role: match ball.role {
            Role::Receive => "receive",
            Role::ThrowAway => "throw_away",
            Role::OtherWing => "other_wing",
        },
        serve: ball.serve.as_ref().map(ToString::to_string),
        words: Some(known.map_or(thrown, |known| known.words.clone())),
        receive: ball.receive.as_ref().map(crate::game::Receive::shown),
        right: ball
            .receive
            .as_ref()
            .filter(|_| is_received && ball.serve.is_some())
            .map(|receive| ReceiveKey::of(receive).as_str().to_owned()),
        score: ball.score,
        cues: ball.cues.iter().map(called_cue).collect(),
    }
}

fn called_cue(cue: &Cue) -> CalledCue {
    match cue {
        Cue::Call(call) => {
            CalledCue { is: "switch", says: text::one_line(&format!("Switch: {}", call.name)) }
        }
        Cue::Stay => CalledCue { is: "stay", says: "Stay".to_owned() },
        Cue::OwnServes(count) => CalledCue {
            is: "own",
            says: format!("{} of your own first", text::count(*count as usize, "serve")),
        },
    }
}
