//! `plan advise`, which `points lessons` is too: what to play, keep and train, how sure that is; on
//! request why, and the tables.

use clap::Args;

use crate::cli::dossier::Dossier;
use crate::cli::values::{match_length, number};
use crate::cli::whom::Whom;
use crate::cli::{Desk, Result, World};
use crate::deck::editing;
use crate::game::{End, Match, ServeId};
use crate::page::advice::{AdviceView, Detail};
use crate::tactics::advice::advise;
use crate::tactics::drops::ReadDrop;
use crate::tactics::lessons::Lessons;
use crate::tactics::reserve::{Reserve, rank};
use crate::tactics::verdict::Verdicts;

/// What to play, keep and train against them, and how sure that is
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball plan advise north\n\
        \x20 secondball plan advise north --why\n\
        \x20 secondball plan advise north --best-of 7 --json")]
pub(super) struct AdviseArguments {
    #[command(flatten)]
    pub whom: Whom,
    /// The serve, in its short word; every serve without it
    serve: Option<String>,
    /// What an answer loses when it is read, of one point (assumed 0.15)
    #[arg(long, allow_negative_numbers = true, value_parser = number, value_name = "SHARE")]
    drop: Option<f64>,
    /// The match is the best of 3, 5 or 7 games
    #[arg(long, value_name = "GAMES", default_value_t = 5)]
    best_of: u32,
    /// Also why
    #[arg(long)]
    why: bool,
    /// Also why, with every receive and switch in tables
    #[arg(long)]
    all: bool,
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
    let (deck, history, file) = (dossier.deck, dossier.history, dossier.stem);
    let page = AdviceView { deck, file, history, advice, lessons, switches, seed: world.seed };
    let detail = match arguments {
        AdviseArguments { all: true, .. } => Detail::All,
        AdviseArguments { why: true, .. } => Detail::Why,
        _ => Detail::Short,
    };
    world.print(&page.document(), arguments.json, |_, width| page.text(detail, width))
}
