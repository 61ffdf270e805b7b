//! `phone read`: the answers a page gives back, each taken in once.

use std::path::{Path, PathBuf};

use super::matching::{FILE, PhoneFile};
use super::taking::Taking;
use crate::cli::{Desk, Failure, World};
use crate::import::phone_answers::{PhoneAnswers, read_answers};
use crate::page::phone::PhoneTaken;
use crate::store::Trouble;

/// Read the answers a page gave back
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  secondball phone read ~/Downloads/secondball-answers-2026-11-25.json\n  secondball phone read -      then paste the text and end with Ctrl-D"
)]
pub struct ReadArguments {
    /// The file the page saved, or - for text on the standard input
    pub file: PathBuf,
    /// Print what was taken in as JSON
    #[arg(long)]
    pub json: bool,
}

/// Reads answers.
///
/// # Errors
/// [`Failure`] when the answers are none of this home's or cannot be read.
pub(super) fn run(
    arguments: &ReadArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    let today = desk.today()?;
    let Some(file) = home.read_ron::<PhoneFile>(FILE)? else {
        return Err(Failure::request(
            "this home has never written a page",
            "name the home that has with `--home DIR`",
        ));
    };
    if arguments.file == Path::new("-") && world.is_terminal {
        writeln!(world.err, "Paste the text, then end with Ctrl-D:")?;
    }
    let given = world.read_page(&arguments.file)?;
    let PhoneAnswers { events, findings } =
        read_answers(&given, &file.key, today).map_err(Failure::Findings)?;
    world.tell(&findings)?;
    let mut decks = Vec::new();
    for stem in home.deck_stems()? {
        match home.judged_deck(&stem) {
            Ok(parsed) => decks.push((stem, parsed.value)),
            Err(Trouble::Findings(found)) => world.tell(&found)?,
            Err(trouble) => return Err(trouble.into()),
        }
    }
    let writer = home.writer(world.now, today)?;
    // Under the lock: nobody else brings the same answers meanwhile.
    let origins = home.origins()?;
    let mut taking = Taking {
        home: home.clone(),
        hand: player.hand,
        decks,
        writer,
        origins,
        taken: PhoneTaken { set_aside: findings.len(), ..PhoneTaken::default() },
        findings: Vec::new(),
    };
    for event in events {
        taking.event(event, world)?;
    }
    taking.writer.sync()?;
    let Taking { taken, findings, .. } = taking;
    world.tell(&findings)?;
    world.print(&taken, arguments.json, PhoneTaken::text)
}
