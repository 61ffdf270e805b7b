//! The memory of answers: what a pattern's history says about recalling it, and what to practise
//! on which day so that recall peaks when the match begins.
//!
//! Everything here is numbers: weights, days and states come in, picks and forecasts go out. The
//! words of serves and receives stay in `game`, the choice of weights in `agenda`.
//!
//! | file | holds |
//! |---|---|
//! | [`door`] | the one door to the crate `fsrs`: a state, what an answer does to it, recall |
//! | [`result`] | behaviour (key, time, window) to a result; never a self-rating |
//! | [`counted`] | which answers of a day count, and the history of one pattern |
//! | [`fold`] | the journal's answers to the memory of every pattern |
//! | [`forecast`] | recall on a day to come, untried / shaky / firm |
//! | [`daily`] | the daily list: above a target, or greedily towards an event |
//! | [`task`] | what is asked of the calendar: events, weights, what a day holds |
//! | [`calendar`] | the match-day calendar: `priced` days, or a `search` when there is little to plan |
//! | [`simulate`] | simulated players and invented patterns, the calendar's test bench |

pub mod calendar;
pub mod counted;
pub mod daily;
pub mod door;
pub mod fold;
pub mod forecast;
mod grid;
mod ladders;
mod placed;
mod priced;
pub mod result;
mod search;
pub mod simulate;
pub mod task;

pub use calendar::{Carried, Plan, Way, plan};
pub use counted::{Counting, History};
pub use daily::{Habits, Pick, daily_list, greedy_list};
pub use door::{MemoryError, Model, State};
pub use fold::{Judged, Memories};
pub use forecast::{Item, Standing};
pub use result::{Behaviour, Given, Grade, Kind, Outcome};
pub use task::{Budget, Event, Task};
