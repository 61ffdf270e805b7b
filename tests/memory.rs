//! The memory of answers against values from outside and against its own promises.

mod calendar;
mod deadline;
mod month;
mod published;
#[path = "support/rivals.rs"]
#[allow(dead_code, reason = "a test helper, of which not all is used everywhere")]
mod rival_cells;
mod rivals;
#[path = "support/seasons.rs"]
#[allow(
    dead_code,
    clippy::unwrap_used,
    reason = "a test helper, of which not all is used everywhere"
)]
mod seasons;
