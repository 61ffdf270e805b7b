//! How it has gone: the facts of the journal folded into five pictures, each with one line that
//! says what to do about it.
//!
//! | file | holds |
//! |---|---|
//! | `recall` | the forecast of every pattern up to the event, or thirty days ahead |
//! | `windows` | the share of answers right, and right within the window, by day or week |
//! | `tempo` | where the staircase of the tempo settled, by day or week |
//! | `switching` | what a switch costs, week by week, with the balls behind it |
//! | `at_table` | made and missed at the table, serve by serve |
//! | `film` | reading the player's own film, by where it goes black |
//! | `request`, `document` | what the pictures are drawn from, and all five of them |
//! | `advice`, `period` | the line that says what to do, as data; days and weeks |
//! | `answers` | the timed answers behind `windows` and `tempo`, of the last weeks one by one |
//!
//! The limits by which a line speaks are assumptions of the tool; each stands beside its picture.
//! The document, with the lines put into words, is what `progress --json` prints, a form that other
//! programs may rely on:
//!
//! ```text
//! player, today, opponent (or null), has_simulated,
//! recall:   {event (or null), until, target, days: [..], patterns: [{deck, opponent, serve,
//!            receive, part, standing,
//!            now, then, at_stake, curve: [one of each day; empty while untried],
//!            wrong_lately: [wrong, of] or null}],
//!            checked: {answers, said_permille: a sum, came}, advice},
//! windows:  {step: day | week, periods: [{from, answers, right, in_window}], advice},
//! tempo:    {step, periods: [{from, answers, permille, is_settled, reversals}], advice},
//! switches: {costs: [{deck, opponent, name, weeks: [{from, cost_ms: {value (or null), balls},
//!            cost_wrong: {..},
//!            after, old_answers}], advice}], none: advice or null},
//! table:    {since, hand, opponents: [{deck, opponent, serves: [{serve, words, receives: [..],
//!            lane, depth, made,
//!            missed, wrong}], advice}], none: advice or null},
//! film:     [{cut_ms, right, of}], of the last thirty days
//! ```
//!
//! Every `advice` is `{is_due, says, command (or null)}`; shares are 0 to 1, days are `2026-11-29`.

mod advice;
mod answers;
mod at_table;
mod document;
mod film;
mod period;
mod recall;
mod request;
mod switching;
mod tempo;
mod windows;

pub use advice::{Counsel, Lack, MostOften, Remark};
pub use answers::Answers;
pub use at_table::{AtTable, ServeBalls, TableOf};
pub use document::{Progress, progress};
pub use film::FilmCut;
pub use period::PeriodLength;
pub use recall::{DRAWN, PatternRecall, Recall};
pub use request::ProgressRequest;
pub use switching::{SwitchCost, SwitchWeek, Switches, switches};
pub use tempo::{Tempi, TempoPeriod};
pub use windows::{Period, Windows};
