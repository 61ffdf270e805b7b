//! A session at the table in words: the sheet for the terminal, the card to print, rows of CSV,
//! JSON.
//!
//! [`sheet`] builds one document; [`text`] and [`card`] set it, and the phone's caller takes its
//! labels from it.

mod balls;
mod block;
mod card;
mod document;
mod drills;
mod json;
mod knobs;
mod reasons;
mod rows;
mod set_up;
mod sheet;
mod text;
mod words;

pub use card::html;
pub use drills::drills_text;
pub use json::json;
pub use reasons::{all_cautions, cautions, refusal, short_cautions};
pub use rows::csv;
pub use text::text;

pub(super) use block::{answers, block_name, set_up_labels};
pub(super) use reasons::said_cautions;
pub(super) use sheet::{cannot, reading};
pub(super) use words::person_ball;
