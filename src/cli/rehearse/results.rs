//! The results of a session: its log lines wait here until they are written down, whole or in parts.

use serde::{Deserialize, Serialize};

use crate::base::{Day, text};
use crate::cli::board::Record;
use crate::cli::{Failure, World};
use crate::deck::Deck;
use crate::journal::Fact;
use crate::rehearsal::{LogLine, Logged, Session, answered, is_by_serve, read_log};
use crate::store::{Home, Trouble};

/// Where the log lines of the last sessions wait for their results.
const WAITING: &str = "cache/rehearsals.ron";
/// Sessions kept there; those written down go first.
const MOST_KEPT: usize = 40;

/// What is typed behind `rehearse log`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Typed<'a> {
    /// The results.
    pub results: &'a [String],
    /// The session they belong to.
    pub session: Option<u32>,
    /// The log line the first of them is for.
    pub from: Option<u32>,
    /// Whose serves they are.
    pub opponent: Option<&'a str>,
    /// A second time.
    pub again: bool,
    /// Beside what a phone brought home.
    pub also: bool,
}

/// A session, as far as its results need it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Kept {
    /// Counts through the sessions of this home; none for the serves of a plan.
    number: Option<u32>,
    launcher: String,
    deck: String,
    opponent: String,
    is_logged: bool,
    /// The day it was made; none for the serves of a plan.
    day: Option<Day>,
    seed: u64,
    lines: Vec<LogLine>,
    /// The lines that are written down while others still wait.
    #[serde(default)]
    written: Vec<u32>,
    /// What was asked for, so that the same sheet comes again when it is asked for again.
    #[serde(default)]
    asked: String,
}

impl Kept {
    /// `session 3, feeder, Wed 25 Nov`.
    fn shown(&self) -> String {
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
    fn open(&self) -> impl Iterator<Item = &LogLine> {
        self.lines.iter().filter(|line| !self.is_logged && !self.written.contains(&line.number))
    }

    /// What of `numbers` is written down already, by number.
    fn already(&self, numbers: &[u32]) -> Vec<u32> {
        let is_open = |number: &u32| self.open().any(|line| line.number == *number);
        numbers.iter().copied().filter(|number| !is_open(number)).collect()
    }

    /// How many lines wait still, and how to write them down.
    fn rest(&self) -> Option<String> {
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
fn kept(home: &Home) -> Result<Vec<Kept>, Failure> {
    match home.read_ron::<Vec<Kept>>(WAITING) {
        Ok(kept) => Ok(kept.unwrap_or_default()),
        Err(Trouble::Findings(_)) => Ok(Vec::new()),
        Err(trouble) => Err(trouble.into()),
    }
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

/// Forgets an opponent without losing the sessions against others: what can be made again is deleted
/// then, and what was printed cannot.
pub(crate) fn keeping_others<T>(
    home: &Home,
    deck: &str,
    forget: impl FnOnce() -> Result<T, Failure>,
) -> Result<T, Failure> {
    let mut sessions = kept(home)?;
    sessions.retain(|one| one.deck != deck);
    let forgotten = forget()?;
    if !sessions.is_empty() {
        home.replace_ron(WAITING, &sessions)?;
    }
    Ok(forgotten)
}

/// The lines that wait for results: of the session that is named, of the only one that waits, or of a plan.
fn waiting(typed: &Typed<'_>, world: &World<'_>) -> Result<Kept, Failure> {
    let home = world.home()?;
    let mut sessions = kept(&home)?;
    if let Some(named) = typed.opponent {
        let (_, deck) = home.find_deck(named)?;
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
    waiting.sort_by_key(|one| one.number);
    let shown: Vec<String> = waiting.into_iter().map(Kept::shown).collect();
    Failure::request(
        format!("{} wait for results: {}", text::count(shown.len(), "session"), shown.join("; ")),
        "say which, as its sheet does: --session NUMBER",
    )
}

/// Writes results down; the lines of the session without one wait on.
pub(super) fn log(typed: &Typed<'_>, world: &mut World<'_>) -> Result<(), Failure> {
    let mut last = waiting(typed, world)?;
    let first = typed.from.unwrap_or(1);
    if !(1..=last.lines.len()).contains(&(first as usize)) {
        return Err(Failure::request(
            format!("there is no log line {first}, only 1 to {}", last.lines.len()),
            "the sheet numbers its log lines",
        ));
    }
    // From a line on, results go to the lines that wait, as they were told to wait.
    let skips = typed.from.is_some() && !typed.again;
    let lines: Vec<LogLine> = last.lines[first as usize - 1..]
        .iter()
        .filter(|line| line.number == first || !skips || last.already(&[line.number]).is_empty())
        .cloned()
        .collect();
    let logged = read_log(&lines, typed.results).map_err(|errors| {
        Failure::Findings(errors.iter().map(crate::rehearsal::LogError::finding).collect())
    })?;
    let given = answered(&lines, typed.results);
    let already = last.already(&given);
    // A serve by name stands for those of its lines that wait.
    let is_named = typed.results.iter().all(|result| is_by_serve(result));
    let is_twice = if is_named { already.len() == given.len() } else { !already.is_empty() };
    if is_twice && !typed.again {
        let rest = last.rest().map(|rest| format!("{rest}; ")).unwrap_or_default();
        let numbers: Vec<String> = already.iter().map(u32::to_string).collect();
        let noun = if numbers.len() == 1 { "line" } else { "lines" };
        return Err(Failure::request(
            format!("{}: {noun} {} written down already", last.shown(), text::and_list(&numbers)),
            format!("{rest}--again writes down a second time"),
        ));
    }
    let home = world.home()?;
    let day = world.now.day(home.player()?.rollover_hour);
    if !typed.also {
        refuse_counted_twice(&home, &last, &logged, day)?;
    }
    let mut writer = home.writer(world.now, day)?;
    for one in &logged {
        writer.append(world.now, day, one.fact(&last.deck))?;
    }
    drop(writer);
    if last.number.is_some() {
        last.written.extend(given);
        last.written.sort_unstable();
        last.written.dedup();
        let is_whole = last.open().next().is_none();
        last.is_logged = is_whole;
        let mut sessions = kept(&home)?;
        for one in sessions.iter_mut().filter(|one| one.number == last.number) {
            one.clone_from(&last);
        }
        home.replace_ron(WAITING, &sessions)?;
        let session = format!("Written down: {}", last.shown());
        writeln!(world.out, "{}", text::wrap(&session, world.width, "  "))?;
        if let Some(rest) = last.rest() {
            writeln!(world.out, "{}", text::wrap(&format!("  {rest}"), world.width, "  "))?;
        }
    } else {
        let waits = |one: &&Kept| one.deck == last.deck && !one.is_logged;
        let count = kept(&home)?.iter().filter(waits).count();
        if count > 0 {
            let wait = if count == 1 { "waits" } else { "wait" };
            let count = text::count(count, "session");
            writeln!(world.err, "{count} against them {wait} for results as before")?;
        }
    }
    writeln!(world.out, "Against {}", text::one_line(&last.opponent))?;
    for (serve, receive, sum) in by_answer(&logged) {
        let balls = sum.0 + sum.1 + sum.2;
        let wrong =
            if sum.2 > 0 { format!(", {} with another receive", sum.2) } else { String::new() };
        let share = f64::from(sum.0) * 100.0 / f64::from(balls.max(1));
        writeln!(
            world.out,
            "  {} {:>3}/{balls:<3} {share:>3.0} %{wrong}\n    {receive}",
            text::fit(&serve, 16),
            sum.0
        )?;
    }
    Ok(())
}

/// Balls that the phone's caller counted come home by themselves: typed in as well they would count twice.
fn refuse_counted_twice(
    home: &Home,
    last: &Kept,
    logged: &[Logged],
    day: Day,
) -> Result<(), Failure> {
    let since = last.day.unwrap_or(day);
    let counted: u32 = Record::read(home, day)?
        .recent
        .iter()
        .filter(|event| event.origin.is_some() && event.day >= since)
        .filter_map(|event| match &event.fact {
            Fact::Ball(ball) if ball.deck == last.deck => Some(ball),
            _ => None,
        })
        .filter(|ball| logged.iter().any(|one| one.serve == ball.serve))
        .map(|ball| ball.made + ball.missed + ball.wrong)
        .sum();
    if counted == 0 {
        return Ok(());
    }
    Err(Failure::request(
        format!(
            "a phone has brought {} of these serves home since {}",
            text::count(counted as usize, "ball"),
            since.spoken()
        ),
        "they count already; if these are other balls, add --also",
    ))
}

/// Made, missed and wrong by serve and receive, in order of appearance.
fn by_answer(logged: &[Logged]) -> Vec<(String, String, (u32, u32, u32))> {
    let mut sums: Vec<(String, String, (u32, u32, u32))> = Vec::new();
    for one in logged {
        let (serve, receive) = (one.serve.to_string(), one.receive.shown());
        let found = sums.iter().position(|(known, by, _)| *known == serve && *by == receive);
        let place = found.unwrap_or_else(|| {
            sums.push((serve, receive, (0, 0, 0)));
            sums.len() - 1
        });
        let sum = &mut sums[place].2;
        *sum = (sum.0 + one.made, sum.1 + one.missed, sum.2 + one.wrong);
    }
    sums
}
