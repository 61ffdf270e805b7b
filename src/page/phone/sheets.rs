//! The bench sheets on the page: what [`crate::page::sheet`] says, in its order and its words,
//! set by the template so that it can be read without a script; and beside each switch what it
//! cost in the drill.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::agenda::progress::SwitchWeek;
use crate::base::text;
use crate::drill::Measured;
use crate::page::sheet::Sheet;

/// The sheet of one opponent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhoneSheet {
    /// The sheet as it is printed.
    pub sheet: Sheet,
    /// What each switch that was called in the drill cost, by its name.
    pub costs: BTreeMap<String, String>,
}

/// What the switch cost in its last week, and how many balls say so.
pub fn cost_words(week: &SwitchWeek) -> String {
    let said = |one: &Measured, times: f64, unit: &str| match one.value {
        Some(value) => {
            format!("{:+.0} {unit} ({} behind it)", value * times, text::count(one.balls, "ball"))
        }
        None => format!("too few for {unit} ({})", text::count(one.balls, "ball")),
    };
    format!(
        "in the drill, week of {}: {}, {}",
        week.from.spoken(),
        said(&week.cost_ms, 1.0, "ms"),
        said(&week.cost_wrong, 100.0, "wrong of 100")
    )
}
