//! The sessions whose sheets were printed: their log lines wait here until they are written down,
//! whole or in parts.

use serde::{Deserialize, Serialize};

use crate::base::{Day, text};
use crate::cli::Failure;
use crate::deck::Deck;
use crate::rehearsal::{LogLine, Session};
use crate::store::{Home, Trouble};

/// Where the log lines of the last sessions wait for their results: a printed sheet names its
/// session, so this is not one of the files that can be made again.
const WAITING: &str = "rehearsals.ron";
/// Where they once waited.
const ONCE_WAITING: &str = "cache/rehearsals.ron";
/// Sessions kept there; those written down go first.
const MOST_KEPT: usize = 40;

/// A session, as far as its results need it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub(super) struct WaitingSession {
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

impl WaitingSession {
    /// The serves of a plan, for balls without a session.
    pub fn for_plan(deck: &Deck) -> Self {
        let lines = deck.planned().zip(1..).map(|((serve, receive), number)| LogLine {
            number,
            serve: serve.id.clone(),
            receive: receive.clone(),
            balls: 0,
            up_to: None,
        });
        Self {
            deck: deck.key.clone(),
            opponent: deck.opponent.clone(),
            lines: lines.collect(),
            ..Self::default()
        }
    }

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

    /// Whether this is the new sheet, of which nothing is written down, printed once before.
    fn is_same_sheet(&self, other: &Self) -> bool {
        *self
            == Self {
                number: self.number,
                day: self.day,
                asked: self.asked.clone(),
                ..other.clone()
            }
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
        let (number, first) = (self.number?, self.open().next()?);
        let which = match open[..] {
            [only] => format!("line {only} waits"),
            [from, .., to] if (to - from) as usize + 1 == open.len() => {
                format!("lines {from} to {to} wait")
            }
            _ => format!("lines {} wait", number_list(&open)),
        };
        Some(format!(
            "{0} of {1} lines; {which}: `secondball rehearse log --session {number} --from {2} {3}/{3}`, \
             or - for a line that was not played",
            self.lines.len() - open.len(),
            self.lines.len(),
            first.number,
            first.balls
        ))
    }

    /// Keeps in mind that these lines are written down.
    pub fn write_down(&mut self, numbers: Vec<u32>) {
        self.written.extend(numbers);
        self.written.sort_unstable();
        self.written.dedup();
        let is_whole = self.open().next().is_none();
        self.is_logged = is_whole;
    }
}

/// `1, 2 and 5`.
pub(super) fn number_list(numbers: &[u32]) -> String {
    text::and_list(&numbers.iter().map(u32::to_string).collect::<Vec<_>>())
}

/// The sessions that were made last, oldest first. A file of an older form is as good as none.
pub(super) fn kept(home: &Home) -> Result<Vec<WaitingSession>, Failure> {
    for file in [WAITING, ONCE_WAITING] {
        match home.read_ron::<Vec<WaitingSession>>(file) {
            Ok(Some(kept)) => return Ok(kept),
            Ok(None) | Err(Trouble::Findings(_)) => {}
            Err(trouble) => return Err(trouble.into()),
        }
    }
    Ok(Vec::new())
}

/// The seed of the sheet of today that was asked for in the same words and waits untouched.
pub(super) fn seed_of(home: &Home, asked: &str, day: Day) -> Result<Option<u64>, Failure> {
    let is_it =
        |one: &WaitingSession| one.asked == asked && one.day == Some(day) && one.is_untouched();
    Ok(kept(home)?.into_iter().rev().find(is_it).map(|one| one.seed))
}

/// Keeps a session's lines for its results; the number it is kept under.
pub(super) fn keep(
    home: &Home,
    session: &Session,
    day: Day,
    asked: String,
) -> Result<u32, Failure> {
    let new = WaitingSession {
        launcher: session.launcher.name.clone(),
        deck: session.deck.clone(),
        opponent: session.opponent.clone(),
        day: Some(day),
        seed: session.seed,
        lines: session.log(),
        asked,
        ..WaitingSession::default()
    };
    change(home, |sessions| {
        let next = sessions.iter().filter_map(|one| one.number).max().unwrap_or(0) + 1;
        let again = sessions.iter().position(|one| one.is_same_sheet(&new));
        let number = again.and_then(|place| sessions.remove(place).number).unwrap_or(next);
        sessions.push(WaitingSession { number: Some(number), ..new });
        while sessions.len() > MOST_KEPT {
            let last = sessions.len() - 1;
            let played = sessions[..last].iter().position(|one| one.is_logged);
            sessions.remove(played.unwrap_or(0));
        }
        number
    })
}

/// Changes the sessions that wait; where there are none, none are written.
fn change<T>(home: &Home, how: impl FnOnce(&mut Vec<WaitingSession>) -> T) -> Result<T, Failure> {
    let mut sessions = kept(home)?;
    let had_none = sessions.is_empty();
    let changed = how(&mut sessions);
    if !(had_none && sessions.is_empty()) {
        home.replace_ron(WAITING, &sessions)?;
    }
    Ok(changed)
}

/// Drops the sessions against an opponent who is forgotten; sheets against others wait on.
///
/// # Errors
/// The machine's own trouble.
pub(crate) fn drop_sessions(home: &Home, deck: &str) -> Result<(), Failure> {
    change(home, |sessions| sessions.retain(|one| one.deck != deck))
}

/// Keeps what is written down of a session.
///
/// # Errors
/// The machine's own trouble.
pub(super) fn replace(home: &Home, session: &WaitingSession) -> Result<(), Failure> {
    change(home, |sessions| {
        if let Some(its) = sessions.iter_mut().find(|one| one.number == session.number) {
            its.clone_from(session);
        }
    })
}
