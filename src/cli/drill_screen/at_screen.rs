//! A person at the drill's screen: the round, and the warm-up of the keys before it.

use super::keep::Keep;
use super::rounds::{Rounds, key_time_file};
use super::terminal::{Came, Terminal};
use super::view::{self, Look};
use super::voice::Voice;
use super::waiting::{Cue, FRAME, ended_by_choice, lost, meant, pause_for, stopwatch_ms};
use crate::cli::{Failure, World};
use crate::drill::{Act, Machine, WarmUp, cell_of_key};
use crate::store::Home;

/// Plays a round at the screen.
///
/// # Errors
/// [`Failure`] when it is broken off, or the terminal or the journal is gone.
pub(super) fn at_screen(
    machine: &mut Machine,
    terminal: &mut Terminal,
    look: Look,
    voice: &mut Voice,
    world: &World<'_>,
    keep: &mut Keep,
) -> Result<(), Failure> {
    let mut spoken = None;
    let mut cue = Cue::default();
    loop {
        let now_ms = stopwatch_ms(world);
        let mut said = machine.act(now_ms, Act::Tick);
        let picture = machine.picture(now_ms);
        terminal.draw(|frame| view::draw(frame, &picture, look)).map_err(lost)?;
        if cue.is_new(machine, &picture) {
            spoken.clone_from(&picture.words);
            if !spoken.as_deref().is_some_and(|words| voice.say(words)) {
                bell();
            }
        }
        // The feedback stands on the screen: now there is time for the disk.
        keep.said(world.clock.now(), &said)?;
        if machine.is_done() {
            return Ok(());
        }
        let came = terminal.wait(pause_for(machine, now_ms, look.is_still)).map_err(lost)?;
        if let Some(act) = meant(came, machine, stopwatch_ms(world)) {
            if act != Act::Tick && spoken.is_some() {
                voice.hush();
            }
            said = machine.act(stopwatch_ms(world), act);
            let now_ms = stopwatch_ms(world);
            let picture = machine.picture(now_ms);
            terminal.draw(|frame| view::draw(frame, &picture, look)).map_err(lost).or_else(
                // Whatever became of the screen: the answer comes first.
                |failure| keep.said(world.clock.now(), &said).and(Err(failure)),
            )?;
            keep.said(world.clock.now(), &said)?;
            ended_by_choice(machine, act)?;
        }
    }
}

/// Rings the terminal's bell.
fn bell() {
    use std::io::Write;
    let mut out = std::io::stdout();
    // A terminal without a bell is no trouble.
    let _ = out.write_all(b"\x07").and_then(|()| out.flush());
}

/// The warm-up of the keys, before the first round.
pub(super) fn warm_up(
    terminal: &mut Terminal,
    look: Look,
    rounds: &mut Rounds,
    world: &World<'_>,
    home: &Home,
) -> Result<(), Failure> {
    let mut warm_up = WarmUp::new(world.seed);
    let mut has_begun = false;
    let mut shown_ms = stopwatch_ms(world);
    // Each prompt comes after a moment, so that two presses never run into each other.
    let mut from_ms = shown_ms;
    while warm_up.prompt().is_some() {
        let now_ms = stopwatch_ms(world);
        let prompt = warm_up.prompt().filter(|_| has_begun && now_ms >= from_ms);
        if prompt.is_some() && shown_ms < from_ms {
            shown_ms = now_ms;
        }
        let progress = warm_up.progress();
        terminal
            .draw(|frame| view::draw_warm_up(frame, has_begun, prompt, progress, look))
            .map_err(lost)?;
        match terminal.wait(FRAME).map_err(lost)? {
            Came::Act(Act::Interrupt) => return Err(Failure::Interrupted),
            Came::Act(Act::Pause) | Came::Hold => return Ok(()),
            Came::Act(Act::Key(' ' | '\n')) if !has_begun => {
                has_begun = true;
                from_ms = stopwatch_ms(world) + 600;
                shown_ms = 0;
            }
            Came::Act(Act::Key(key)) if prompt.is_some() => {
                let ms = stopwatch_ms(world).saturating_sub(shown_ms);
                let before = warm_up.progress().0;
                if let Some(cell) = cell_of_key(key) {
                    warm_up.pressed(cell, u32::try_from(ms).unwrap_or(u32::MAX));
                }
                if warm_up.progress().0 != before {
                    let gap_ms = 350 + (shown_ms * 7919) % 400;
                    from_ms = stopwatch_ms(world) + gap_ms;
                    shown_ms = 0;
                }
            }
            _ => {}
        }
    }
    if let Some(key_time) = warm_up.key_time() {
        rounds.key_time = key_time;
        rounds.is_just_measured = true;
        home.write_ron(&key_time_file(home), &key_time)?;
    }
    Ok(())
}
