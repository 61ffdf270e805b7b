//! A panic gives the terminal back before it says what happened.
//!
//! A release ends at once when it panics: nothing is dropped on the way, so what holds the terminal cannot give
//! it back then. One hook does it instead, for the keys of every command and for the drill's screen.

use std::io::{self, Write};
use std::sync::atomic::{AtomicBool, Ordering};

use ratatui_crossterm::crossterm::terminal::{LeaveAlternateScreen, disable_raw_mode};
use ratatui_crossterm::crossterm::{cursor, execute};

/// True while a whole screen is taken.
static HAS_SCREEN: AtomicBool = AtomicBool::new(false);

/// Says that a whole screen is taken, or is given back.
pub(in crate::cli) fn note_screen(is_taken: bool) {
    HAS_SCREEN.store(is_taken, Ordering::Relaxed);
}

/// From here on a panic gives the terminal back first, then is told as ever.
pub(in crate::cli) fn give_terminal_back() {
    let told = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        mend(&mut io::stdout(), HAS_SCREEN.swap(false, Ordering::Relaxed));
        told(panic);
    }));
}

/// Nothing happens to a terminal that was never taken; one that is gone cannot be mended.
fn mend(out: &mut impl Write, has_screen: bool) {
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
        mend(&mut out, false);
        assert!(out.is_empty(), "output that is piped stays as it was");
        mend(&mut out, true);
        assert_eq!(out, b"\x1b[?1049l\x1b[?25h");
    }
}
