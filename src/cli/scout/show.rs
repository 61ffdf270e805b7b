//! `scout show` and `scout habits`: what is known of an opponent, which there are, and the habits
//! to begin with.

use clap::Args;
use serde::Serialize;

use crate::base::text;
use crate::cli::scout::count::{Counting, film_seen, times_seen};
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::{Deck, Habit};
use crate::page::scouted::{Scouted, scouted};

/// Show what is known of an opponent, or which opponents there are
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
    \x20 secondball scout show\n\
    \x20 secondball scout show north --json")]
pub struct ShowArguments {
    #[command(flatten)]
    whom: Whom,
    /// Print a document for programs
    #[arg(long)]
    json: bool,
}

/// List the habits, or print one
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
    \x20 secondball scout habits\n\
    \x20 secondball scout habits defender")]
pub struct HabitsArguments {
    /// The habit to print
    name: Option<String>,
}

/// Prints one opponent, or which there are.
pub fn show(arguments: &ShowArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let player = desk.player()?;
    if arguments.whom.opponent().is_none() && desk.home()?.deck_stems()?.len() != 1 {
        return list(arguments.json, desk, world);
    }
    let (_, deck) = desk.opponent(arguments.whom.opponent())?;
    let seen = times_seen(desk, &deck, Counting::Watched)?;
    let film = film_seen(desk, &deck)?;
    world.print(&scouted(&deck, player, &seen, &film), arguments.json, Scouted::text)
}

/// One opponent of the list.
#[derive(Serialize)]
struct ListedOpponent {
    file: String,
    opponent: String,
    serves: usize,
    planned: usize,
    switches: usize,
}

fn list(json: bool, desk: &Desk, world: &mut World<'_>) -> Result {
    let listed = |(file, deck): (String, Deck)| ListedOpponent {
        file,
        opponent: text::one_line(&deck.opponent),
        serves: deck.active().count(),
        planned: deck.planned().count(),
        switches: deck.switches.len(),
    };
    let opponents: Vec<_> = desk.home()?.decks()?.into_iter().map(listed).collect();
    if opponents.is_empty() && !json {
        return Err(Failure::request(
            "no opponent is written down yet",
            "`secondball scout NAME` writes down the first one",
        ));
    }
    world.print(&opponents, json, |opponents, _| opponents.iter().map(line).collect())
}

fn line(listed: &ListedOpponent) -> String {
    let (name, serves) = (text::fit(&listed.opponent, 34), text::count(listed.serves, "serve"));
    let switches = match listed.switches {
        0 => "no switch".to_owned(),
        1 => "1 switch".to_owned(),
        several => format!("{several} switches"),
    };
    format!("{name}  {serves}, {} with a receive, {switches}\n", listed.planned)
}

/// Lists the habits, or prints one.
pub fn habits(arguments: &HabitsArguments, world: &mut World<'_>) -> Result {
    if let Some(name) = &arguments.name {
        write!(world.out, "{}", Habit::named(name)?.text)?;
        return Ok(());
    }
    for habit in Habit::ALL {
        world.say(&format!("{:<24}{}", habit.name, habit.about), &" ".repeat(24))?;
    }
    writeln!(world.err, "\nCommon practice, not real players. To begin with one:")?;
    writeln!(world.err, "  secondball scout NAME --from-habit pendulum-pair")?;
    Ok(())
}
