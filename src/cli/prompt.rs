//! What is typed at a terminal, with its own editing keys: a line, yes or no.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

use dialoguer::theme::SimpleTheme;
use dialoguer::{Confirm, Input};

use crate::base::text;
use crate::cli::{Failure, Result};

/// A line typed at the terminal.
pub fn prompt(question: &str) -> Result<String> {
    let input = Input::<String>::with_theme(&SimpleTheme).with_prompt(text::printed(question));
    let input = input.allow_empty(true);
    asked(|| input.interact_text())
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
        let _ = console::Term::stderr().show_cursor();
        Failure::from(error)
    })
}
