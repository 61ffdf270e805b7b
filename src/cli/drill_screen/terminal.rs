//! The terminal while the drill has it, and everything that may end that: Ctrl-C, TERM, HUP, a
//! terminal that is gone. Whatever happens, it is given back as it was.

use std::io::{self, Stdout};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use ratatui_core::terminal::Terminal as Drawn;
use ratatui_crossterm::CrosstermBackend;
use ratatui_crossterm::crossterm::event::{self, Event, KeyCode, KeyEventKind, KeyModifiers};

use crate::cli::raw_terminal::RawTerminal;
use crate::drill::Act;

/// What came from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Came {
    /// Something for the machine.
    Act(Act),
    /// The key that pauses, and goes on from a pause.
    Hold,
    /// Nothing but time, or another size of the terminal.
    Nothing,
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

    pub(super) fn draw(
        &mut self,
        render: impl FnOnce(&mut ratatui_core::terminal::Frame<'_>),
    ) -> io::Result<()> {
        if let Some(drawn) = &mut self.drawn {
            drawn.draw(render)?;
        }
        Ok(())
    }

    /// True when a signal asked the program to end.
    pub(super) fn is_ending(&self) -> bool {
        self.ends.load(Ordering::Relaxed)
    }

    /// Waits at most so long for something from outside.
    pub(super) fn wait(&self, at_most: Duration) -> io::Result<Came> {
        // A signal must be seen soon even while nobody presses a key.
        let polled = event::poll(at_most.min(Duration::from_millis(100)));
        if self.is_ending() {
            return Ok(Came::Act(Act::Interrupt));
        }
        match polled {
            Ok(true) => {}
            Ok(false) => return Ok(Came::Nothing),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => return Ok(Came::Nothing),
            Err(error) => return Err(error),
        }
        Ok(match event::read()? {
            Event::Key(key) if key.kind == KeyEventKind::Press => {
                let is_control = key.modifiers.contains(KeyModifiers::CONTROL);
                match key.code {
                    KeyCode::Char('c' | 'd') if is_control => Came::Act(Act::Interrupt),
                    KeyCode::Char(_) if is_control => Came::Nothing,
                    KeyCode::Esc => Came::Act(Act::Pause),
                    KeyCode::Char('p' | 'P') => Came::Hold,
                    KeyCode::Char(key) => Came::Act(Act::Key(key)),
                    KeyCode::Enter => Came::Act(Act::Key('\n')),
                    KeyCode::Backspace => Came::Act(Act::Key('\u{8}')),
                    _ => Came::Nothing,
                }
            }
            _ => Came::Nothing,
        })
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
