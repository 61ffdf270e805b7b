//! The judgement of receives: a coach's table, and what holds whatever the words of a serve are.

#![expect(clippy::unwrap_used, reason = "a table that cannot be read must fail the test")]

use secondball::deck::ServeLine;
use secondball::game::Serve;

mod bats;
mod laws;
mod table;

/// A serve in words.
fn said(words: &str) -> Serve {
    let mut serve = Serve::default();
    ServeLine::read(words).unwrap().write_into(&mut serve).unwrap();
    serve
}
