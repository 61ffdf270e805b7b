//! The advice: per serve, which receive or mix, how far that can be trusted, and what it is worth.
//!
//! A document of figures; the views put it into words. Every assumption that went in is in it.

mod choices;
mod document;
mod mixing;
mod notes;
mod weigh;

pub use choices::LEVEL;
pub use document::{Advice, AdviceNote, Choice, Mix, OtherDrop, ServeAdvice};
pub use weigh::advise;
