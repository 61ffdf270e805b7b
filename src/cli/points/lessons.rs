//! `points lessons`: what the newest match says, what to change, and the switch worth making.

use clap::Args;

use crate::base::text;
use crate::cli::plan_advise::{AdviseArguments, Weighed};
use crate::cli::{Desk, Failure, Result, World};
use crate::page::lessons::LessonsView;

/// What the points say of every answer, and what to do before the next meeting
#[derive(Debug, Args)]
#[command(
    mut_arg("best_of", |it| it.help("The next match is the best of 3, 5 or 7 games")),
    after_help = "Examples:\n  secondball points lessons Kim\n  secondball points lessons Kim short-fh\n  secondball points lessons Kim --drop 0.25 --json"
)]
pub(super) struct LessonsArguments {
    #[command(flatten)]
    asked: AdviseArguments,
}

/// Prints the lessons.
pub(super) fn run(arguments: &LessonsArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let asked = &arguments.asked;
    let dossier = desk.dossier(asked.whom.opponent(), world)?;
    let (deck, history, stem) = (dossier.deck, dossier.history, dossier.stem);
    if history.is_empty() {
        return Err(Failure::request(
            format!("no match against {} yet", text::one_line(&deck.opponent)),
            format!(
                "`secondball points {stem}` records one, `secondball debrief {stem}` takes a minute afterwards"
            ),
        ));
    }
    let Weighed { lessons, switches, .. } = asked.weigh(&dossier, world.seed)?;
    let page = LessonsView { deck, history, lessons, switches };
    world.print_either(asked.json, || page.json(), |width| page.text(width))?;
    if asked.json { Ok(()) } else { world.next(&format!("plan advise {stem}")) }
}
