//! `rehearse`: a session at the table for the launcher the player has, and its results brought back.

use std::collections::BTreeMap;
use std::path::PathBuf;

use clap::{Args, Subcommand};
use serde::{Deserialize, Serialize};

use crate::base::{Day, Finding, text};
use crate::cli::board::{Board, Record};
use crate::cli::{Failure, World, launcher};
use crate::journal::Fact;
use crate::page::sheet_html::Paper;
use crate::page::{rehearsal, rehearsal_html, rehearsal_json, rehearsal_rows};
use crate::rehearsal::{
    Length, LogLine, Logged, Phase, RehearsalError, Request, Session, Volumes, enter, read_log,
    rehearse,
};
use crate::store::{Home, Trouble, write_page};

/// Where the log lines of the last session wait for their results.
const LAST: &str = "cache/rehearsal.ron";

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
        after_help = "Examples:\n  secondball rehearse log 16/20 14/18 - 9/12/1\n  secondball rehearse log --opponent north bh-short-fh=16/20"
    )]
    Log {
        /// 16/20: 16 of 20 made; 16/20/1: one with another receive; - skips a line
        #[arg(required = true, allow_hyphen_values = true)]
        results: Vec<String>,
        /// Another opponent than the last session's; results are then for the serves of the plan
        #[arg(long, value_name = "NAME")]
        opponent: Option<String>,
        /// Write the same session down a second time
        #[arg(long)]
        again: bool,
        /// Write them down beside the balls that a phone brought home since the session was made
        #[arg(long)]
        also: bool,
    },
}

/// The last session, as far as its results need it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Last {
    deck: String,
    opponent: String,
    is_logged: bool,
    /// The day it was made; unknown in files of before.
    #[serde(default)]
    day: Option<Day>,
    lines: Vec<LogLine>,
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
    if let Some(Then::Log { results, opponent, again, also }) = &arguments.then {
        return log(results, opponent.as_deref(), (*again, *also), world);
    }
    let session = make(arguments, world)?;
    let home = world.home()?;
    let day = world.now.day(home.player()?.rollover_hour);
    home.replace_ron(
        LAST,
        &Last {
            deck: session.deck.clone(),
            opponent: session.opponent.clone(),
            is_logged: false,
            day: Some(day),
            lines: session.log(),
        },
    )?;
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
                (_, true) => "the deck has none yet: secondball plan".to_owned(),
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

/// The lines that wait for results: of the last session, or of a plan.
fn waiting(
    opponent: Option<&str>,
    again: bool,
    world: &World<'_>,
) -> Result<(Last, bool), Failure> {
    let home = world.home()?;
    // A file of an older form is as good as none.
    let last = match home.read_ron::<Last>(LAST) {
        Ok(last) => last,
        Err(Trouble::Findings(_)) => None,
        Err(trouble) => return Err(trouble.into()),
    };
    if let Some(named) = opponent {
        let (_, deck) = home.find_deck(named)?;
        if let Some(last) = last.filter(|last| last.deck == deck.key && (again || !last.is_logged))
        {
            return Ok((last, true));
        }
        let lines = deck
            .planned()
            .zip(1..)
            .map(|((serve, receive), number)| LogLine {
                number,
                serve: serve.id.clone(),
                receive: receive.clone(),
                balls: 0,
            })
            .collect();
        let opponent = deck.opponent;
        let plan = Last { deck: deck.key, opponent, is_logged: false, day: None, lines };
        return Ok((plan, false));
    }
    match last {
        None => Err(Failure::request(
            "no session waits for its results",
            "make one with `secondball rehearse`, or say whose serves: --opponent NAME",
        )),
        Some(last) if last.is_logged && !again => Err(Failure::request(
            format!("the last session, against {}, is written down already", last.opponent),
            "--again writes it a second time; --opponent NAME needs no session",
        )),
        Some(last) => Ok((last, true)),
    }
}

fn log(
    results: &[String],
    opponent: Option<&str>,
    (again, also): (bool, bool),
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let (last, is_session) = waiting(opponent, again, world)?;
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
    if is_session {
        home.replace_ron(LAST, &Last { is_logged: true, ..last.clone() })?;
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
    last: &Last,
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
