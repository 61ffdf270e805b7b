//! A session at the table as the page calls it: blocks, balls, calls, rests, in words and
//! milliseconds.

use serde::Serialize;

use crate::base::{Units, text};
use crate::game::{Receive, ReceiveKey, ServeId, Target};
use crate::page::launcher_by_eye::set_in_a_list;
use crate::page::rehearsal::{SheetKind, SheetPart, person_ball, said_cautions, sheet};
use crate::rehearsal::{BeforeBall, Block, Session, SessionBall, Volumes};

/// Labels of the sheet that the caller says in its own way, or not before the ball.
const SAID_OTHERWISE: [&str; 7] = ["answer", "score", "call", "CALL", "log", "rest", "*"];
/// Titles of the sheet whose entries the caller says elsewhere.
const TOLD_ELSEWHERE: [&str; 3] = ["Before the first ball", "The serves", "Afterwards"];

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
    /// What this launcher cannot do and what is left out: a title and its sentences.
    pub cannot: Vec<(String, Vec<String>)>,
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
    pub name: String,
    /// Where the launcher stands, how it is set, what to know: labels and words, as on the sheet.
    pub set_up: Vec<(String, String)>,
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
        let sheet = sheet(session, units, true);
        let (blocks, rest): (Vec<_>, Vec<_>) =
            sheet.parts.into_iter().partition(|part| part.balls.is_some());
        let cautions = said_cautions(session);
        let called = session.blocks.iter().zip(&blocks);
        Self {
            opponent: text::one_line(&session.opponent),
            deck: session.deck.clone(),
            launcher: text::one_line(&session.launcher.name),
            waits: session.kind().is_person(),
            warm_up_min: Volumes::WARM_UP_MIN,
            reading: reading(&rest, &cautions),
            cautions,
            cannot: cannot(rest),
            received: session.received(),
            leaving: session.leaving(),
            blocks: called.map(|(block, part)| called_block(session, block, part, units)).collect(),
        }
    }
}

/// The lines of the sheet's head that say how it is read; who, how many and when is said elsewhere.
fn reading(parts: &[SheetPart], cautions: &[String]) -> Vec<String> {
    let head = parts.iter().flat_map(|part| &part.groups).next();
    let lines = head.iter().flat_map(|group| &group.lines).skip(3);
    let words = lines.map(|line| text::one_line(&line.cells.join(" ")));
    words.filter(|words| !words.starts_with("The switch `") && !cautions.contains(words)).collect()
}

/// What the sheet says of limits and of what is left out.
fn cannot(parts: Vec<SheetPart>) -> Vec<(String, Vec<String>)> {
    let mut found = Vec::new();
    for part in parts {
        let entries = part.groups.iter().filter(|group| group.kind == SheetKind::Entries);
        let entries = entries.flat_map(|group| &group.lines);
        let said: Vec<String> = entries.map(|line| text::one_line(&line.cells[0])).collect();
        if !said.is_empty() && !TOLD_ELSEWHERE.contains(&part.title.as_str()) {
            found.push((part.title, said));
        }
    }
    found
}

fn called_block(session: &Session, block: &Block, part: &SheetPart, units: Units) -> CalledBlock {
    let mut set_up: Vec<(String, String)> = Vec::new();
    let mut receives = Vec::new();
    let mut label = "";
    for (own, words) in part.labelled() {
        // Without a label it goes on with the one before.
        label = if own.is_empty() { label } else { own };
        if label == "answer" {
            receives.push(text::one_line(words));
        } else if !SAID_OTHERWISE.contains(&label) {
            set_up.push((own.to_owned(), text::one_line(words)));
        }
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0.5 s to 60 s")]
    let throw_ms = (60_000.0 / block.thrown_a_minute.clamp(1.0, 120.0)).round() as u32;
    CalledBlock {
        name: format!("{}: {}", block.phase, block.variation),
        is_hidden: receives.len() > 1 && !block.is_called,
        set_up,
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
    let entered = set.map(|settings| text::one_line(&set_in_a_list(settings, units)));
    let fed = || session.kind().is_person().then(|| person_ball(session, &ball.thrown));
    let logged = ball.receive.as_ref().filter(|_| ball.is_logged());
    CalledBall {
        role: ball.role.word(),
        serve: ball.serve.clone(),
        words: known.map_or_else(thrown, |known| known.words.clone()),
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
