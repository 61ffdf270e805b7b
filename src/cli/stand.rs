//! `secondball` alone: where the player stands, on one screen, and the one thing to do next.

use crate::agenda::{Goal, next_thing};
use crate::base::text;
use crate::cli::dossier::changes_due;
use crate::cli::{Desk, Overview, Result, World};
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
    let heading = match &agenda.outlook {
        Goal::Event(ahead) => format!(
            "{} in {}",
            text::one_line(&ahead.name),
            text::count(usize::try_from(ahead.days).unwrap_or(0), "day")
        ),
        Goal::Target(_) => match board.player.next_event(board.today) {
            Some(event) => format!("{} is today", text::one_line(&event.name)),
            None => "no event ahead".to_owned(),
        },
    };
    writeln!(world.out, "{}   {}   {heading}\n", board.player.name, board.today.spoken())?;
    say_opponents(&board, world)?;
    for change in changes_due(&desk.dossiers(world)?)? {
        writeln!(world.out)?;
        world.say(&format!("  Change due by the points: {change}"), "    ")?;
    }
    let [untried, shaky, firm] = agenda.standing;
    if untried + shaky + firm > 0 {
        writeln!(world.out, "\n  Answers   {firm} firm, {shaky} shaky, {untried} untried")?;
        if let Goal::Event(ahead) = &agenda.outlook {
            writeln!(
                world.out,
                "  Forecast  {:.0} % right at the event as it stands, {:.0} % with every list",
                ahead.without * 100.0,
                ahead.with_all * 100.0
            )?;
        }
        writeln!(world.out, "  Today     {} given", text::count(state.answers_today, "answer"))?;
    }
    let next = next_thing(board.decks, &agenda, &state);
    writeln!(
        world.out,
        "\nNext: {}\n\n  {}",
        text::wrap(&next_words(&next), world.width - 6, "      "),
        command(&next.todo())
    )?;
    board.must_be_whole()
}

/// A line for each opponent.
fn say_opponents(board: &Overview<'_>, world: &mut World<'_>) -> Result {
    for (_, deck) in board.decks {
        let serves = deck.active().count();
        let planned = deck.planned().count();
        let switches = match deck.switches.len() {
            0 => "no switch in reserve".to_owned(),
            number => format!("{number} in reserve"),
        };
        writeln!(
            world.out,
            "  {}  {:>9}, {planned} planned, {switches}",
            text::fit(&text::one_line(&deck.opponent), 30),
            text::count(serves, "serve"),
        )?;
    }
    Ok(())
}
