//! The same round in lines: for who hears them at a terminal, and for keys from the standard input.

use std::time::Duration;

use super::keep::Keep;
use super::plain::Plain;
use super::terminal::{Came, Terminal};
use super::voice::Voice;
use super::waiting::{Cue, ended_by_choice, lost, meant, pause_for, stopwatch_ms};
use crate::base::text;
use crate::cli::{Failure, World};
use crate::drill::{Act, GO, Machine, Phase, Said, UNDO};

/// An Enter so soon after an answer ends its line, milliseconds.
const LINE_END_MS: u64 = 1200;

/// Plays a round in lines at a terminal.
///
/// # Errors
/// [`Failure`] when it is broken off, or the terminal or the journal is gone.
pub(super) fn in_lines(
    machine: &mut Machine,
    terminal: &Terminal,
    voice: &mut Voice,
    world: &mut World<'_>,
    keep: &mut Keep,
) -> Result<(), Failure> {
    let mut plain = Plain::waiting();
    let mut cue = Cue::default();
    let mut answered_ms = None;
    loop {
        let now_ms = stopwatch_ms(world);
        let said = machine.act(now_ms, Act::Tick);
        show_lines(&mut plain, machine, now_ms, "\r\n", world)?;
        let picture = machine.picture(now_ms);
        if cue.is_new(machine, &picture) {
            voice.say(picture.words.as_deref().unwrap_or_default());
        }
        keep.said(world.clock.now(), &said)?;
        if machine.is_done() {
            return Ok(());
        }
        let came = terminal.wait(pause_for(machine, now_ms, true)).map_err(lost)?;
        let now_ms = stopwatch_ms(world);
        let Some(act) = meant(came, machine, now_ms) else { continue };
        // Who ends a line as lines are ended has not asked for the next ball.
        let ends_line = act == Act::Key('\n')
            && answered_ms.is_some_and(|ms| now_ms.saturating_sub(ms) < LINE_END_MS);
        if ends_line {
            answered_ms = None;
            continue;
        }
        press(machine, now_ms, act, "\r\n", world, keep)?;
        answered_ms = (machine.phase(now_ms) == Phase::Feedback).then_some(now_ms);
    }
}

/// Lines from the standard input, one key each; its end ends the round.
pub(super) fn piped(
    machine: &mut Machine,
    world: &mut World<'_>,
    keep: &mut Keep,
) -> Result<(), Failure> {
    let mut plain = Plain::waiting();
    let mut line = String::new();
    while !machine.is_done() {
        // Without keys between them, moments pass by themselves until one is wanted.
        let now_ms = stopwatch_ms(world);
        let said = machine.act(now_ms, Act::Tick);
        show_lines(&mut plain, machine, now_ms, "\n", world)?;
        keep.said(world.clock.now(), &said)?;
        if let Some(asked) = machine.asked(now_ms).filter(|asked| asked.from_ms > now_ms) {
            std::thread::sleep(Duration::from_millis(asked.from_ms - now_ms));
            continue;
        }
        world.out.flush()?;
        let came = if !world.read_line(&mut line)? {
            Came::Act(Act::Interrupt)
        } else {
            match line.trim() {
                "" => Came::Act(Act::Key(GO)),
                "pause" => Came::Act(Act::Pause),
                "p" | "P" => Came::Hold,
                key => Came::Act(Act::Key(key.chars().next().unwrap_or(GO))),
            }
        };
        let now_ms = stopwatch_ms(world);
        let Some(act) = meant(came, machine, now_ms) else { continue };
        press(machine, now_ms, act, "\n", world, keep)?;
    }
    let now_ms = stopwatch_ms(world);
    show_lines(&mut plain, machine, now_ms, "\n", world)
}

/// A key of somebody who hears lines: it is kept, and taking an answer back is told and waits, because the next ball
/// would be thrown over the words.
fn press(
    machine: &mut Machine,
    now_ms: u64,
    act: Act,
    end: &str,
    world: &mut World<'_>,
    keep: &mut Keep,
) -> Result<(), Failure> {
    let is_undo =
        matches!(act, Act::Key(key) if key.to_ascii_lowercase() == UNDO || key == '\u{8}');
    let picture = machine.picture(now_ms);
    let is_kept = is_undo && picture.feedback.as_ref().is_some_and(|told| told.can_undo);
    let mut said = Vec::new();
    if is_kept && picture.phase == Phase::Feedback {
        said.extend(machine.act(now_ms, Act::Pause));
    }
    said.extend(machine.act(now_ms, act));
    keep.said(world.clock.now(), &said)?;
    if is_undo {
        let words = if said.contains(&Said::Undo) {
            "Taken back; its ball comes again soon."
        } else {
            "There is nothing to take back now."
        };
        write!(world.out, "{words}{end}")?;
        world.out.flush()?;
    }
    ended_by_choice(machine, act)
}

/// Prints what is new in the picture, a line each.
///
/// # Errors
/// [`Failure`] when it cannot be printed.
pub(super) fn show_lines(
    plain: &mut Plain,
    machine: &Machine,
    now_ms: u64,
    end: &str,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let lines = plain.lines(&machine.picture(now_ms));
    for line in &lines {
        let wrapped = text::wrap(line, world.width, "  ");
        for part in wrapped.lines() {
            write!(world.out, "{part}{end}")?;
        }
    }
    if !lines.is_empty() {
        world.out.flush()?;
    }
    Ok(())
}
