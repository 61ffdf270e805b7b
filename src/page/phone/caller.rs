//! A session at the table as the page calls it: blocks, balls, calls, rests, in words and
//! milliseconds.

use serde::Serialize;

use crate::base::{Units, text};
use crate::game::{Receive, ReceiveKey, ServeId, Target};
use crate::page::launcher_by_eye::set_in_a_list;
use crate::page::rehearsal::{
    answers, block_name, cannot, person_ball, reading, said_cautions, set_up_labels,
};
use crate::rehearsal::{BeforeBall, Block, Session, SessionBall, Volumes};

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
    /// The cautions: all where the launcher is new, else in short.
    pub cautions: Vec<String>,
    /// How left, right and numbers are meant.
    pub reading: Vec<String>,
    /// What this launcher cannot do, and what is not in the session.
    pub cannot: Vec<String>,
    /// Balls to play.
    pub received: usize,
    /// Balls that leave the launcher, those let go or passing included.
    pub leaving: usize,
    /// The blocks.
    pub blocks: Vec<CalledBlock>,
}

/// A block.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CalledBlock {
    /// Its phase and what it does.
    pub name: &'static str,
    /// Where the launcher stands, how it is set, what to know: labels and words, as on the sheet.
    pub set_up: Vec<(&'static str, String)>,
    /// Its receives with their letters, as on the sheet.
    pub receives: Vec<String>,
    /// True when the receiver must not know which ball comes next: the answer is to be found from
    /// the serve.
    pub is_hidden: bool,
    /// Balls to play.
    pub received: usize,
    /// Balls that leave the launcher.
    pub leaving: usize,
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
    pub serve: Option<ServeId>,
    /// The serve in words.
    pub words: String,
    /// The ball as whoever throws it sees it, a person in their own left and right, or what is
    /// entered for it in a list.
    pub feed: Option<String>,
    /// The receive in words.
    pub receive: Option<String>,
    /// The receive's canonical text, when its result is kept.
    pub right: Option<ReceiveKey>,
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
    /// A session as the page calls it, lengths in the player's units.
    pub fn from_session(session: &Session, units: Units) -> Self {
        Self {
            opponent: text::one_line(&session.opponent),
            deck: session.deck.clone(),
            launcher: text::one_line(&session.launcher.name),
            waits: session.kind().is_person(),
            warm_up_min: Volumes::WARM_UP_MIN,
            reading: reading(session),
            cautions: said_cautions(session),
            cannot: cannot(session),
            received: session.received(),
            leaving: session.leaving(),
            blocks: session
                .blocks
                .iter()
                .map(|block| called_block(session, block, units))
                .collect(),
        }
    }
}

fn called_block(session: &Session, block: &Block, units: Units) -> CalledBlock {
    let set_up = set_up_labels(session, block, units);
    let set_up = set_up.into_iter().map(|(label, words)| (label, text::one_line(&words)));
    let receives = answers(session, block);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0.5 s to 60 s")]
    let throw_ms = (60_000.0 / block.thrown_a_minute.clamp(1.0, 120.0)).round() as u32;
    CalledBlock {
        name: block_name(block),
        is_hidden: receives.len() > 1 && !block.is_called,
        set_up: set_up.collect(),
        receives,
        received: block.received(),
        leaving: block.leaving(),
        throw_ms,
        receive_every: block.receive_every.max(1),
        rest_s: block.rest_s,
        balls: block.balls.iter().map(|ball| called_ball(session, ball, units)).collect(),
    }
}

fn called_ball(session: &Session, ball: &SessionBall, units: Units) -> CalledBall {
    let known = session.serves.iter().find(|known| Some(&known.serve) == ball.serve.as_ref());
    let thrown = || Target::new(ball.thrown.lane, ball.thrown.depth).shown();
    let set = ball.settings.as_ref();
    let entered = set.map(|settings| {
        let set = set_in_a_list(settings, units, true);
        let words = [set.wheels, set.head, set.entered.or(Some(set.physics))];
        text::one_line(&words.into_iter().flatten().collect::<Vec<_>>().join("; "))
    });
    let fed = || session.kind().is_person().then(|| person_ball(session, &ball.thrown));
    let logged = ball.receive.as_ref().filter(|_| ball.is_logged());
    CalledBall {
        role: ball.role.word(),
        serve: ball.serve.clone(),
        words: known.map_or_else(thrown, |known| known.called.clone()),
        feed: entered.or_else(fed),
        receive: ball.receive.as_ref().map(Receive::shown),
        right: logged.map(ReceiveKey::from_receive),
        score: ball.score,
        cues: ball.before.iter().map(called_cue).collect(),
    }
}

fn called_cue(before: &BeforeBall) -> CalledCue {
    let (is, says) = match before {
        BeforeBall::Call(call) => ("switch", text::one_line(&format!("Switch: {}", call.name))),
        BeforeBall::Stay => ("stay", "Stay".to_owned()),
        BeforeBall::OwnServes(count) => {
            ("own", format!("{} of your own first", text::count(*count as usize, "serve")))
        }
    };
    CalledCue { is, says }
}
