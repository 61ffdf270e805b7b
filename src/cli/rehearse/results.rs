//! The results of a session, written down for the log lines that wait, or for the serves of a plan.

use clap::Args;

use crate::base::{Day, text};
use crate::cli::desk::Desk;
use crate::cli::rehearse::waiting::{ORIGIN, WaitingSession, kept, number_list, write_down};
use crate::cli::{Failure, World};
use crate::deck::Deck;
use crate::deck::editing::find_serve;
use crate::game::ServeId;
use crate::import::session_results::{Logged, is_by_serve, read_results};
use crate::journal::{self, Fact};
use crate::rehearsal::LogLine;

/// Write down how it went: made/balls for each log line, in order, or serve=made/balls
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball rehearse log --session 3 3/4 2/4 - 1/4/1\n\
        \x20 secondball rehearse log --opponent north short-fh=16/20")]
pub struct LogArguments {
    /// 16/20: 16 of 20 made; 16/20/1: one with another receive; - skips a line
    #[arg(required = true)]
    results: Vec<String>,
    /// The number of the session, as its sheet says; without it, the newest that waits
    #[arg(long, value_name = "NUMBER")]
    session: Option<u32>,
    /// The log line of the sheet that the first result is for; the lines before it wait on
    #[arg(long, value_name = "LINE")]
    from: Option<u32>,
    /// Whose serves; with each result named by its serve no session is needed
    #[arg(long, value_name = "NAME", conflicts_with = "session")]
    opponent: Option<String>,
    /// Write the same session, or the same results of a day, down a second time
    #[arg(long)]
    again: bool,
    /// Write them down beside the balls that a phone brought home since the session was made
    #[arg(long)]
    also: bool,
}

impl LogArguments {
    /// Whether every result names its serve.
    fn is_by_serve(&self) -> bool {
        self.results.iter().all(|result| is_by_serve(result))
    }
}

/// Writes results down; the lines of the session without one wait on.
pub(super) fn log(typed: &LogArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let mut session = chosen(typed, desk)?;
    let lines = lines_from(&session, typed)?;
    let deck = deck_of(&session, desk)?;
    let results = with_ids(typed, deck.as_ref())?;
    let called = |id: &ServeId| deck.as_ref().map_or(id.to_string(), |deck| deck.called(id));
    let (logged, given) = read_results(&lines, &results, &called).map_err(Failure::Findings)?;
    if !typed.again {
        refuse_twice(&session, typed, &given)?;
    }
    let (home, day) = (desk.home()?, desk.today()?);
    if !typed.also {
        refuse_counted_twice(desk, &session, &logged, day)?;
    }
    let mut writer = desk.writer(world)?;
    // What is here of a writing that was cut off is not written twice.
    let written = home.origins()?;
    let is_written = |origin: &String| written.contains_key(origin);
    let of_session = logged.iter().map(|one| session.origin(one.line, typed.again));
    let origins = match of_session.collect() {
        Some(origins) => origins,
        None => origins_by_serve(&session.deck, typed, logged.len(), day, is_written)?,
    };
    for (one, origin) in logged.iter().zip(&origins).filter(|(_, origin)| !is_written(origin)) {
        let (at_ms, fact) = (world.now.epoch_ms(), one.fact(&session.deck));
        writer.append_from(Some(origin), at_ms, day, fact)?;
    }
    writer.sync()?;
    drop(writer);
    if session.number.is_some() {
        write_down(home, &mut session, given, typed.again)?;
        world.say(&format!("Written down: {}", session.shown()), "  ")?;
        if let Some(rest) = session.rest() {
            world.say(&format!("  {rest}"), "  ")?;
        }
    } else {
        let waits = |one: &&WaitingSession| one.deck == session.deck && one.waits(day);
        let count = kept(home)?.iter().filter(waits).count();
        if count > 0 {
            let wait = if count == 1 { "waits" } else { "wait" };
            let count = text::count(count, "session");
            writeln!(world.err, "{count} against them {wait} for results as before")?;
        }
    }
    writeln!(world.out, "Against {}", text::one_line(&session.opponent))?;
    for sum in sums(logged) {
        writeln!(world.out, "{}", shown(&sum, &called(&sum.serve)))?;
    }
    Ok(())
}

/// Where results without a session come from: the words of a day, and which of them. What is there
/// of these in part was cut off and is finished; what is there wholly is refused, or begun again.
fn origins_by_serve(
    deck: &str,
    typed: &LogArguments,
    count: usize,
    day: Day,
    is_written: impl Fn(&String) -> bool,
) -> Result<Vec<String>, Failure> {
    let words = typed.results.join(" ");
    let round = |time: u32| -> Vec<String> {
        let origin = |place| format!("{ORIGIN}of {day}, {deck}, {words}, {place} of time {time}");
        (1..=count).map(origin).collect()
    };
    let open = |origins: &Vec<String>| origins.is_empty() || !origins.iter().all(&is_written);
    let first = round(1);
    if open(&first) {
        return Ok(first);
    }
    if !typed.again {
        return Err(Failure::request(
            "the same results were written down today already",
            "--again writes them down a second time",
        ));
    }
    Ok((2..=u32::MAX).map(round).find(open).unwrap_or_default())
}

/// The lines that results are for. From a line on, they go to the lines that wait, as `rest` names
/// them.
fn lines_from(session: &WaitingSession, typed: &LogArguments) -> Result<Vec<LogLine>, Failure> {
    let first = typed.from.unwrap_or(1);
    let count = session.lines.len();
    if !(1..=count).contains(&(first as usize)) {
        return Err(Failure::request(
            format!("there is no log line {first}, only 1 to {count}"),
            "the sheet numbers its log lines",
        ));
    }
    let skips = typed.from.is_some() && !typed.again;
    let is_wanted = |line: &&LogLine| {
        line.number == first || !skips || session.already(&[line.number]).is_empty()
    };
    Ok(session.lines[first as usize - 1..].iter().filter(is_wanted).cloned().collect())
}

/// Refuses lines that are written down already; a serve by name stands for those of its lines that
/// wait.
fn refuse_twice(
    session: &WaitingSession,
    typed: &LogArguments,
    given: &[u32],
) -> Result<(), Failure> {
    let already = session.already(given);
    if already.is_empty() || typed.is_by_serve() && already.len() < given.len() {
        return Ok(());
    }
    let rest = session.rest().map(|rest| format!("{rest}; ")).unwrap_or_default();
    let noun = if already.len() == 1 { "line" } else { "lines" };
    let numbers = number_list(&already);
    Err(Failure::request(
        format!("{}: {noun} {numbers} written down already", session.shown()),
        format!("{rest}--again writes down a second time"),
    ))
}

/// Balls that the phone's caller counted come home by themselves: typed in as well they would count
/// twice.
fn refuse_counted_twice(
    desk: &Desk,
    session: &WaitingSession,
    logged: &[Logged],
    day: Day,
) -> Result<(), Failure> {
    let since = session.day.unwrap_or(day);
    let is_its = |ball: &journal::Ball| {
        ball.deck == session.deck && logged.iter().any(|one| one.serve == ball.serve)
    };
    let brought = desk.journal()?.recent().iter();
    let counted = brought
        .filter(|event| event.day >= since && is_brought(event))
        .map(|event| match &event.fact {
            Fact::Ball(ball) if is_its(ball) => ball.balls(),
            _ => 0,
        })
        .fold(0, u32::saturating_add);
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

/// Whether a phone brought an event; a session's own results come from its sheet.
fn is_brought(event: &journal::Event) -> bool {
    event.origin.as_ref().is_some_and(|origin| !origin.starts_with(ORIGIN))
}

/// The sums by serve and receive, in order of appearance.
fn sums(logged: Vec<Logged>) -> Vec<Logged> {
    let mut sums: Vec<Logged> = Vec::new();
    for one in logged {
        let is_its = |sum: &&mut Logged| {
            sum.serve == one.serve && sum.receive.shown() == one.receive.shown()
        };
        if let Some(sum) = sums.iter_mut().find(is_its) {
            sum.made += one.made;
            sum.missed += one.missed;
            sum.wrong += one.wrong;
        } else {
            sums.push(one);
        }
    }
    sums
}

fn shown(sum: &Logged, called: &str) -> String {
    let (made, balls) = (sum.made, sum.balls());
    let wrong = match sum.wrong {
        0 => String::new(),
        wrong => format!(", {wrong} with another receive"),
    };
    let share = f64::from(made) * 100.0 / f64::from(balls.max(1));
    let serve = text::fit(called, 24);
    let receive = sum.receive.shown();
    format!("  {serve} {made:>3}/{balls:<3} {share:>3.0} %{wrong}\n    {receive}")
}

/// The deck of a session, as the player meets it; none when it is gone.
fn deck_of(session: &WaitingSession, desk: &Desk) -> Result<Option<Deck>, Failure> {
    let hand = desk.player()?.hand;
    let mut decks = desk.decks()?.read.iter();
    let known = decks.find(|(_, deck)| deck.key == session.deck);
    Ok(known.map(|(_, deck)| deck.seen_by(hand)))
}

/// The results as they are typed, with the id of each serve that is named.
fn with_ids(typed: &LogArguments, deck: Option<&Deck>) -> Result<Vec<String>, Failure> {
    let with_id = |result: &String| match (deck, result.split_once('=')) {
        (Some(deck), Some((serve, counts))) => {
            Ok(format!("{}={counts}", find_serve(deck, serve.trim())?))
        }
        _ => Ok(result.clone()),
    };
    typed.results.iter().map(with_id).collect()
}

/// What the results are for: the session that is named, the newest that waits, or the serves of a
/// plan.
fn chosen(typed: &LogArguments, desk: &Desk) -> Result<WaitingSession, Failure> {
    let (mut sessions, today) = (kept(desk.home()?)?, desk.today()?);
    let shown = |sessions: &[WaitingSession]| {
        sessions.iter().map(WaitingSession::shown).collect::<Vec<_>>().join("; ")
    };
    if let Some(number) = typed.session {
        if let Some(found) = sessions.iter().find(|one| one.number == Some(number)) {
            let is_open = !found.is_logged || typed.again;
            return if is_open { Ok(found.clone()) } else { Err(is_written(found)) };
        }
        sessions.retain(|one| one.waits(today));
        let hint = match sessions[..] {
            [] => to_make_one(desk)?.to_owned(),
            _ => format!("there is {}", shown(&sessions)),
        };
        return Err(Failure::request(format!("no session {number} waits for results"), hint));
    }
    let mut plan = None;
    if let Some(named) = &typed.opponent {
        let (_, deck) = desk.opponent(Some(named))?;
        sessions.retain(|one| one.deck == deck.key);
        plan = Some(WaitingSession::for_plan(&deck));
    }
    if let Some(plan) = plan.take_if(|_| typed.is_by_serve()) {
        return Ok(plan);
    }
    let played_last = sessions.last().cloned();
    if !typed.again {
        sessions.retain(|one| one.waits(today));
    }
    sessions.pop().map_or_else(
        || {
            let make = to_make_one(desk)?;
            let none_waits = || Failure::request("no session waits for its results", make);
            plan.ok_or_else(|| played_last.as_ref().map_or_else(none_waits, is_written))
        },
        Ok,
    )
}

/// How a session comes to be.
fn to_make_one(desk: &Desk) -> Result<&'static str, Failure> {
    let has_plan = desk.decks()?.read.iter().any(|(_, deck)| deck.planned().next().is_some());
    Ok(if has_plan {
        "make one with `secondball rehearse`, or say whose serves: --opponent NAME"
    } else {
        "there is no plan to rehearse yet: `secondball` says what comes first"
    })
}

fn is_written(session: &WaitingSession) -> Failure {
    let (is_logged, number) = (session.is_logged, session.number.unwrap_or_default());
    let (session, opponent) = (session.shown(), text::one_line(&session.opponent));
    if !is_logged {
        return Failure::request(
            format!("{session}, against {opponent}, is too long ago to be meant"),
            format!("--session {number} writes it down all the same"),
        );
    }
    Failure::request(
        format!("{session}, against {opponent}, is written down already"),
        "--again writes it a second time; --opponent NAME with SERVE=16/20 needs no session",
    )
}
