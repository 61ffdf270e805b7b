//! Floor 2: what happened, as append-only facts, one JSON object a line.
//!
//! A fact stores what was shown, given and measured, never a grade: grades are derived when the
//! journal is folded, so better rules can be applied to old answers. How lines reach the disk is
//! `store`'s work.

mod at_table;
mod bounds;
mod event;
mod line;
mod renames;

pub use at_table::{TableMade, TableResults};
pub use bounds::{judge_fact, judge_head};
pub use event::{
    Answer, Ball, Debrief, DebriefServe, Event, EventId, Fact, Going, How, HowMany, Input, Point,
    Quality, Seen, Stage, Switched,
};
pub use line::{Head, Header, LineError, read_head, read_line, write_gone, write_line};
pub use renames::Renames;

/// The version of the phone page's data and of the answers it gives back.
pub const PHONE_FORMAT: u32 = 1;
