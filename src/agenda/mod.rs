//! Floor 6: what to do today, what the forecast for the event is, and the one next thing.
//!
//! `memory` plans in bare numbers; here patterns get their weights from the decks, the event and
//! the scout's certainty. What is said of it all, and how it is printed, is `page`'s work.

mod day_round;
mod days;
mod kept;
mod next;
mod patterns;
pub mod progress;
mod standing;
mod today;
mod todo;
mod towards;

pub use day_round::DayRound;
pub use days::{DayLoad, SECONDS_AN_ANSWER};
pub use next::{NextState, NextThing, next_thing};
pub use patterns::{Pattern, PatternPart, patterns};
pub use standing::{
    AnswerStands, Lately, OpponentSpeed, READY_PERMILLE, Slip, Unready, day_that_counts,
};
pub use today::{Agenda, Ahead, Due, Eve, Goal, ListNote, agenda};
pub use todo::{DrillMode, Todo};
pub use towards::KeptPlan;
