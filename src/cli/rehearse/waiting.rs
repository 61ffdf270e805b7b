//! The sessions whose sheets were printed: their log lines wait here until they are written down,
//! whole or in parts.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::base::{Day, Finding, text};
use crate::cli::{Failure, World};
use crate::deck::Deck;
use crate::deck::advice::Judged;
use crate::rehearsal::{LogLine, Session};
use crate::store::{Compared, Difference, FileCopy, Home, Trouble};

/// Where the log lines of the last sessions wait for their results: a printed sheet names its
/// session, so this is not one of the files that can be made again.
const WAITING: &str = "rehearsals.ron";
/// Where they once waited.
const ONCE_WAITING: &str = "cache/rehearsals.ron";
/// How the origin of a written-down result begins.
pub(super) const ORIGIN: &str = "session ";
/// Days after which a session is only written down by its number.
const WAITING_DAYS: i64 = 14;
/// Sessions kept there; those written down go first.
const MOST_KEPT: usize = 40;

/// A session, as far as its results need it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
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
    /// How often it was written down again on purpose.
    #[serde(default)]
    again: u32,
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

    /// Where the result of a line comes from, by which it is known when its writing was cut off;
    /// none for the serves of a plan.
    pub fn origin(&self, line: u32, again: bool) -> Option<String> {
        let (number, day) = (self.number?, self.day?);
        let round = if again { format!(", again {}", self.again + 1) } else { String::new() };
        Some(format!("{ORIGIN}{number} of {day}, {}, line {line}{round}", self.seed))
    }

    /// Whether results are still looked for: with the days nobody brings them any more.
    pub fn waits(&self, today: Day) -> bool {
        let is_faded = self.day.is_some_and(|day| today.days_since(day) > WAITING_DAYS);
        !self.is_logged && !is_faded
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

    /// Whether this is the same sheet, with other results perhaps.
    fn is_beside(&self, other: &Self) -> bool {
        let Self { is_logged, written, .. } = other.clone();
        *other == Self { is_logged, written, ..self.clone() }
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
    fn write_down(&mut self, numbers: Vec<u32>) {
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

/// The sessions that were made last, oldest first.
///
/// # Errors
/// Mistakes in their file; the machine's own trouble.
pub(super) fn kept(home: &Home) -> Result<Vec<WaitingSession>, Failure> {
    if let Some(kept) = home.judged(WAITING, judge)? {
        return Ok(kept.value);
    }
    match home.read_ron(ONCE_WAITING) {
        // What is kept there can be made again.
        Ok(None) | Err(Trouble::Findings(_)) => Ok(Vec::new()),
        kept => Ok(kept?.unwrap_or_default()),
    }
}

/// The session made last among those that wait, in words.
pub(crate) fn newest(home: &Home, today: Day) -> Option<String> {
    let kept = kept(home).unwrap_or_default();
    kept.iter().rev().find(|one| one.waits(today)).map(WaitingSession::shown)
}

/// Whether no result with this launcher is written down yet.
pub(super) fn is_new(home: &Home, launcher: &str) -> bool {
    let kept = kept(home).unwrap_or_default();
    kept.iter().all(|one| one.launcher != launcher || one.is_untouched())
}

/// What is not right in the file of the sessions that wait.
pub(crate) fn check(home: &Home) -> Vec<Finding> {
    home.check_file(WAITING, judge)
}

/// The sessions that wait beside a copy of them.
pub(crate) fn compared(home: &Home, copy: &FileCopy) -> Result<Compared, Trouble> {
    home.compared(copy, judge, Some(joined))
}

/// The sessions of both. A sheet printed on another device may have the number of one here: it gets
/// the next.
#[expect(clippy::ptr_arg, reason = "the type that stands in the file")]
fn joined(
    mine: &Vec<WaitingSession>,
    theirs: &Vec<WaitingSession>,
) -> (Vec<WaitingSession>, Vec<Difference>) {
    let (mut both, mut apart) = (mine.clone(), Vec::new());
    let mut next = mine.iter().chain(theirs).filter_map(|one| one.number).max().unwrap_or(0) + 1;
    for one in theirs {
        let mut difference = Difference { path: vec![one.shown()], mine: None, theirs: None };
        if let Some(own) = both.iter_mut().find(|own| own.is_beside(one)) {
            let had = own.written.len();
            own.write_down(one.written.clone());
            if one.is_logged && !own.is_logged || own.written.len() > had {
                own.is_logged |= one.is_logged;
                difference.theirs = Some("more results are written down".to_owned());
                apart.push(difference);
            }
            continue;
        }
        let is_taken = both.iter().any(|own| own.number == one.number);
        let number = if is_taken { Some(next) } else { one.number };
        difference.theirs = Some(if is_taken {
            next += 1;
            format!("joined it is session {}: write that on its sheet", next - 1)
        } else {
            "another sheet".to_owned()
        });
        apart.push(difference);
        both.push(WaitingSession { number, ..one.clone() });
    }
    (both, apart)
}

/// Two sessions of one number: results would go to the first.
#[expect(clippy::ptr_arg, reason = "the type that stands in the file")]
fn judge(sessions: &Vec<WaitingSession>) -> Vec<Judged> {
    let mut seen = BTreeSet::new();
    let twice = sessions.iter().filter(|one| !seen.insert(one.number));
    let said = |one: &WaitingSession| Judged {
        path: Vec::new(),
        finding: Finding::warning(format!("{} has the number of another one", one.shown()))
            .hint("write its results down with --opponent NAME, each with its serve"),
    };
    twice.map(said).collect()
}

/// The seed of the sheet of today that was asked for in the same words and waits untouched.
pub(super) fn seed_of(home: &Home, asked: &str, day: Day) -> Option<u64> {
    let is_it =
        |one: &WaitingSession| one.asked == asked && one.day == Some(day) && one.is_untouched();
    let kept = kept(home).unwrap_or_default();
    kept.into_iter().rev().find(is_it).map(|one| one.seed)
}

/// Keeps a session's lines for its results; the number it is kept under.
pub(super) fn keep(
    home: &Home,
    session: &Session,
    day: Day,
    asked: String,
    world: &mut World<'_>,
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
    // What cannot be read is never written over.
    let begun_anew = |unread| match unread {
        Failure::Findings(_) => {
            world.tell([&home.move_aside(WAITING)?])?;
            Ok(Vec::new())
        }
        other => Err(other),
    };
    change(home, begun_anew, |sessions| {
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

/// Changes the sessions that wait, under the lock; where there are none, none are written.
fn change<T>(
    home: &Home,
    unread: impl FnOnce(Failure) -> Result<Vec<WaitingSession>, Failure>,
    how: impl FnOnce(&mut Vec<WaitingSession>) -> T,
) -> Result<T, Failure> {
    let _lock = home.lock()?;
    let mut sessions = kept(home).or_else(unread)?;
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
/// Mistakes in the file of the sessions; the machine's own trouble.
pub(crate) fn drop_sessions(home: &Home, deck: &str) -> Result<(), Failure> {
    change(home, Err, |sessions| sessions.retain(|one| one.deck != deck))
}

/// Keeps in mind that these lines of a session are written down, beside those that others have
/// written down meanwhile.
///
/// # Errors
/// As [`drop_sessions`].
pub(super) fn write_down(
    home: &Home,
    session: &mut WaitingSession,
    numbers: Vec<u32>,
    again: bool,
) -> Result<(), Failure> {
    change(home, Err, |sessions| {
        let mut its = sessions.iter_mut().find(|one| one.number == session.number);
        if let Some(its) = &its {
            session.written.clone_from(&its.written);
        }
        session.write_down(numbers);
        session.again += u32::from(again);
        if let Some(its) = &mut its {
            its.clone_from(session);
        }
    })
}
