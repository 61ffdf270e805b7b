//! The memory of answers: what a pattern's history says about recalling it, and what to practise
//! on which day so that recall peaks when the match begins.
//!
//! Everything here is numbers: weights, days and states come in, picks and forecasts go out. The
//! words of serves and receives stay in `game`, the choice of weights in `agenda`. Sums return
//! plain values; only a [`MemoryState`] read from elsewhere can be refused.
//!
//! | file | holds |
//! |---|---|
//! | `door` | the one door to the crate `fsrs`: a state, what an answer does to it, recall |
//! | [`result`] | behaviour (key, time, window) to a result; never a self-rating |
//! | `counted` | which answers of a day count, and the history of one pattern |
//! | [`fold`] | the journal's answers to the memory of every pattern |
//! | `forecast` | recall on a day to come, untried / shaky / slow / ready |
//! | `daily` | the daily list above a target, without an event |
//! | `record` | what the player has kept of what was planned so far |
//! | `task` | what is asked of the calendar: events, weights, what a day holds |
//! | `calendar` | the match-day calendar: a `search` when there is little to plan, else prices |
//! | `board` | what both plan on: days, events, patterns in plain numbers |
//! | `priced` | **the pricing**: prices of days, moved until what is wanted fits |
//! | `valued`, `grid`, `placed` | what a memory is worth at given prices |

mod board;
mod calendar;
mod counted;
mod daily;
mod door;
pub mod fold;
mod forecast;
mod grid;
mod placed;
mod priced;
mod record;
pub mod result;
mod search;
mod task;
mod valued;

pub use calendar::{Carried, DayAhead, Plan, plan};
pub use counted::History;
pub use daily::{Habits, Pick, daily_list, gain};
pub use door::{MemoryState, Model, days_between};
pub use fold::Memories;
pub use forecast::{Checked, Item, NINE_IN_TEN, RecallShare, Standing};
pub use record::Regularity;
pub use result::{Behaviour, Given, Grade, Outcome};
pub use task::{Budget, EventWeights, Task};
