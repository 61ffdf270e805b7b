//! The sessions whose sheets were printed: their log lines wait here until they are written down, whole or in parts.

use serde::{Deserialize, Serialize};

use super::results::Typed;
use crate::base::{Day, order, text};
use crate::cli::{Desk, Failure};
use crate::deck::Deck;
use crate::rehearsal::{LogLine, Session, is_by_serve};
use crate::store::{Home, Trouble};

/// Where the log lines of the last sessions wait for their results: a printed sheet names its session, so this is not
/// one of the files that can be made again.
const WAITING: &str = "rehearsals.ron";
/// Where they once waited.
const ONCE_WAITING: &str = "cache/rehearsals.ron";
/// Sessions kept there; those written down go first.
const MOST_KEPT: usize = 40;

/// A session, as far as its results need it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Kept {
    /// Counts through the sessions of this home; none for the serves of a plan.
    pub number: Option<u32>,
    launcher: String,
    pub deck: String,
    pub opponent: String,
    pub is_logged: bool,
    /// The day it was made; none for the serves of a plan.
    pub day: Option<Day>,
    seed: u64,
    pub lines: Vec<LogLine>,
    /// The lines that are written down while others still wait.
    #[serde(default)]
    pub written: Vec<u32>,
    /// What was asked for, so that the same sheet comes again when it is asked for again.
    #[serde(default)]
    asked: String,
}

impl Kept {
    /// `session 3, feeder, Wed 25 Nov`.
    pub fn shown(&self) -> String {
        let number = self.number.map(|number| format!("session {number}"));
        let day = self.day.map(Day::spoken);
        let launcher = (!self.launcher.is_empty()).then(|| text::one_line(&self.launcher));
        let parts: Vec<String> = [number, launcher, day].into_iter().flatten().collect();
        parts.join(", ")
    }

    /// Whether nothing of it is written down.
    fn is_untouched(&self) -> bool {
        !self.is_logged && self.written.is_empty()
    }

    /// Whether this is the same sheet printed once more: the same balls, of which none was played.
    fn is_same_sheet(&self, other: &Self) -> bool {
        self.is_untouched()
            && self.seed == other.seed
            && self.launcher == other.launcher
            && self.deck == other.deck
            && self.opponent == other.opponent
            && self.lines == other.lines
    }

    /// The lines without a result yet.
    pub fn open(&self) -> impl Iterator<Item = &LogLine> {
        self.lines.iter().filter(|line| !self.is_logged && !self.written.contains(&line.number))
    }

    /// What of `numbers` is written down already, by number.
    pub fn already(&self, numbers: &[u32]) -> Vec<u32> {
        let is_open = |number: &u32| self.open().any(|line| line.number == *number);
        numbers.iter().copied().filter(|number| !is_open(number)).collect()
    }

    /// How many lines wait still, and how to write them down.
    pub fn rest(&self) -> Option<String> {
        let open: Vec<u32> = self.open().map(|line| line.number).collect();
        let first = self.open().next()?;
        let last = open.last().copied().unwrap_or(first.number);
        let which = if open.len() == 1 {
            format!("line {first} waits", first = first.number)
        } else if (last - first.number) as usize + 1 == open.len() {
            format!("lines {} to {last} wait", first.number)
        } else {
            format!(
                "lines {} wait",
                text::and_list(&open.iter().map(u32::to_string).collect::<Vec<_>>())
            )
        };
        let number = self.number?;
        Some(format!(
            "{0} of {1} lines; {which}: `secondball rehearse log --session {number} --from {2} {3}/{3}`, \
             or - for a line that was not played",
            self.lines.len() - open.len(),
            self.lines.len(),
            first.number,
            first.balls
        ))
    }
}

/// The sessions that were made last, oldest first. A file of an older form is as good as none.
pub(super) fn kept(home: &Home) -> Result<Vec<Kept>, Failure> {
    for file in [WAITING, ONCE_WAITING] {
        match home.read_ron::<Vec<Kept>>(file) {
            Ok(Some(kept)) => return Ok(kept),
            Ok(None) | Err(Trouble::Findings(_)) => {}
            Err(trouble) => return Err(trouble.into()),
        }
    }
    Ok(Vec::new())
}

/// The seed of the sheet of today that was asked for in the same words and waits untouched.
pub(super) fn seed_of(home: &Home, asked: &str, day: Day) -> Result<Option<u64>, Failure> {
    let is_it = |one: &Kept| one.asked == asked && one.day == Some(day) && one.is_untouched();
    Ok(kept(home)?.into_iter().rev().find(is_it).map(|one| one.seed))
}

/// Keeps a session's lines for its results; the number it is kept under.
pub(super) fn keep(home: &Home, session: &Session, day: Day, asked: &str) -> Result<u32, Failure> {
    let mut sessions = kept(home)?;
    let next = sessions.iter().filter_map(|one| one.number).max().unwrap_or(0) + 1;
    let mut new = Kept {
        number: Some(next),
        launcher: session.launcher.clone(),
        deck: session.deck.clone(),
        opponent: session.opponent.clone(),
        is_logged: false,
        day: Some(day),
        seed: session.seed,
        lines: session.log(),
        written: Vec::new(),
        asked: asked.to_owned(),
    };
    if let Some(place) = sessions.iter().position(|one| one.is_same_sheet(&new)) {
        new.number = sessions.remove(place).number.or(new.number);
    }
    let number = new.number.unwrap_or(next);
    sessions.push(new);
    while sessions.len() > MOST_KEPT {
        let last = sessions.len() - 1;
        let played = sessions[..last].iter().position(|one| one.is_logged);
        sessions.remove(played.unwrap_or(0));
    }
    home.replace_ron(WAITING, &sessions)?;
    Ok(number)
}

/// Drops the sessions against an opponent who is forgotten; sheets against others wait on.
///
/// # Errors
/// The machine's own trouble.
pub(crate) fn drop_sessions(home: &Home, deck: &str) -> Result<(), Failure> {
    let mut sessions = kept(home)?;
    let before = sessions.len();
    sessions.retain(|one| one.deck != deck);
    if before > 0 {
        home.replace_ron(WAITING, &sessions)?;
    }
    Ok(())
}

/// The lines that wait for results: of the session that is named, of the only one that waits, or of a plan.
pub(super) fn waiting(typed: &Typed<'_>, desk: &Desk) -> Result<Kept, Failure> {
    let home = desk.home()?;
    let mut sessions = kept(home)?;
    if let Some(named) = typed.opponent {
        let (_, deck) = desk.opponent(Some(named))?;
        if typed.results.iter().all(|result| is_by_serve(result)) {
            return Ok(of_plan(&deck));
        }
        sessions.retain(|one| one.deck == deck.key && (typed.again || !one.is_logged));
        return match sessions.pop() {
            Some(last) if sessions.iter().all(|one| one.is_logged) => Ok(last),
            Some(last) => Err(which(&sessions, &last)),
            None => Ok(of_plan(&deck)),
        };
    }
    if let Some(number) = typed.session {
        let Some(found) = sessions.iter().find(|one| one.number == Some(number)) else {
            let known: Vec<String> =
                sessions.iter().filter(|one| !one.is_logged).map(Kept::shown).collect();
            let hint = if known.is_empty() {
                "make one with `secondball rehearse`".to_owned()
            } else {
                format!("there is {}", known.join("; "))
            };
            return Err(Failure::request(format!("no session {number} waits for results"), hint));
        };
        return if found.is_logged && !typed.again {
            Err(is_written(found))
        } else {
            Ok(found.clone())
        };
    }
    let last = sessions.last().cloned();
    sessions.retain(|one| !one.is_logged);
    match (last, sessions.pop()) {
        (Some(last), _) if typed.again => Ok(last),
        (_, Some(open)) if sessions.is_empty() => Ok(open),
        (_, Some(open)) => Err(which(&sessions, &open)),
        (Some(last), None) => Err(is_written(&last)),
        (None, None) => Err(Failure::request(
            "no session waits for its results",
            "make one with `secondball rehearse`, or say whose serves: --opponent NAME",
        )),
    }
}

/// The serves of a plan, for balls without a session.
fn of_plan(deck: &Deck) -> Kept {
    let lines = deck.planned().zip(1..).map(|((serve, receive), number)| LogLine {
        number,
        serve: serve.id.clone(),
        receive: receive.clone(),
        balls: 0,
        up_to: None,
    });
    Kept {
        number: None,
        launcher: String::new(),
        deck: deck.key.clone(),
        opponent: deck.opponent.clone(),
        is_logged: false,
        day: None,
        seed: 0,
        lines: lines.collect(),
        written: Vec::new(),
        asked: String::new(),
    }
}

fn is_written(session: &Kept) -> Failure {
    Failure::request(
        format!(
            "{}, against {}, is written down already",
            session.shown(),
            text::one_line(&session.opponent)
        ),
        "--again writes it a second time; --opponent NAME with SERVE=16/20 needs no session",
    )
}

/// Several sessions wait, and nobody said which one was played.
fn which(others: &[Kept], last: &Kept) -> Failure {
    let mut waiting: Vec<&Kept> =
        others.iter().filter(|one| !one.is_logged).chain(std::iter::once(last)).collect();
    order::by_key(&mut waiting, |one| one.number);
    let shown: Vec<String> = waiting.into_iter().map(Kept::shown).collect();
    Failure::request(
        format!("{} wait for results: {}", text::count(shown.len(), "session"), shown.join("; ")),
        "say which, as its sheet does: --session NUMBER",
    )
}

/// Keeps what is written down of a session.
///
/// # Errors
/// The machine's own trouble.
pub(super) fn replace(home: &Home, session: &Kept) -> Result<(), Failure> {
    let mut sessions = kept(home)?;
    for one in sessions.iter_mut().filter(|one| one.number == session.number) {
        one.clone_from(session);
    }
    Ok(home.replace_ron(WAITING, &sessions)?)
}
