//! `points lessons`: what the newest match says, what to change, and the switch worth making.

use clap::Args;

use crate::base::text;
use crate::cli::values::match_length;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::editing;
use crate::game::{End, Match};
use crate::page::lessons::LessonsView;
use crate::tactics::drops::ReadDrop;
use crate::tactics::lessons::Lessons;
use crate::tactics::reserve::rank;
use crate::tactics::verdict::Verdicts;

/// What the points say of every answer, and what to do before the next meeting
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball points lessons Kim\n  secondball points lessons Kim short-fh\n  secondball points lessons Kim --drop 0.25 --json"
)]
pub(super) struct LessonsArguments {
    #[command(flatten)]
    whom: Whom,
    /// The serve's short name; every serve without it
    serve: Option<String>,
    /// What an answer loses when it is read, of one point (assumed 0.15)
    #[arg(long, allow_negative_numbers = true, value_parser = crate::cli::values::number, value_name = "SHARE")]
    drop: Option<f64>,
    /// The next match is the best of 3, 5 or 7 games
    #[arg(long, value_name = "GAMES", default_value_t = 5)]
    best_of: u32,
    /// Print a document for programs
    #[arg(long)]
    json: bool,
}

/// Prints the lessons.
pub(super) fn run(arguments: &LessonsArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let length = match_length(arguments.best_of)?;
    let dossier = desk.dossier(arguments.whom.opponent(), world)?;
    if dossier.history.is_empty() {
        return Err(Failure::request(
            format!("no match against {} yet", text::one_line(&dossier.deck.opponent)),
            format!(
                "`secondball points {stem}` records one, `secondball debrief {stem}` takes a minute afterwards",
                stem = dossier.stem
            ),
        ));
    }
    let drop = arguments.drop.map(ReadDrop::new).transpose()?;
    let verdicts = Verdicts::judge(dossier.question(length, drop, world.seed));
    let drilled = |name: &str| dossier.drilled(name);
    let mut lessons = Lessons::from_verdicts(&verdicts);
    let mut switches = rank(&verdicts, &drilled, &Match::start(length, End::Me));
    if let Some(serve) = &arguments.serve {
        let id = editing::find_serve(dossier.deck, serve)?;
        lessons.keep_only(&id);
        switches.retain(|switch| switch.serves.contains(&id));
    }
    let page = LessonsView { deck: dossier.deck, history: dossier.history, lessons, switches };
    world.print_either(arguments.json, || page.json(), |width| page.text(width))?;
    if arguments.json { Ok(()) } else { world.next(&format!("plan advise {}", dossier.stem)) }
}
