//! `plan advise`: which receive or mix for each serve, how sure that is and why; then the switches.

use clap::Args;

use crate::cli::values::match_length;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Result, World};
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
pub(super) fn run(arguments: &AdviseArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let length = match_length(arguments.best_of)?;
    let dossier = desk.dossier(arguments.whom.opponent(), world)?;
    let drop = arguments.drop.map(ReadDrop::new).transpose()?;
    let verdicts = Verdicts::judge(dossier.question(length, drop, world.seed));
    let drilled = |name: &str| dossier.drilled(name);
    let mut advice = advise(&verdicts);
    let mut lessons = Lessons::from_verdicts(&verdicts);
    let mut switches = rank(&verdicts, &drilled, &Match::start(length, End::Me));
    if let Some(serve) = &arguments.serve {
        let id = editing::find_serve(dossier.deck, serve)?;
        advice.serves.retain(|of| of.serve == id);
        lessons.keep_only(&id);
        switches.retain(|switch| switch.serves.contains(&id));
    }
    let page = AdviceView {
        deck: dossier.deck,
        file: dossier.stem,
        advice,
        lessons,
        switches,
        seed: world.seed,
    };
    world.print_either(arguments.json, || page.json(), |width| page.text(width))?;
    if arguments.json {
        return Ok(());
    }
    let stem = dossier.stem;
    let next = if dossier.deck.active().next().is_none() {
        format!("scout add {stem}")
    } else if dossier.deck.unplanned().next().is_some() {
        format!("plan choose {stem}")
    } else {
        format!("drill --opponent {stem}")
    };
    world.next(&next)
}
