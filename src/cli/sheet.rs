//! `sheet`: the bench sheet of one opponent, ordered by trouble, as text or as a page to print.

use std::path::PathBuf;

use clap::Args;

use crate::base::Finding;
use crate::cli::dossier::Dossier;
use crate::cli::launcher::own_table;
use crate::cli::values::match_length;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Result, World};
use crate::flight::Constants;
use crate::game::Serve;
use crate::memory::Standing;
use crate::page::sheet::{ServeTrouble, Sheet, sheet};
use crate::page::sheet_html::{Paper, html};
use crate::page::verdict_words::{at_the_bench, readiness, so_far};
use crate::receive::Bats;
use crate::tactics::lessons::Lessons;
use crate::tactics::usual::RECEIVER_WINS;
use crate::tactics::verdict::Verdicts;

/// Best of how many games the lessons on the sheet are weighed for.
const BEST_OF: u32 = 5;

/// The bench sheet: one page, ordered by trouble
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball sheet north\n\
        \x20 secondball sheet north --html sheet.html --paper a6")]
pub struct SheetArguments {
    /// The opponent.
    #[command(flatten)]
    pub whom: Whom,
    /// Write it to a file instead
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    pub out: Option<PathBuf>,
    /// Write a page to print, with table pictures
    #[arg(long, value_name = "FILE", conflicts_with_all = ["json", "out"])]
    pub html: Option<PathBuf>,
    /// The paper of the page: a4, letter or a6
    #[arg(long, value_name = "PAPER", default_value = "a4")]
    pub paper: Paper,
    /// Print it as JSON
    #[arg(long)]
    pub json: bool,
}

/// Prints the sheet.
///
/// # Errors
/// [`Failure`](crate::cli::Failure) when there is no such opponent.
pub fn run(arguments: &SheetArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let dossier = desk.dossier(arguments.whom.opponent(), world)?;
    let (constants, _) = own_table(desk)?;
    let sheet = sheet_of(&dossier, world.seed, &constants)?;
    if let Some(file) = &arguments.html {
        let page = html(&sheet, arguments.paper);
        let page = page.map_err(|error| Finding::error(error.to_string()))?;
        crate::store::write_page(file, &page)?;
        Ok(writeln!(world.err, "wrote {}, to print on {}", file.display(), arguments.paper)?)
    } else if let Some(file) = &arguments.out {
        world.write_page(file, &sheet.text(world.width))
    } else {
        world.print(&sheet, arguments.json, Sheet::text)
    }
}

/// The sheet of an opponent, as it is printed here and as the phone page takes it along.
///
/// # Errors
/// None for a journal of less than a million points.
pub(crate) fn sheet_of(dossier: &Dossier<'_>, seed: u64, constants: &Constants) -> Result<Sheet> {
    let verdicts = Verdicts::judge(dossier.question(match_length(BEST_OF)?, None, seed));
    let lessons = Lessons::from_verdicts(&verdicts);
    let trouble = |serve: &Serve| {
        let planned = dossier.deck.plan.get(&serve.id);
        let rate = planned
            .map_or(RECEIVER_WINS, |receive| verdicts.question.belief(&serve.id, receive).mean());
        trouble(dossier, serve, rate, &lessons)
    };
    let at_table = dossier.home.at_table();
    let trouble = |serve: &Serve| {
        let planned = dossier.deck.plan.get(&serve.id);
        let key = planned.map(|receive| dossier.deck.pattern(&serve.id, receive));
        let made = key.and_then(|key| at_table.find(&key));
        let known = trouble(serve);
        // What is not made at the table costs the point, however well it is known.
        let is_weak = made.is_some_and(|made| !made.is_ready());
        let weight = if is_weak { dossier.deck.share(&serve.id) } else { known.weight };
        ServeTrouble { at_table: made, weight, ..known }
    };
    let ready = |name: &str| Some(readiness(dossier.drilled(name)).to_owned());
    let board = &dossier.home;
    let told =
        lessons.sentences.iter().map(|(word, said)| format!("After {word} you wrote: {said}"));
    let before: Vec<String> = told.collect();
    let mut sheet = sheet(dossier.deck, board.player, board.today, &trouble, &ready, &before);
    let seen = dossier.deck.seen_by(board.player.hand);
    sheet.add_twins(&seen, &Bats::fly_twins(&seen, Some(board.player), constants));
    Ok(sheet)
}

/// How often the serve comes times the chance that it costs the point: not recalled, or recalled
/// and lost.
fn trouble(dossier: &Dossier<'_>, serve: &Serve, rate: f64, lessons: &Lessons) -> ServeTrouble {
    let planned = dossier.deck.plan.get(&serve.id);
    let recall = planned.and_then(|receive| {
        dossier.home.recall(&dossier.deck.pattern(&serve.id, receive), dossier.home.match_day())
    });
    let standing = match recall {
        None => Standing::Untried,
        Some(recall) if recall < dossier.home.player.wanted_share => Standing::Shaky,
        Some(_) => Standing::Ready,
    };
    let record = planned.map(|receive| dossier.history.record(&serve.id, receive));
    let points = record.filter(|record| record.behind() > 0.0).map(|record| so_far(&record));
    let lesson = lessons.lessons.iter().find(|lesson| lesson.serve == serve.id);
    let card = lesson.and_then(|lesson| Some((lesson.switch.clone()?, lesson.card?)));
    let due = lesson
        .and_then(|lesson| Some((lesson.due_switch()?.to_owned(), lesson.play_now().clone())));
    let drilled = |name: &str| dossier.drilled(name);
    let lesson = lesson.and_then(|lesson| at_the_bench(lesson, drilled));
    ServeTrouble {
        weight: dossier.deck.share(&serve.id) * (1.0 - recall.unwrap_or(0.0) * rate),
        standing: Some(standing.on_sheet()),
        points,
        lesson,
        card,
        due,
        ..ServeTrouble::default()
    }
}
