//! `scout`: an opponent's serves into a file, by flags or by questions, from nothing or from a habit.

mod ball;
mod count;
mod edit;
mod new;
mod questions;
mod take;

use clap::{Args, Subcommand};

use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, World};
use crate::deck::{Deck, Player};
use crate::game::{Grip, Hand, ServeId};
use crate::journal::Fact;
use crate::store::Home;

/// Write down an opponent's serves
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n  secondball scout \"Left-hander, north hall\"\n      asks for \
                  hand and serves; Enter leaves a question open\n  secondball scout Kim --hand right \
                  --from-starter pendulum-pair\n      begins with a habit you recognise \
                  (`secondball scout starters` lists them)\n  secondball scout add Kim \
                  \"motion=backhand spin=side-backspin lane=forehand depth=short\""
)]
pub struct ScoutArguments {
    /// One serve, a list, or a count; without it, a new opponent
    #[command(subcommand)]
    what: Option<ScoutCommand>,
    /// The opponent, as you call them
    opponent: Option<String>,
    /// The hand they play with
    #[arg(long, value_name = "left|right")]
    hand: Option<Hand>,
    /// How they hold the bat
    #[arg(long, value_name = "shakehand|penhold")]
    grip: Option<Grip>,
    /// What is on their bat
    #[arg(long, value_name = "WORDS")]
    rubbers: Option<String>,
    /// Begin with a starter deck
    #[arg(long, value_name = "NAME")]
    from_starter: Option<String>,
    /// A serve, as in `scout add`; may be given several times
    #[arg(long = "serve", value_name = "PART=WORDS ...")]
    serves: Vec<String>,
    /// Confirm the breaks that follow from hand and motion
    #[arg(long)]
    yes: bool,
}

/// What can be done with an opponent's serves.
#[derive(Debug, Subcommand)]
enum ScoutCommand {
    /// Add a serve, by a line or by questions
    Add(edit::AddArguments),
    /// Change what is known of a serve
    Change(edit::ChangeArguments),
    /// A serve is no longer served (or again, with --back); its history is kept
    Retire(edit::RetireArguments),
    /// Give a serve another short name; its history is kept
    Rename(edit::RenameArguments),
    /// Show what is known of an opponent, or which opponents there are
    Show(ShowArguments),
    /// Count serves as you watch, one key each
    Count(count::CountArguments),
    /// Take the serves of a colleague's file; nothing of yours is overwritten
    Take(take::TakeArguments),
    /// List the starter decks, or print one
    Starters(StartersArguments),
    /// Work out a spin from what your own ball did
    Ball(ball::BallArguments),
}

/// Show what is known of an opponent, or which opponents there are
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  secondball scout show\n  secondball scout show Kim --json")]
struct ShowArguments {
    #[command(flatten)]
    whom: Whom,
    /// Print a document for programs
    #[arg(long)]
    json: bool,
}

/// List the starter decks, or print one
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball scout starters\n  secondball scout starters defender"
)]
struct StartersArguments {
    /// The starter deck to print
    name: Option<String>,
}

/// Runs the command.
///
/// # Errors
/// What is wrong with the request or the files, or the machine's own trouble.
pub fn run(arguments: &ScoutArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    match &arguments.what {
        None => new::run(arguments, desk, world),
        Some(ScoutCommand::Add(add)) => edit::add(add, desk, world),
        Some(ScoutCommand::Change(change)) => edit::change(change, desk, world),
        Some(ScoutCommand::Retire(retire)) => edit::retire(retire, desk, world),
        Some(ScoutCommand::Rename(rename)) => edit::rename(rename, desk, world),
        Some(ScoutCommand::Show(show)) => self::show(show, desk, world),
        Some(ScoutCommand::Count(count)) => count::run(count, desk, world),
        Some(ScoutCommand::Take(take)) => take::run(take, desk, world),
        Some(ScoutCommand::Starters(starters)) => self::starters(starters, world),
        Some(ScoutCommand::Ball(ball)) => ball::run(ball, world),
    }
}

fn no_opponent() -> Failure {
    Failure::request(
        "no opponent is written down yet",
        "`secondball scout NAME` writes down the first one",
    )
}

/// A serve that a fact counts, with its deck and how often.
type Counted<'f> = (&'f str, &'f ServeId, u32);

/// Counted as it was watched.
fn as_watched(fact: &Fact) -> Option<Counted<'_>> {
    let Fact::Seen(seen) = fact else { return None };
    Some((&seen.deck, &seen.serve, seen.times))
}

/// Counted by the recorded points.
fn in_points(fact: &Fact) -> Option<Counted<'_>> {
    let Fact::Point(point) = fact else { return None };
    Some((&point.deck, point.serve.as_ref()?, 1))
}

/// How many times each serve was counted.
fn times_seen(
    desk: &Desk,
    deck: &Deck,
    counted: fn(&Fact) -> Option<Counted<'_>>,
) -> Result<std::collections::BTreeMap<String, u32>, Failure> {
    let mut seen = std::collections::BTreeMap::new();
    for event in &desk.journal()?.events {
        if let Some((of, serve, times)) = counted(&event.fact)
            && of == deck.key
            && let Some(serve) = deck.serve_now_or_once(serve)
        {
            *seen.entry(serve.id.to_string()).or_insert(0) += times;
        }
    }
    Ok(seen)
}

fn show(arguments: &ShowArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    if arguments.whom.opponent().is_none() && home.deck_stems()?.len() != 1 {
        return list(arguments.json, home, world);
    }
    let (_, deck) = desk.opponent(arguments.whom.opponent())?;
    print(&deck, player, arguments.json, desk, world)
}

fn print(
    deck: &Deck,
    player: &Player,
    json: bool,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let seen = times_seen(desk, deck, as_watched)?;
    let times = |serve: &crate::game::Serve| seen.get(serve.id.as_str()).copied().unwrap_or(0);
    let page = crate::page::scouted::scouted(deck, player, &times);
    if json {
        writeln!(world.out, "{}", crate::page::json(&page))?;
        Ok(())
    } else {
        write!(world.out, "{}", page.text(world.width))?;
        Ok(())
    }
}

/// One line for each opponent.
fn list(json: bool, home: &Home, world: &mut World<'_>) -> Result<(), Failure> {
    #[derive(serde::Serialize)]
    struct Known {
        file: String,
        opponent: String,
        serves: usize,
        planned: usize,
        switches: usize,
    }
    let opponents: Vec<_> = home
        .decks()?
        .into_iter()
        .map(|(file, deck)| Known {
            file,
            opponent: crate::base::text::one_line(&deck.opponent),
            serves: deck.active().count(),
            planned: deck.planned().count(),
            switches: deck.switches.len(),
        })
        .collect();
    if json {
        writeln!(world.out, "{}", crate::page::json(&opponents))?;
        return Ok(());
    }
    if opponents.is_empty() {
        return Err(no_opponent());
    }
    for opponent in opponents {
        let count = crate::base::text::count;
        writeln!(
            world.out,
            "{}  {}, {} with a receive, {}",
            crate::base::text::fit(&opponent.opponent, 34),
            count(opponent.serves, "serve"),
            opponent.planned,
            match opponent.switches {
                0 => "no switch".to_owned(),
                1 => "1 switch".to_owned(),
                several => format!("{several} switches"),
            }
        )?;
    }
    Ok(())
}

fn starters(arguments: &StartersArguments, world: &mut World<'_>) -> Result<(), Failure> {
    use crate::deck::Starter;
    if let Some(name) = &arguments.name {
        write!(world.out, "{}", new::starter(name)?.text)?;
        return Ok(());
    }
    for starter in Starter::ALL {
        writeln!(world.out, "{:<24}{}", starter.name, starter.about)?;
    }
    writeln!(world.err)?;
    writeln!(world.err, "Common practice, not real players. To begin with one:")?;
    writeln!(world.err, "  secondball scout NAME --hand right --from-starter pendulum-pair")?;
    Ok(())
}
