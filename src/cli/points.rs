//! `points`: points against an opponent, live or from a file, and what they say.

mod import;
mod keys;
pub(crate) mod known;
mod lessons;
mod record;
mod spoken;

use std::path::PathBuf;

use clap::{Args, Subcommand};
use ratatui_crossterm::crossterm::event::KeyCode;

use crate::base::{Day, text};
use crate::cli::ask::Asker;
use crate::cli::points::keys::{Keys, Offered, SAFE, Step};
use crate::cli::points::record::{Record, points_of};
use crate::cli::points::spoken::Spoken;
use crate::cli::raw_terminal::RawTerminal;
use crate::cli::values::match_length;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Overview, World};
use crate::deck::Deck;
use crate::game::{End, ReceiveKey, ServeId};
use crate::journal::Fact;
use crate::store::Writer;

/// Record the points of a match, and see what they say
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "At a terminal: three keys a point (serve, receive, who won). Without one, a line a point:\n  \
                  bh-short-fh won\n  bh-short-fh lost loose waiting\n  bh-short-fh backhand flick won\n  me won\n  \
                  switch long push   (from here on that switch is meant; `plan` goes back)\n  undo\n\
                  Words: tight, loose, missed; waiting, or not waiting (also waiting no, surprised).\n  \
                  Score and server follow by themselves.\n\n\
                  Waiting: note it when they wait for your answer. Once it is noted at all in a match, silence in \
                  that match means they did not wait; where it is never noted, it is unknown.\n\n\
                  CSV header: match,server,serve,meant,played,quality,waiting,won (and `day`, if wanted)\n  \
                  server    me or them; needed, like match and won\n  \
                  serve     its short name; empty when not recognised, or on your own serve\n  \
                  meant     the receive intended, in words, or plan, safe or a switch's name; empty: the plan's\n  \
                  played    the receive that came, when it was another; empty: the one meant\n  \
                  quality   tight, loose, missed or empty\n  \
                  waiting   yes, no or empty (see above)\n  \
                  won       yes or no\n\n\
                  Examples:\n  secondball points Kim --first them --best-of 5\n  secondball points Kim --csv league.csv\n  \
                  secondball points lessons Kim"
)]
pub struct PointsArguments {
    /// What the points say; without it, points are recorded
    #[command(subcommand)]
    what: Option<PointsCommand>,
    #[command(flatten)]
    whom: Whom,
    /// Take the points from a file; - reads the standard input
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// The day of matches in the file that do not say theirs
    #[arg(long, value_name = "DAY", requires = "csv")]
    day: Option<Day>,
    /// A word for the match; today's day when none is given
    #[arg(long = "match", value_name = "WORD", conflicts_with = "csv")]
    of_match: Option<String>,
    /// The match is the best of 3, 5 or 7 games
    #[arg(long, value_name = "GAMES", default_value_t = 5)]
    best_of: u32,
    /// Who serves first: me or them
    #[arg(long, value_name = "WHO", value_parser = crate::cli::values::end)]
    first: Option<End>,
}

/// What points say.
#[derive(Debug, Subcommand)]
enum PointsCommand {
    /// What the points say of every answer, and what to do before the next meeting
    Lessons(lessons::LessonsArguments),
}

/// Runs the command.
///
/// # Errors
/// What is wrong with the request or the files, or the machine's own trouble.
pub fn run(arguments: &PointsArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    if let Some(PointsCommand::Lessons(wanted)) = &arguments.what {
        return lessons::run(wanted, desk, world);
    }
    let (stem, deck) = desk.opponent(arguments.whom.opponent())?;
    match &arguments.csv {
        Some(file) => {
            let length = match_length(arguments.best_of)?;
            import::run(file, (arguments.day, length), (&stem, &deck), desk, world)
        }
        None => live(arguments, &stem, &deck, desk, world),
    }
}

/// The word of a match begun today: the day, counted on when that match is over.
fn word_of_today(deck: &Deck, board: &Overview<'_>, is_over: impl Fn(&str) -> bool) -> String {
    let day = board.today.to_string();
    let mut word = day.clone();
    let mut number = 2;
    while points_of(board.events, deck, &word).next().is_some() && is_over(&word) {
        word = format!("{day}-{number}");
        number += 1;
    }
    word
}

fn live(
    arguments: &PointsArguments,
    stem: &str,
    deck: &Deck,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let length = match_length(arguments.best_of)?;
    let board = desk.overview(world)?;
    let begin = |word: &str, deck: &Deck| {
        Record::begin(deck.clone(), word.to_owned(), length, arguments.first, board.events)
    };
    let word = match arguments.of_match.as_deref().map(text::one_line) {
        Some(word) if !word.is_empty() => word,
        _ => word_of_today(deck, &board, |word| begin(word, deck).is_over()),
    };
    let mut record = begin(&word, deck);
    let home = desk.home()?;
    let mut writer = home.writer(world.now, board.today)?;
    if let Some(finding) = writer.clock_behind() {
        writeln!(world.err, "{}", finding.shown())?;
    }
    let (_, there, _) = record.counts();
    if there > 0 {
        writeln!(
            world.err,
            "The match `{word}` goes on: {}, {} so far. Another match: --match WORD",
            record.score_shown(),
            text::count(there, "point")
        )?;
    }
    let ended = if world.is_terminal {
        if record.server().is_none() {
            let ends = ["me".to_owned(), "them".to_owned()];
            let chosen = Asker::default().choose_needed(
                world,
                "serves first",
                &ends,
                "who serves when follows from it",
            )?;
            record.set_first(if chosen == Some(0) { End::Me } else { End::Them });
        }
        by_keys(world, &mut record, &mut writer, &board)
    } else {
        by_lines(world, &mut record, &mut writer, board.today)
    };
    drop(writer);
    let (now, in_all, unknown) = record.counts();
    writeln!(
        world.out,
        "{}: {} kept, {in_all} in all; {}",
        record.of_match,
        text::count(now, "point"),
        record.score_shown()
    )?;
    if unknown > 0 {
        writeln!(world.err, "A serve that is new: secondball scout add {stem}")?;
    }
    if in_all > 0 {
        let next = if record.is_over() { "points lessons" } else { "plan advise" };
        writeln!(world.err, "Next: secondball {next} {stem}")?;
    }
    ended
}

/// A line a point, from the standard input. A line that says nobody won is told and left out.
fn by_lines(
    world: &mut World<'_>,
    record: &mut Record,
    writer: &mut Writer,
    day: Day,
) -> Result<(), Failure> {
    let mut line = String::new();
    let said = "A line a point: serve, won or lost; then tight, loose or missed; waiting or not waiting. Also: \
                undo, end.";
    writeln!(world.err, "{}", text::wrap(said, world.width, ""))?;
    let (mut number, mut wrong) = (0, Vec::new());
    loop {
        number += 1;
        if !world.read_line(&mut line)? {
            break;
        }
        match spoken::read(&record.deck, &line) {
            Ok(Spoken::End) => break,
            Ok(Spoken::Nothing) => {}
            Ok(spoken) => {
                let said = record.take(spoken, writer, world.clock.now(), day)?;
                writeln!(world.err, "{}", text::wrap(&said, world.width, "    "))?;
            }
            Err(why) => {
                writeln!(world.err, "line {number}: {why}")?;
                wrong.push(number.to_string());
            }
        }
    }
    if wrong.is_empty() {
        return Ok(());
    }
    let what = format!("not kept: line {}", text::and_list(&wrong));
    Err(Failure::request(what, "say them again; everything else is kept"))
}

/// The receives the second key chooses from, by their short names: plan, the switches', safe. A key means the same for
/// every serve, so that the finger learns it.
fn receives(deck: &Deck, serve: &ServeId) -> Vec<Offered> {
    let planned = deck.plan.get(serve).map(|receive| (Keys::key(0), "plan", receive));
    let of_switches = deck.switches.iter().enumerate().filter_map(|(place, switch)| {
        Some((Keys::key(place + 1), switch.name.as_str(), switch.changes.get(serve)?))
    });
    let safe = deck.safe.as_ref().map(|receive| (SAFE, "safe", receive));
    let mut named: Vec<Offered> = Vec::new();
    for (at, name, receive) in planned.into_iter().chain(of_switches).chain(safe) {
        let key = ReceiveKey::from_receive(receive);
        if !named.iter().any(|(_, _, known)| *known == key) {
            named.push((at, text::one_line(name), key));
        }
    }
    named
}

/// Three keys a point.
fn by_keys(
    world: &mut World<'_>,
    record: &mut Record,
    writer: &mut Writer,
    board: &Overview<'_>,
) -> Result<(), Failure> {
    let seen = record.deck.seen_by(board.player.hand);
    for (place, serve) in seen.active().enumerate() {
        let said = format!(
            "  {}  {}  {}",
            Keys::key(place),
            text::fit(serve.id.as_str(), 20),
            serve.shown()
        );
        writeln!(world.err, "{}", text::wrap(&said, world.width, &" ".repeat(27)))?;
    }
    for line in [
        "  ?  a serve that is not here    0  another receive, in your words",
        "  t tight   o loose   m missed   x they waited   n they did not",
        "  w won   l lost   u take back   q end",
    ] {
        writeln!(world.err, "{line}")?;
    }
    let mut keys = Keys::new(record.serves());
    let raw = RawTerminal::take()?;
    let ended = loop {
        if record.is_over() {
            break Ok(());
        }
        let server = record.server();
        let prompt = format!("{}  {}", record.score_shown(), keys.prompt(server));
        write!(world.err, "\r{}", text::fit(&prompt, world.width - 1))?;
        world.err.flush()?;
        let step = match raw.press() {
            Err(failure) => break Err(failure),
            Ok(KeyCode::Char(key)) => keys.press(key, server),
            Ok(KeyCode::Enter) => keys.press('\r', server),
            Ok(KeyCode::Backspace) if keys.is_naming() => keys.press('\u{8}', server),
            Ok(KeyCode::Backspace) => keys.press('u', server),
            Ok(KeyCode::Esc) if keys.is_naming() => keys.press('\u{1b}', server),
            // Out of a half-entered point first.
            Ok(KeyCode::Esc) if keys.is_begun() => keys.press('u', server),
            Ok(KeyCode::Esc) => break Ok(()),
            Ok(_) => Step::More,
        };
        match step {
            Step::More => {}
            Step::Receives(serve) => keys.offer(receives(&record.deck, &serve)),
            Step::Done(Spoken::End) => break Ok(()),
            Step::Done(spoken) => {
                let said = record.take(spoken, writer, world.clock.now(), board.today)?;
                let room = world.width - 1;
                for line in text::wrap(&said, room, "    ").lines() {
                    write!(world.err, "\r{}\r\n", text::fit(line, room))?;
                }
            }
        }
    };
    drop(raw);
    writeln!(world.err)?;
    ended
}

/// The newest match of a deck in a journal, by its last point or debrief.
pub(super) fn newest_match(board: &Overview<'_>, deck: &Deck) -> Option<(String, Day)> {
    board.events.iter().rev().find_map(|event| match &event.fact {
        Fact::Point(point) if point.deck == deck.key => Some((point.of_match.clone(), event.day)),
        Fact::Debrief(told) if told.deck == deck.key => Some((told.of_match.clone(), event.day)),
        _ => None,
    })
}
