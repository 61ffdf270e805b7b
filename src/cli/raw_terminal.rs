//! The terminal in raw mode, given back whatever happens: at the end, at an error, at a panic.
//!
//! A release ends at once when it panics: nothing is dropped on the way, so the guard cannot give
//! the terminal back then. One hook does it instead.

use std::io::{self, Write};
use std::sync::atomic::{AtomicBool, Ordering};

use ratatui_crossterm::crossterm::event::{KeyCode, KeyModifiers, read};
use ratatui_crossterm::crossterm::terminal::{
    EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use ratatui_crossterm::crossterm::{cursor, execute};

use crate::cli::{Failure, Result};

/// True while a whole screen is taken.
static HAS_SCREEN: AtomicBool = AtomicBool::new(false);

/// The terminal in raw mode until this is dropped.
pub(in crate::cli) struct RawTerminal;

impl RawTerminal {
    /// Takes the keys.
    pub fn take() -> io::Result<Self> {
        enable_raw_mode()?;
        Ok(Self)
    }

    /// Takes the keys and the whole screen.
    pub fn take_screen() -> io::Result<Self> {
        let taken = Self::take()?;
        HAS_SCREEN.store(true, Ordering::Relaxed);
        execute!(io::stdout(), EnterAlternateScreen, cursor::Hide)?;
        Ok(taken)
    }

    /// Waits for the next press of a key.
    ///
    /// # Errors
    /// [`Failure::Interrupted`] for Ctrl-C and Ctrl-D.
    #[expect(clippy::unused_self, reason = "single keys come only while the terminal is raw")]
    pub fn press(&self) -> Result<KeyCode> {
        loop {
            let Some(key) = read()?.as_key_press_event() else { continue };
            let is_control = key.modifiers.contains(KeyModifiers::CONTROL);
            return match key.code {
                KeyCode::Char('c' | 'd') if is_control => Err(Failure::Interrupted),
                code => Ok(code),
            };
        }
    }
}

impl Drop for RawTerminal {
    fn drop(&mut self) {
        give_back(&mut io::stdout(), HAS_SCREEN.swap(false, Ordering::Relaxed));
    }
}

/// From here on a panic gives the terminal back before it says what happened.
pub(in crate::cli) fn give_back_at_a_panic() {
    let say = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        give_back(&mut io::stdout(), HAS_SCREEN.swap(false, Ordering::Relaxed));
        say(panic);
    }));
}

/// Nothing happens to a terminal that was never taken; where it is gone none of this can succeed.
fn give_back(out: &mut impl Write, has_screen: bool) {
    if has_screen {
        let _ = execute!(out, LeaveAlternateScreen, cursor::Show);
    }
    let _ = disable_raw_mode();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_screen_that_was_taken_is_left() {
        let mut out = Vec::new();
        give_back(&mut out, false);
        assert!(out.is_empty(), "output that is piped stays as it was");
        give_back(&mut out, true);
        assert_eq!(out, b"\x1b[?1049l\x1b[?25h");
    }
}
