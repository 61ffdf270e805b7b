//! `phone read`: the answers a page gives back, each taken in once.

use std::io::Read;
use std::path::Path;

use super::taking::Taking;
use super::{FILE, PhoneFile, ReadArguments};
use crate::cli::{Desk, Failure, World};
use crate::import::phone_answers::{Brought, LARGEST_ANSWERS, PhoneTaken, read_answers};
use crate::store::{Trouble, read_page};

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
    let given =
        if arguments.file == Path::new("-") { pasted(world)? } else { read_page(&arguments.file)? };
    let Brought { events, findings, .. } =
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
    if arguments.json {
        writeln!(world.out, "{}", crate::page::json(&taken))?;
    } else {
        write!(world.out, "{}", taken.text(world.width))?;
    }
    Ok(())
}

/// Text on the standard input, not more than a phone can have sent.
fn pasted(world: &mut World<'_>) -> Result<String, Failure> {
    if world.is_terminal {
        writeln!(world.err, "Paste the text, then end with Ctrl-D:")?;
    }
    let mut bytes = Vec::new();
    let most = u64::try_from(LARGEST_ANSWERS).unwrap_or(u64::MAX).saturating_add(1);
    (&mut *world.input).take(most).read_to_end(&mut bytes)?;
    String::from_utf8(bytes)
        .map_err(|_| Failure::request("this is not text", "paste the text of the page whole"))
}
