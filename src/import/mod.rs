//! Floor 7: text from elsewhere to facts: a table of points, thrown balls, a phone's answers, a
//! session's results.
//!
//! What comes from outside is not trusted: every line is looked at, and what cannot be right is a
//! finding with its place. Which file or message it came from is `store`'s and `cli`'s affair.

mod message;
pub mod phone_answers;
pub mod points_csv;
pub mod session_results;
pub mod thrown_balls;
