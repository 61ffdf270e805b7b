//! `drill`: timed recall. Which rounds there are is settled in [`rounds`](super::drill_screen), how
//! they are shown in the screen, the plain lines or without either; here only who plays and what is
//! told at the end.

use crate::cli::drill_arguments::DrillArguments;
use crate::cli::drill_screen::{DrillPlayer, Keep, Rounds};
use crate::cli::{Desk, Failure, World};
use crate::journal::{Event, Fact, Input};
use crate::page::drill::DrillSession;
use crate::store::Home;

/// Runs the drill.
///
/// # Errors
/// Nothing to drill; a file with mistakes; no terminal and no other way to play; interrupted.
pub fn run(arguments: &DrillArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let home = desk.home()?;
    if arguments.keep {
        refuse_beside_own(home)?;
    }
    let mut rounds = Rounds::settle(arguments, desk, world)?;
    let mut player = DrillPlayer::choose(arguments, world)?;
    let is_off = arguments.simulated && !arguments.keep;
    let mut keep = Keep::new(home, world, desk.player()?.day_begins, is_off)?;
    let mut summaries = Vec::new();
    let mut ended = player.open(&mut rounds, world, home)?;
    while let Some(script) = rounds.next(player.elapsed_ms(world)).filter(|_| ended.is_ok()) {
        let deck = script.deck.clone();
        let (summary, how) = player.play(script, world, &mut keep);
        rounds.took(deck, &summary);
        summaries.push(summary);
        world.kept = keep.count();
        ended = how;
    }
    player.close();
    if matches!(ended, Err(Failure::Hangup)) {
        // The terminal is gone: there is nobody to tell, and every answer is kept.
        return Err(Failure::Interrupted);
    }
    let key_time = rounds.key_time();
    let session = DrillSession::new(&summaries, key_time, rounds.before(), desk.today()?);
    world.print(&session, arguments.json, DrillSession::text)?;
    if world.is_terminal && !arguments.json && rounds.is_just_measured {
        let [two, six] = [2, 6].map(|keys| key_time.ms(keys));
        let words = format!(
            "Your keys: {two} ms among two, {six} ms among six. Every window leaves that time."
        );
        writeln!(world.out)?;
        world.say(&words, "")?;
    }
    ended
}

/// A simulated player's answers are kept only where no person has given any.
fn refuse_beside_own(home: &Home) -> Result<(), Failure> {
    let is_own = |event: &Event| matches!(&event.fact, Fact::Answer(answer) if answer.input != Input::Simulated);
    if home.journal()?.events.iter().any(is_own) {
        return Err(Failure::request(
            "this home holds your own answers; a simulated player's are not mixed with them",
            "leave `--keep` out, or name a home of its own with `--home DIR`",
        ));
    }
    Ok(())
}
