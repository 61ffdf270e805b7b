//! `points`: points against an opponent, live or from a file, and what they say.

mod import;
mod keys;
pub(crate) mod record;
pub(in crate::cli) mod spoken;

use std::path::PathBuf;

use clap::{Args, Subcommand};
use ratatui_crossterm::crossterm::event::KeyCode;

use crate::base::{Day, text};
use crate::cli::ask::Asker;
use crate::cli::points::keys::PointKeys;
use crate::cli::points::record::{MatchRecord, points_of, score_after};
use crate::cli::points::spoken::Spoken;
use crate::cli::raw_terminal::RawTerminal;
use crate::cli::values::match_length;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Overview, Result, World, plan_advise};
use crate::deck::Deck;
use crate::game::{End, MatchLength};
use crate::journal::Point;

/// Record the points of a match, and see what they say
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
after_help = include_str!("points/help.txt").trim_ascii_end()
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
    /// The same as `plan advise`
    Lessons(plan_advise::AdviseArguments),
}

/// The keys that are neither serve nor receive.
const OTHER_KEYS: &str = "  ?  a serve that is not here    0  another receive, in your words
  g good   h high   m missed   x they waited   n they did not
  w won   l lost   u take back   q end";

/// Runs the command.
///
/// # Errors
/// What is wrong with the request or the files, or the machine's own trouble.
pub fn run(arguments: &PointsArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    if let Some(PointsCommand::Lessons(wanted)) = &arguments.what {
        return plan_advise::run(wanted, desk, world);
    }
    let (stem, deck) = desk.opponent(arguments.whom.opponent())?;
    let deck = deck.seen_by(desk.player()?.hand);
    let length = match_length(arguments.best_of)?;
    match &arguments.csv {
        Some(file) => import::run(file, arguments.day, length, &stem, &deck, desk, world),
        None => live(arguments, length, &stem, &deck, desk, world),
    }
}

/// The word of a match begun today: the day, counted on when that match is over.
fn word_of_today(deck: &Deck, home: &Overview<'_>, length: MatchLength) -> String {
    let is_over = |word: &str| {
        let points = || points_of(home.events, deck, word).map(|(_, point)| point);
        points().next().is_some_and(|first| {
            let score = score_after(length, first.server, points().map(|point| point.won));
            score.winner().is_some()
        })
    };
    let day = home.today.to_string();
    let later = (2..).map(|number| format!("{day}-{number}"));
    std::iter::once(day.clone()).chain(later).find(|word| !is_over(word)).unwrap_or(day)
}

fn live(
    arguments: &PointsArguments,
    length: MatchLength,
    stem: &str,
    deck: &Deck,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result {
    let home = desk.overview(world)?;
    let word = arguments.of_match.as_deref().map(text::one_line).filter(|word| !word.is_empty());
    let word = word.unwrap_or_else(|| word_of_today(deck, &home, length));
    // What would keep points from being kept is said before the first.
    drop(desk.writer(world)?);
    let mut record =
        MatchRecord::begin(deck, word.clone(), length, arguments.first, &home, world.clock);
    if !record.points.is_empty() {
        let (score, points) = (record.score_shown(), text::count(record.points.len(), "point"));
        writeln!(
            world.err,
            "The match `{word}` goes on: {score}, {points} so far. Another match: --match WORD"
        )?;
    }
    let ended = if world.is_terminal {
        if record.first.is_none() {
            record.first = Some(ask_first(world)?);
        }
        by_keys(&mut record, world)
    } else {
        by_lines(&mut record, world)
    };
    world.kept = record.new_points().len();
    let (new, all) = (text::count(record.new_points().len(), "point"), record.points.len());
    writeln!(world.out, "{word}: {new} kept, {all} in all; {}", record.score_shown())?;
    // Words beside a known serve speak of the receive.
    let is_new = |point: &Point| point.unknown.is_some() && point.serve.is_none();
    if record.new_points().iter().any(|(_, point)| is_new(point)) {
        writeln!(world.err, "A serve that is new: secondball scout add {stem}")?;
    }
    if all > 0 {
        world.next(&format!("plan advise {stem}"))?;
    }
    ended
}

/// Who serves first; they do when nobody answers.
fn ask_first(world: &mut World<'_>) -> Result<End> {
    let ends = ["me".to_owned(), "them".to_owned()];
    let why = "who serves when follows from it";
    let chosen = Asker::needing(why).choose(world, "serves first", &ends)?;
    Ok(if chosen == Some(0) { End::Me } else { End::Them })
}

/// A line a point, from the standard input. A line that says nobody won is told and left out.
fn by_lines(record: &mut MatchRecord<'_>, world: &mut World<'_>) -> Result {
    let how = "A line a point: serve, won or lost; then good, high or missed; they waited or they \
               did not. Also: undo, end.";
    world.note(how, "")?;
    let (mut line, mut number, mut wrong) = (String::new(), 0, Vec::new());
    while world.read_line(&mut line)? {
        number += 1;
        match spoken::read(record.deck, &line) {
            Ok(Spoken::End) => break,
            Ok(Spoken::Nothing) => {}
            Ok(spoken) => world.note(&record.take(spoken)?, "    ")?,
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

/// Three keys a point.
fn by_keys(record: &mut MatchRecord<'_>, world: &mut World<'_>) -> Result {
    for (place, serve) in record.deck.active().enumerate() {
        let (key, called) = (PointKeys::key(place), text::fit(&record.deck.called(&serve.id), 20));
        world.note(&format!("  {key}  {called}  {}", serve.shown()), &" ".repeat(27))?;
    }
    writeln!(world.err, "{OTHER_KEYS}")?;
    let ended = press_keys(&RawTerminal::take()?, record, world);
    writeln!(world.err)?;
    ended
}

/// Takes keys until the match is over or the player ends it.
fn press_keys(raw: &RawTerminal, record: &mut MatchRecord<'_>, world: &mut World<'_>) -> Result {
    let mut keys = PointKeys::new(record.deck);
    let room = world.width - 1;
    while !record.is_over() {
        let server = record.server();
        let prompt = format!("{}  {}", record.score_shown(), keys.prompt(server));
        write!(world.err, "\r{}", text::fit(&prompt, room))?;
        world.err.flush()?;
        let pressed = match raw.press()? {
            KeyCode::Char(key) => keys.press(key, server),
            KeyCode::Enter => keys.press('\r', server),
            KeyCode::Backspace if keys.is_naming() => keys.press('\u{8}', server),
            KeyCode::Backspace => keys.press('u', server),
            KeyCode::Esc if keys.is_naming() => keys.press('\u{1b}', server),
            // Out of a half-entered point first.
            KeyCode::Esc if keys.is_begun() => keys.press('u', server),
            KeyCode::Esc => break,
            _ => None,
        };
        match pressed {
            None => {}
            Some(Spoken::End) => break,
            Some(spoken) => {
                for line in text::wrap(&record.take(spoken)?, room, "    ").lines() {
                    write!(world.err, "\r{}\r\n", text::fit(line, room))?;
                }
            }
        }
    }
    Ok(())
}
