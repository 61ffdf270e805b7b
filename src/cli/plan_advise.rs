//! `plan advise`: which receive or mix for each serve, how sure that is and why; then the switches.
//! `points lessons`: what the newest match says, what to change, and the switch worth making.

use clap::Args;

use crate::base::text;
use crate::cli::dossier::Dossier;
use crate::cli::values::{match_length, number};
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::editing;
use crate::game::{End, Match, ServeId};
use crate::page::advice::AdviceView;
use crate::page::lessons::LessonsView;
use crate::tactics::advice::advise;
use crate::tactics::drops::ReadDrop;
use crate::tactics::lessons::Lessons;
use crate::tactics::reserve::{Reserve, rank};
use crate::tactics::verdict::Verdicts;

/// Which receive to play against each serve, how sure that is, and why
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball plan advise Kim\n  secondball plan advise Kim short-fh\n  secondball plan advise Kim --drop 0.25 --best-of 7 --json"
)]
pub(super) struct AdviseArguments {
    #[command(flatten)]
    pub whom: Whom,
    /// The serve's short name; every serve without it
    serve: Option<String>,
    /// What an answer loses when it is read, of one point (assumed 0.15)
    #[arg(long, allow_negative_numbers = true, value_parser = number, value_name = "SHARE")]
    drop: Option<f64>,
    /// The match is the best of 3, 5 or 7 games
    #[arg(long, value_name = "GAMES", default_value_t = 5)]
    best_of: u32,
    /// Print a document for programs
    #[arg(long)]
    pub json: bool,
}

/// Every answer against an opponent judged; lessons and switches only of the serve asked for.
pub(super) struct Weighed<'d> {
    pub verdicts: Verdicts<'d>,
    pub lessons: Lessons,
    pub switches: Vec<Reserve>,
    pub only: Option<ServeId>,
}

impl AdviseArguments {
    /// Judges what is asked for.
    pub fn weigh<'d>(&self, dossier: &Dossier<'d>, seed: u64) -> Result<Weighed<'d>> {
        let length = match_length(self.best_of)?;
        let drop = self.drop.map(ReadDrop::new).transpose()?;
        let verdicts = Verdicts::judge(dossier.question(length, drop, seed));
        let mut lessons = Lessons::from_verdicts(&verdicts);
        let drilled = |name: &str| dossier.drilled(name);
        let mut switches = rank(&verdicts, &drilled, &Match::start(length, End::Me));
        let only = self.serve.as_ref().map(|serve| editing::find_serve(dossier.deck, serve));
        let only = only.transpose()?;
        if let Some(id) = &only {
            lessons.keep_only(id);
            switches.retain(|switch| switch.serves.contains(id));
        }
        Ok(Weighed { verdicts, lessons, switches, only })
    }
}

/// Prints the advice.
pub(super) fn run(arguments: &AdviseArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let dossier = desk.dossier(arguments.whom.opponent(), world)?;
    let Weighed { verdicts, lessons, switches, only } = arguments.weigh(&dossier, world.seed)?;
    let mut advice = advise(&verdicts);
    advice.serves.retain(|of| only.as_ref().is_none_or(|only| of.serve == *only));
    let (deck, stem) = (dossier.deck, dossier.stem);
    let page = AdviceView { deck, file: stem, advice, lessons, switches, seed: world.seed };
    world.print(&page.document(), arguments.json, |_, width| page.text(width))?;
    if arguments.json {
        return Ok(());
    }
    world.next(&if deck.active().next().is_none() {
        format!("scout add {stem}")
    } else if deck.unplanned().next().is_some() {
        format!("plan choose {stem}")
    } else {
        format!("drill --opponent {stem}")
    })
}

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
pub(super) fn run_lessons(
    arguments: &LessonsArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result {
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
    world.print(&page.document(), asked.json, |_, width| page.text(width))?;
    if asked.json { Ok(()) } else { world.next(&format!("plan advise {stem}")) }
}
