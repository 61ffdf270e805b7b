//! `rehearse`: a session at the table for the launcher the player has, and its results brought back.

use std::collections::BTreeMap;
use std::path::PathBuf;

use clap::{Args, Subcommand};
use serde::{Deserialize, Serialize};

use crate::base::{Day, Finding, text};
use crate::cli::board::{Board, Record};
use crate::cli::{Failure, World, launcher, plan};
use crate::journal::Fact;
use crate::page::sheet_html::Paper;
use crate::page::{rehearsal, rehearsal_html, rehearsal_json, rehearsal_rows};
use crate::rehearsal::{
    Length, LogLine, Logged, Phase, RehearsalError, Request, Session, Volumes, enter, read_log,
    rehearse,
};
use crate::store::{Home, Trouble, write_page};

/// Where the log lines of the last sessions wait for their results.
const WAITING: &str = "cache/rehearsals.ron";
/// Sessions kept there.
const MOST_WAITING: usize = 12;

/// A session at the table, ball by ball, for your launcher or a person
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n  secondball rehearse --opponent north --launcher fixed --balls 60\n  secondball rehearse --launcher feeder --minutes 40 --html calls.html --switch \"long push\"\n  secondball rehearse log 16/20 14/18"
)]
pub struct RehearseArguments {
    /// Bring a session's results back
    #[command(subcommand)]
    pub then: Option<Then>,
    /// The opponent: name or file; the only one when there is one
    #[arg(long, value_name = "NAME")]
    pub opponent: Option<String>,
    /// One of yours, or fixed, oscillating, per-ball, feeder, partner
    #[arg(long, value_name = "NAME")]
    pub launcher: Option<String>,
    /// Balls to receive
    #[arg(long, value_name = "NUMBER")]
    pub balls: Option<u32>,
    /// Minutes it may take, warm-up not counted
    #[arg(long, allow_negative_numbers = true, value_parser = crate::cli::arguments::number, value_name = "NUMBER")]
    pub minutes: Option<f64>,
    /// Only this phase: groove, vary or match-like (may be repeated)
    #[arg(long, value_name = "PHASE")]
    pub phase: Vec<Phase>,
    /// Call this switch in the middle of a switch round
    #[arg(long, value_name = "NAME")]
    pub switch: Option<String>,
    /// Volumes for a player under twelve
    #[arg(long, conflicts_with = "eve")]
    pub under_twelve: bool,
    /// Volumes for the evening before a match
    #[arg(long)]
    pub eve: bool,
    /// Write every ball as a row of CSV; - prints it
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write the sheet to a file instead of printing it
    #[arg(long, value_name = "FILE")]
    pub text: Option<PathBuf>,
    /// Write a page to print: the set-up drawn, blocks, boxes for the results
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// The paper of the page: a4, letter or a6
    #[arg(long, value_name = "PAPER", default_value = "a4")]
    pub paper: Paper,
    /// Print the session as JSON
    #[arg(long)]
    pub json: bool,
}

/// What to do with a session.
#[derive(Debug, Subcommand)]
pub enum Then {
    /// Write down how it went: made/balls for each log line, in order, or serve=made/balls
    #[command(
        after_help = "Examples:\n  secondball rehearse log --session 3 16/20 14/18 - 9/12/1\n  secondball rehearse log --opponent north bh-short-fh=16/20"
    )]
    Log {
        /// 16/20: 16 of 20 made; 16/20/1: one with another receive; - skips a line
        #[arg(required = true, allow_hyphen_values = true)]
        results: Vec<String>,
        /// The number of the session, as its sheet says; without it, the only one that waits
        #[arg(long, value_name = "NUMBER")]
        session: Option<u32>,
        /// Another opponent than the last session's; results are then for the serves of the plan
        #[arg(long, value_name = "NAME", conflicts_with = "session")]
        opponent: Option<String>,
        /// Write the same session down a second time
        #[arg(long)]
        again: bool,
        /// Write them down beside the balls that a phone brought home since the session was made
        #[arg(long)]
        also: bool,
    },
}

/// A session, as far as its results need it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Kept {
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

    /// Whether this is the same sheet printed once more.
    fn is_same_sheet(&self, other: &Self) -> bool {
        *self
            == Self {
                number: self.number,
                day: self.day,
                is_logged: self.is_logged,
                ..other.clone()
            }
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

/// Keeps a session's lines for its results; the number it is kept under.
fn keep(home: &Home, session: &Session, day: Day) -> Result<u32, Failure> {
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
    };
    if let Some(place) = sessions.iter().position(|one| one.is_same_sheet(&new)) {
        new.number = sessions.remove(place).number.or(new.number);
    }
    let number = new.number.unwrap_or(next);
    sessions.push(new);
    let first = sessions.len().saturating_sub(MOST_WAITING);
    home.replace_ron(WAITING, &sessions.split_off(first))?;
    Ok(number)
}

impl From<RehearsalError> for Failure {
    fn from(error: RehearsalError) -> Self {
        Self::request(error.to_string(), error.hint())
    }
}

/// Makes a session, or writes its results down.
///
/// # Errors
/// [`Failure`] when there is no such opponent, launcher or switch, or nothing can be rehearsed.
pub fn run(arguments: &RehearseArguments, world: &mut World<'_>) -> Result<(), Failure> {
    if let Some(Then::Log { results, session, opponent, again, also }) = &arguments.then {
        return log(results, (*session, opponent.as_deref()), (*again, *also), world);
    }
    let mut session = make(arguments, world)?;
    let home = world.home()?;
    let day = world.now.day(home.player()?.rollover_hour);
    session.number = Some(keep(&home, &session, day)?);
    show(arguments, &session, world)
}

/// The session that is asked for.
pub(super) fn make(
    arguments: &RehearseArguments,
    world: &mut World<'_>,
) -> Result<Session, Failure> {
    let board = Board::load(world)?;
    let (_, deck) = world.opponent(arguments.opponent.as_deref())?;
    let launcher = launcher::find(arguments.launcher.as_deref(), world)?;
    let deck = deck.seen_by(board.player.hand);
    let switch = match &arguments.switch {
        None => None,
        Some(name) => Some(deck.switch(name).ok_or_else(|| {
            let known: Vec<&str> =
                deck.switches.iter().map(|switch| switch.name.as_str()).collect();
            let hint = match (text::closest(name, &known), known.is_empty()) {
                (_, true) => format!("the deck has none yet: {}", plan::to_add_switch(&deck)),
                (Some(meant), _) => format!("did you mean `{meant}`?"),
                (None, _) => format!("the deck has {}", text::and_list(&known)),
            };
            Failure::request(format!("no switch `{name}`"), hint)
        })?),
    };
    let on = board.player.next_event(board.today).map_or(board.today, |event| event.day);
    let weakness: BTreeMap<_, _> = deck
        .planned()
        .map(|(serve, receive)| {
            let key = deck.pattern(&serve.id, receive);
            let weak = 1.0 - board.recall(&key, on);
            (key, weak)
        })
        .collect();
    let volumes = if arguments.under_twelve {
        Volumes::under_twelve()
    } else if arguments.eve {
        Volumes::eve()
    } else {
        Volumes::adult()
    };
    let mut session = rehearse(&Request {
        deck: &deck,
        player: board.player.hand,
        switch,
        weakness: &weakness,
        launcher: &launcher,
        phases: &arguments.phase,
        length: Length { balls: arguments.balls, minutes: arguments.minutes },
        volumes,
        seed: world.seed,
    })?;
    let (constants, _) = launcher::fly::own_table(world)?;
    enter(&mut session, &launcher, &constants);
    Ok(session)
}

fn show(
    arguments: &RehearseArguments,
    session: &Session,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let mut is_printed = arguments.json;
    if let Some(file) = &arguments.csv {
        let rows = rehearsal_rows::csv(session)
            .map_err(|error| Failure::from(Finding::error(error.to_string())))?;
        if file.as_os_str() == "-" {
            write!(world.out, "{rows}")?;
            is_printed = true;
        } else {
            write_page(file, &rows)?;
            writeln!(world.err, "wrote {}", file.display())?;
        }
    }
    if arguments.json {
        write!(world.out, "{}", rehearsal_json::json(session))?;
    }
    let units = world.home()?.player()?.units;
    if let Some(file) = &arguments.html {
        let page = rehearsal_html::html(session, arguments.paper, units)
            .map_err(|error| Failure::from(Finding::error(error.to_string())))?;
        write_page(file, &page)?;
        writeln!(world.err, "wrote {}, to print on {}", file.display(), arguments.paper)?;
        is_printed = true;
    }
    if let Some(file) = &arguments.text {
        write_page(file, &rehearsal::session_in(session, 80, units))?;
        writeln!(world.err, "wrote {}", file.display())?;
    } else if !is_printed {
        write!(world.out, "{}", rehearsal::session_in(session, world.width, units))?;
    }
    Ok(())
}

/// The lines that wait for results: of the session that is named, of the only one that waits, or of a plan.
fn waiting(
    (number, opponent): (Option<u32>, Option<&str>),
    again: bool,
    world: &World<'_>,
) -> Result<Kept, Failure> {
    let home = world.home()?;
    let mut sessions = kept(&home)?;
    if let Some(named) = opponent {
        let (_, deck) = home.find_deck(named)?;
        sessions.retain(|one| one.deck == deck.key && (again || !one.is_logged));
        return match sessions.pop() {
            Some(last) if sessions.iter().all(|one| one.is_logged) => Ok(last),
            Some(last) => Err(which(&sessions, &last)),
            None => Ok(of_plan(&deck)),
        };
    }
    if let Some(number) = number {
        let Some(found) = sessions.iter().find(|one| one.number == Some(number)) else {
            let known: Vec<String> = sessions.iter().map(Kept::shown).collect();
            let hint = if known.is_empty() {
                "make one with `secondball rehearse`".to_owned()
            } else {
                format!("there is {}", known.join("; "))
            };
            return Err(Failure::request(format!("no session {number} waits for results"), hint));
        };
        return if found.is_logged && !again { Err(is_written(found)) } else { Ok(found.clone()) };
    }
    let Some(last) = sessions.pop() else {
        return Err(Failure::request(
            "no session waits for its results",
            "make one with `secondball rehearse`, or say whose serves: --opponent NAME",
        ));
    };
    if !again && last.is_logged {
        return Err(is_written(&last));
    }
    if !again && sessions.iter().any(|one| !one.is_logged) {
        return Err(which(&sessions, &last));
    }
    Ok(last)
}

/// The serves of a plan, for balls without a session.
fn of_plan(deck: &crate::deck::Deck) -> Kept {
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
    }
}

fn is_written(session: &Kept) -> Failure {
    Failure::request(
        format!(
            "{}, against {}, is written down already",
            session.shown(),
            text::one_line(&session.opponent)
        ),
        "--again writes it a second time; --opponent NAME needs no session",
    )
}

/// Several sessions wait, and nobody said which one was played.
fn which(others: &[Kept], last: &Kept) -> Failure {
    let waiting = others.iter().filter(|one| !one.is_logged).chain(std::iter::once(last));
    let shown: Vec<String> = waiting.map(Kept::shown).collect();
    Failure::request(
        format!("{} wait for results: {}", text::count(shown.len(), "session"), shown.join("; ")),
        "say which, as its sheet does: --session NUMBER",
    )
}

fn log(
    results: &[String],
    which: (Option<u32>, Option<&str>),
    (again, also): (bool, bool),
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let last = waiting(which, again, world)?;
    let logged = read_log(&last.lines, results).map_err(|errors| {
        Failure::Findings(errors.iter().map(crate::rehearsal::LogError::finding).collect())
    })?;
    let home = world.home()?;
    let day = world.now.day(home.player()?.rollover_hour);
    if !also {
        refuse_counted_twice(&home, &last, &logged, day)?;
    }
    let mut writer = home.writer(world.now, day)?;
    for one in &logged {
        writer.append(world.now, day, one.fact(&last.deck))?;
    }
    drop(writer);
    if last.number.is_some() {
        let mut sessions = kept(&home)?;
        let place = sessions.iter().position(|one| one.number == last.number).unwrap_or(0);
        let later = sessions.split_off(place);
        // What was printed before and never written down was not played.
        sessions.retain(|one| one.is_logged);
        sessions.extend(later);
        for one in sessions.iter_mut().filter(|one| one.number == last.number) {
            one.is_logged = true;
        }
        home.replace_ron(WAITING, &sessions)?;
        let session = format!("Written down: {}", last.shown());
        writeln!(world.out, "{}", text::wrap(&session, world.width, "  "))?;
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
