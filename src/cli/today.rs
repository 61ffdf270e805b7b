//! `today`: the list, the days ahead, the forecast; and the events it works towards.

use std::path::PathBuf;

use clap::Args;

use crate::agenda::next_thing;
use crate::base::{Day, text};
use crate::cli::dossier::{changes_due, foremost};
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::{MatchDay, Opponent};
use crate::page::today::today_text;

/// What is ready for the event, and what is due today
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball today\n\
        \x20 secondball today --event \"Autumn open=2026-12-05\" \\\n\
        \x20   --against north")]
pub struct TodayArguments {
    /// Add an event, or move one that is there: "Autumn open=2026-12-05"
    #[arg(long, value_name = "NAME=DAY")]
    pub event: Option<String>,
    /// Who may be met there, and how likely: north, or north=0.5 (may be repeated)
    #[arg(long, value_name = "OPPONENT[=LIKELY]", requires = "event")]
    pub against: Vec<String>,
    /// Take an event out
    #[arg(long, value_name = "NAME", conflicts_with = "event")]
    pub drop_event: Option<String>,
    /// Write the days ahead as an iCalendar file
    #[arg(long, value_name = "FILE")]
    pub ics: Option<PathBuf>,
    /// Also the forecast, the answers due and the days ahead
    #[arg(long)]
    pub why: bool,
    /// Print the day as JSON
    #[arg(long)]
    pub json: bool,
}

/// Shows the day.
///
/// # Errors
/// [`Failure`] when there is no home, or the event cannot be read.
pub fn run(arguments: &TodayArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    if let Some(event) = &arguments.event {
        set_event(event, &arguments.against, desk, world)?;
    }
    if let Some(name) = &arguments.drop_event {
        drop_event(name, desk, world)?;
    }
    // What was changed is read again.
    let desk = &Desk::new(world);
    let board = desk.overview(world)?;
    let agenda = board.agenda();
    if let Some(file) = &arguments.ics {
        world.write_page(file, &crate::page::calendar::calendar(&agenda, world.now))?;
    }
    let due = changes_due(&foremost(desk.dossiers(world)?))?;
    let next = next_thing(board.decks, &agenda, &board.next_state());
    let (minutes, is_why) = (board.player.minutes_a_day, arguments.why);
    world.print(&agenda, arguments.json, |agenda, width| {
        today_text(agenda, &due, &next, minutes, is_why, width)
    })?;
    board.must_be_whole()
}

/// Adds an event or moves it to another day.
fn set_event(given: &str, against: &[String], desk: &Desk, world: &mut World<'_>) -> Result {
    let form = "write it as \"Autumn open=2026-12-05\"";
    let (name, day) = given
        .rsplit_once('=')
        .ok_or_else(|| Failure::request(format!("`{given}` has no day"), form))?;
    let day: Day = day.parse().map_err(|error: String| Failure::request(error, form))?;
    let name = text::one_line(name);
    if name.is_empty() {
        return Err(Failure::request("the event has no name", form));
    }
    let home = desk.home()?;
    let was = home.player()?;
    let mut player = was.clone();
    let today = desk.today()?;
    if day < today {
        return Err(Failure::request(
            format!("{day} is past; today is {today}"),
            "an event lies ahead; `--drop-event NAME` takes one out",
        ));
    }
    let opponents = against.iter().map(|one| read_against(one, desk));
    let opponents = opponents.collect::<Result<Vec<_>, _>>()?;
    match player.events.iter_mut().find(|event| event.name == name) {
        Some(event) => {
            event.day = day;
            if !opponents.is_empty() {
                event.opponents = opponents;
            }
        }
        None => player.events.push(MatchDay { name: name.clone(), day, opponents }),
    }
    home.save_player(&was, &player)?;
    writeln!(world.err, "{name} is on {}", day.spoken())?;
    Ok(())
}

/// Reads `north`, or `north=0.5`.
fn read_against(given: &str, desk: &Desk) -> Result<Opponent> {
    let (deck, likely) = match given.rsplit_once('=') {
        None => (given, Some(1.0)),
        Some((deck, likely)) => (deck, likely.trim().parse::<f64>().ok()),
    };
    let likely = likely.filter(|likely| *likely > 0.0 && *likely <= 1.0).ok_or_else(|| {
        Failure::request(format!("`{given}`: how likely is above 0 to 1"), "for example north=0.5")
    })?;
    Ok(Opponent { deck: desk.opponent(Some(deck))?.0, likely })
}

/// Takes an event out of the player file.
fn drop_event(name: &str, desk: &Desk, world: &mut World<'_>) -> Result {
    let home = desk.home()?;
    let was = home.player()?;
    let mut player = was.clone();
    let before = player.events.len();
    player.events.retain(|event| event.name != name);
    if player.events.len() == before {
        let known: Vec<_> = player.events.iter().map(|event| event.name.as_str()).collect();
        let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
        return Err(Failure::request(
            format!("no event is called `{name}`"),
            format!("your events: {known}"),
        ));
    }
    home.save_player(&was, &player)?;
    writeln!(world.err, "{name} is taken out")?;
    Ok(())
}
