//! The terminal while the drill has it, and everything that may end that: Ctrl-C, TERM, HUP, a
//! terminal that is gone. Whatever happens, it is given back as it was.

use std::io::{self, Stdout};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use ratatui_core::terminal::{Frame, Terminal as Drawn};
use ratatui_crossterm::CrosstermBackend;
use ratatui_crossterm::crossterm::event::{self, Event, KeyCode, KeyModifiers};

use crate::cli::raw_terminal::RawTerminal;
use crate::cli::{Failure, Result, World};
use crate::drill::Act;

/// Between two frames while something moves.
pub(super) const FRAME: Duration = Duration::from_millis(16);

/// The stopwatch of the program, milliseconds.
pub(super) fn stopwatch_ms(world: &World<'_>) -> u64 {
    u64::try_from(world.clock.elapsed().as_millis()).unwrap_or(u64::MAX)
}

/// The terminal, taken until it is dropped.
pub(super) struct Terminal {
    drawn: Option<Drawn<CrosstermBackend<Stdout>>>,
    raw: Option<RawTerminal>,
    ends: Arc<AtomicBool>,
    /// Set when the terminal is given back: from then on a signal ends the program as ever.
    is_given_back: Arc<AtomicBool>,
}

impl Terminal {
    /// Takes the terminal; with a whole screen, or only its keys.
    pub(super) fn take(has_screen: bool) -> io::Result<Self> {
        let ends = Arc::new(AtomicBool::new(false));
        // First the signals: from here on nothing can end the program with a raw terminal.
        let is_given_back = Arc::new(AtomicBool::new(false));
        let mut taken = Self {
            drawn: None,
            raw: None,
            ends: Arc::clone(&ends),
            is_given_back: Arc::clone(&is_given_back),
        };
        for signal in [
            signal_hook::consts::SIGINT,
            signal_hook::consts::SIGTERM,
            #[cfg(unix)]
            signal_hook::consts::SIGHUP,
        ] {
            signal_hook::flag::register_conditional_default(signal, Arc::clone(&is_given_back))?;
            signal_hook::flag::register(signal, Arc::clone(&ends))?;
        }
        #[cfg(unix)]
        end_without_terminal(&is_given_back)?;
        if has_screen {
            taken.raw = Some(RawTerminal::take_screen()?);
            taken.drawn = Some(Drawn::new(CrosstermBackend::new(io::stdout()))?);
        } else {
            taken.raw = Some(RawTerminal::take()?);
        }
        Ok(taken)
    }

    /// Draws a screen, where it was taken whole.
    ///
    /// # Errors
    /// [`Failure::Hangup`] when the terminal cannot be used any more, here as in
    /// [`Terminal::wait`].
    pub(super) fn draw(&mut self, render: impl FnOnce(&mut Frame<'_>)) -> Result<()> {
        let drawn = self.drawn.as_mut().map_or(Ok(()), |drawn| drawn.draw(render).map(drop));
        drawn.map_err(|_| Failure::Hangup)
    }

    /// Waits at most so long for a key or a signal; none for anything else from outside.
    pub(super) fn wait(&self, at_most: Duration) -> Result<Option<Act>> {
        // A signal must be seen soon even while nobody presses a key.
        let polled = event::poll(at_most.min(Duration::from_millis(100)));
        if self.ends.load(Ordering::Relaxed) {
            return Ok(Some(Act::Interrupt));
        }
        match polled {
            Ok(true) => Ok(act(&event::read().map_err(|_| Failure::Hangup)?)),
            Ok(false) => Ok(None),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => Ok(None),
            Err(_) => Err(Failure::Hangup),
        }
    }
}

/// What a key asks for.
fn act(event: &Event) -> Option<Act> {
    let key = event.as_key_press_event()?;
    let is_control = key.modifiers.contains(KeyModifiers::CONTROL);
    match key.code {
        KeyCode::Char('c' | 'd') if is_control => Some(Act::Interrupt),
        KeyCode::Char(_) if is_control => None,
        KeyCode::Esc => Some(Act::Pause),
        KeyCode::Char(key) => Some(Act::Key(key)),
        KeyCode::Enter => Some(Act::Key('\n')),
        KeyCode::Backspace => Some(Act::Key('\u{8}')),
        _ => None,
    }
}

/// How long after a signal the drill may take to end by itself.
#[cfg(unix)]
const GRACE: Duration = Duration::from_millis(1500);

/// Ends the program when a terminal that was closed keeps it from seeing the signal: reading keys
/// from a terminal that is gone never comes back. Every answer given is on the disk by then.
#[cfg(unix)]
fn end_without_terminal(is_given_back: &Arc<AtomicBool>) -> io::Result<()> {
    let mut signals = signal_hook::iterator::Signals::new([
        signal_hook::consts::SIGHUP,
        signal_hook::consts::SIGTERM,
    ])?;
    let is_given_back = Arc::clone(is_given_back);
    std::thread::spawn(move || {
        for signal in signals.forever() {
            std::thread::sleep(GRACE);
            if is_given_back.load(Ordering::Relaxed) {
                continue;
            }
            if signal_hook::low_level::emulate_default_handler(signal).is_err() {
                return;
            }
        }
    });
    Ok(())
}

impl Drop for Terminal {
    fn drop(&mut self) {
        self.drawn = None;
        self.raw = None;
        self.is_given_back.store(true, Ordering::Relaxed);
    }
}
