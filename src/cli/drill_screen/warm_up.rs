//! The warm-up of the keys at the screen, before the first round.

use super::look::Look;
use super::rounds::Rounds;
use super::terminal::{FRAME, Terminal, stopwatch_ms};
use super::view;
use crate::cli::{Failure, World};
use crate::drill::{Act, WarmUp, cell_of_key};
use crate::store::Home;

/// Before the first prompt, milliseconds.
const FIRST_GAP_MS: u64 = 600;

/// Measures the keys and writes their time down for this device.
///
/// # Errors
/// [`Failure`] when the player ends the program, or the terminal or the home is gone.
pub(super) fn warm_up(
    terminal: &mut Terminal,
    look: Look,
    rounds: &mut Rounds<'_>,
    world: &World<'_>,
    home: &Home,
) -> Result<(), Failure> {
    let mut warm_up = WarmUp::new(world.seed);
    let mut has_begun = false;
    // When the prompt comes: each after a moment, so that two presses never run into each other.
    let mut from_ms = 0;
    let mut shown_ms = None;
    while let Some(prompt) = warm_up.prompt() {
        let now_ms = stopwatch_ms(world);
        let prompt = Some(prompt).filter(|_| has_begun && now_ms >= from_ms);
        if prompt.is_some() {
            shown_ms.get_or_insert(now_ms);
        }
        let progress = warm_up.progress();
        terminal.draw(|frame| view::draw_warm_up(frame, has_begun, prompt, progress, look))?;
        match terminal.wait(FRAME)? {
            Some(Act::Interrupt) => return Err(Failure::Interrupted),
            Some(Act::Pause | Act::Key('p' | 'P')) => return Ok(()),
            Some(Act::Key(' ' | '\n')) if !has_begun => {
                has_begun = true;
                from_ms = stopwatch_ms(world) + FIRST_GAP_MS;
            }
            Some(Act::Key(key)) => {
                let (Some(began_ms), Some(cell)) = (shown_ms, cell_of_key(key)) else { continue };
                let ms = stopwatch_ms(world).saturating_sub(began_ms);
                if warm_up.pressed(cell, u32::try_from(ms).unwrap_or(u32::MAX)) {
                    from_ms = stopwatch_ms(world) + 350 + (began_ms * 7919) % 400;
                    shown_ms = None;
                }
            }
            _ => {}
        }
    }
    match warm_up.key_time() {
        Some(key_time) => rounds.measured(key_time, home),
        None => Ok(()),
    }
}
