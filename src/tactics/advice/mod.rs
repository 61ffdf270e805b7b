//! The advice: per serve, which receive or mix, how far that can be trusted, and what it is worth.
//!
//! A document of figures; the views put it into words. Every assumption that went in is in it.

mod choices;
mod mixing;
mod weigh;

pub use choices::{Choice, LEVEL, RATED_FROM};
pub use mixing::{Mix, OtherDrop};
pub use weigh::{Advice, AdviceNote, ServeAdvice, advise};
