//! `plan advise`: which receive or mix for each serve, how sure that is and why; then the switches.

use clap::Args;

use crate::cli::points::known::Known;
use crate::cli::values::match_length;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, World};
use crate::deck::editing;
use crate::game::{End, Match};
use crate::page::advice::AdviceView;
use crate::tactics::advice::advise;
use crate::tactics::drops::ReadDrop;
use crate::tactics::lessons::Lessons;
use crate::tactics::reserve::rank;
use crate::tactics::verdict::Verdicts;

/// Which receive to play against each serve, how sure that is, and why
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball plan advise Kim\n  secondball plan advise Kim short-fh\n  secondball plan advise Kim --drop 0.25 --best-of 7 --json"
)]
pub(super) struct AdviseArguments {
    #[command(flatten)]
    whom: Whom,
    /// The serve's short name; every serve without it
    serve: Option<String>,
    /// What an answer loses when it is read, of one point (assumed 0.15)
    #[arg(long, allow_negative_numbers = true, value_parser = crate::cli::values::number, value_name = "SHARE")]
    drop: Option<f64>,
    /// The match is the best of 3, 5 or 7 games
    #[arg(long, value_name = "GAMES", default_value_t = 5)]
    best_of: u32,
    /// Print a document for programs
    #[arg(long)]
    json: bool,
}

/// Prints the advice.
pub(super) fn run(
    arguments: &AdviseArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let length = match_length(arguments.best_of)?;
    let known = Known::load(desk, world, arguments.whom.opponent())?;
    let drop = arguments.drop.map(ReadDrop::new).transpose()?;
    let verdicts = Verdicts::judge(known.question(length, drop, world.seed));
    let drilled = |name: &str| known.drilled(name);
    let mut advice = advise(&verdicts);
    let mut lessons = Lessons::from_verdicts(&verdicts);
    let mut switches = rank(&verdicts, &drilled, &Match::start(length, End::Me));
    if let Some(serve) = &arguments.serve {
        let id = editing::find_serve(&known.deck, serve)?;
        advice.serves.retain(|of| of.serve == id);
        lessons.keep_only(&id);
        switches.retain(|switch| switch.serves.contains(&id));
    }
    let page = AdviceView {
        deck: &known.deck,
        file: &known.stem,
        advice,
        lessons,
        switches,
        seed: world.seed,
    };
    if arguments.json {
        writeln!(world.out, "{}", page.json())?;
        return Ok(());
    }
    write!(world.out, "{}", page.text(world.width))?;
    let stem = &known.stem;
    if known.deck.active().next().is_none() {
        writeln!(world.err, "Next: secondball scout add {stem}")?;
    } else if known.deck.unplanned().next().is_some() {
        writeln!(world.err, "Next: secondball plan choose {stem}")?;
    } else {
        writeln!(world.err, "Next: secondball drill --opponent {stem}")?;
    }
    Ok(())
}
