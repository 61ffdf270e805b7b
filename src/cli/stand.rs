//! `secondball` alone: where the player stands, on one screen, and the one thing to do next.

use crate::agenda::{Goal, next_thing};
use crate::base::text;
use crate::cli::dossier::{Dossier, changes_due, foremost};
use crate::cli::rehearse::waiting::newest;
use crate::cli::{Desk, Result, World};
use crate::page::next::{command, next_words};

/// Shows where the player stands.
///
/// # Errors
/// [`Failure`](crate::cli::Failure) when the home cannot be read.
pub fn run(desk: &Desk, world: &mut World<'_>) -> Result {
    if !desk.home_unchecked()?.exists() {
        writeln!(world.out, "secondball prepares your receives against a known opponent.\n")?;
        writeln!(world.out, "  See the whole job     secondball demo")?;
        writeln!(world.out, "  Make your own home    secondball init")?;
        writeln!(world.out, "\nNo home in {} yet.", world.home_root.display())?;
        return Ok(());
    }
    let board = desk.overview(world)?;
    let agenda = board.agenda();
    let state = board.next_state();
    let heading = match (&agenda.outlook, board.player.next_event(board.today)) {
        (Goal::Event(ahead), _) => {
            let days = text::count(ahead.days as usize, "day");
            format!("{} in {days}", text::one_line(&ahead.name))
        }
        (Goal::Target(_), Some(event)) => format!("{} is today", text::one_line(&event.name)),
        (Goal::Target(_), None) => "no event ahead".to_owned(),
    };
    let name = text::one_line(&board.player.name);
    writeln!(world.out, "{name}   {}   {heading}\n", board.today.spoken())?;
    let dossiers = foremost(desk.dossiers(world)?);
    say_opponents(&dossiers, board.decks.len(), world)?;
    for change in changes_due(&dossiers)? {
        writeln!(world.out)?;
        world.say(&format!("  Change due by the points: {change}"), "    ")?;
    }
    let [untried, shaky, firm] = agenda.standing;
    if untried + shaky + firm > 0 {
        writeln!(world.out, "\n  Answers   {firm} ready, {shaky} not yet, {untried} untried")?;
        if let Goal::Event(ahead) = &agenda.outlook {
            let (now, all) = (ahead.without * 100.0, ahead.with_all * 100.0);
            let now = format!("{now:.0} % right at the event as it stands");
            let rate = if ahead.has_record { "your rate so far" } else { "a usual rate" };
            writeln!(world.out, "  Forecast  {now}, {all:.0} % at {rate}")?;
        }
        writeln!(world.out, "  Today     {} given", text::count(state.answers_today, "answer"))?;
    }
    if let Some(session) = newest(desk.home()?, board.today) {
        let waits = format!("  Waits for its results: {session}");
        writeln!(world.out)?;
        world.say(&waits, "    ")?;
    }
    let next = next_thing(board.decks, &agenda, &state);
    let words = text::wrap(&next_words(&next), world.width - 6, "      ");
    writeln!(world.out, "\nNext: {words}\n\n  {}", command(&next.todo()))?;
    board.must_be_whole()
}

/// A line for each of these opponents, and how many more there are.
fn say_opponents(dossiers: &[Dossier<'_>], all: usize, world: &mut World<'_>) -> Result {
    for Dossier { deck, .. } in dossiers {
        let name = text::fit(&text::one_line(&deck.opponent), 30);
        let serves = text::count(deck.active().count(), "serve");
        let planned = deck.planned().count();
        let switches = match deck.switches.len() {
            0 => "no switch in reserve".to_owned(),
            number => format!("{number} in reserve"),
        };
        writeln!(world.out, "  {name}  {serves:>9}, {planned} planned, {switches}")?;
    }
    if all > dossiers.len() {
        writeln!(
            world.out,
            "  and {} more: `secondball scout show` lists them",
            all - dossiers.len()
        )?;
    }
    Ok(())
}
