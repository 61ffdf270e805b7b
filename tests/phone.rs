//! The phone page: its logic beside the machine at home, the file itself, the answers it gives back.

#![expect(clippy::unwrap_used, reason = "a test that cannot set up its page must fail")]

mod decks;
mod drift;
mod engine;
mod logic;
mod page;
mod read;
