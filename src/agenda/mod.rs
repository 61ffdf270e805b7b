//! Floor 5: what to do today, what the forecast for the event is, and the one next thing.
//!
//! `memory` plans in bare numbers; here patterns get their weights from the decks, the event and the
//! scout's certainty, and the plan gets its words back. How it is printed is `page`'s work.

mod kept;
mod next;
mod patterns;
pub mod progress;
mod standing;
mod today;
mod towards;

pub use kept::days_kept;
pub use next::{Next, NextState, next_thing};
pub use patterns::{Part, Pattern, patterns};
pub use standing::{Lately, Slip, day_that_counts};
pub use today::{Agenda, Ahead, DayAhead, Due, Eve, Outlook, SECONDS_AN_ANSWER, agenda};
pub use towards::Known;
