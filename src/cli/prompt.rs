//! What is typed at a terminal, with its own editing keys: a line, yes or no.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

use console::{Key, Term};
use dialoguer::theme::SimpleTheme;
use dialoguer::{Confirm, Input};

use crate::base::text;
use crate::cli::{Failure, Result};

/// A line typed at the terminal; none when Ctrl-D ends the questions.
pub fn prompt(question: &str) -> Result<Option<String>> {
    let (question, terminal) = (text::printed(question), Term::stderr());
    asked(|| {
        terminal.write_str(&format!("{question}: "))?;
        // The editing line does not tell Ctrl-D, so the first key is read before it begins.
        let first = loop {
            match terminal.read_key()? {
                Key::Char('\u{4}') => {
                    terminal.write_line("")?;
                    return Ok(None);
                }
                Key::Enter => {
                    terminal.write_line("")?;
                    return Ok(Some(String::new()));
                }
                Key::Char(letter) if !letter.is_control() => break letter,
                _ => {}
            }
        };
        let columns = usize::from(terminal.size().1).max(1);
        terminal.clear_line()?;
        terminal.clear_last_lines((text::width(&question) + 2) / columns)?;
        let input = Input::<String>::with_theme(&SimpleTheme).with_prompt(question.clone());
        input.with_initial_text(first).allow_empty(true).interact_text().map(Some)
    })
}

/// Yes or no, by y or n (the rest of a typed word is passed over) and Enter; `usual` on Enter
/// alone.
///
/// # Errors
/// [`Failure::Interrupted`] on Ctrl-C.
pub fn confirm(question: &str, usual: bool) -> Result<bool> {
    let confirm = Confirm::with_theme(&SimpleTheme)
        .with_prompt(text::printed(question))
        .default(usual)
        .wait_for_newline(true);
    asked(|| confirm.interact())
}

/// Asks. Ctrl-C then ends the question and not the program, which has something to say of what is
/// kept. A prompt that ends early leaves the cursor hidden: it is shown again whatever happened.
fn asked<T>(ask: impl FnOnce() -> dialoguer::Result<T>) -> Result<T> {
    static ENDS_ALL: OnceLock<Arc<AtomicBool>> = OnceLock::new();
    let ends_all = ENDS_ALL.get_or_init(|| {
        let ends_all = Arc::new(AtomicBool::new(true));
        // Where it cannot be registered, Ctrl-C ends the program as everywhere.
        let _ = signal_hook::flag::register_conditional_default(
            signal_hook::consts::SIGINT,
            Arc::clone(&ends_all),
        );
        ends_all
    });
    ends_all.store(false, Ordering::SeqCst);
    let ended = ask();
    ends_all.store(true, Ordering::SeqCst);
    ended.map_err(|dialoguer::Error::IO(error)| {
        // When even that fails there is no terminal left to mend.
        let _ = Term::stderr().show_cursor();
        Failure::from(error)
    })
}
