//! What came of taking a phone's answers in.

use minijinja::context;
use minijinja::value::Serde as Filled;
use serde::Serialize;

use crate::base::{Day, text};
use crate::page::text_page::filled_text;

/// What came of taking answers in.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct PhoneTaken {
    /// Answers, lets left out.
    pub answers: usize,
    /// Lets: taps before contact, which count for nothing.
    pub lets: usize,
    /// Balls at the table.
    pub balls: usize,
    pub debriefs: usize,
    pub seen: usize,
    /// Serves written down, as `opponent: serve`.
    pub new_serves: Vec<String>,
    /// Events taken back on the phone.
    pub taken_back: usize,
    /// Events that were here already.
    pub known: usize,
    pub set_aside: usize,
    /// Events about patterns this home does not hold; kept all the same.
    pub unknown: usize,
    /// Those patterns, as `deck/serve`.
    pub unknown_patterns: Vec<String>,
    /// The first and the last day of what was taken in.
    pub days: Option<(Day, Day)>,
}

impl PhoneTaken {
    /// In words, `width` columns wide.
    pub fn text(&self, width: usize) -> String {
        let days = self.days.map(|(first, last)| (first.spoken(), last.spoken()));
        let document = context! { taken => Filled(self), days };
        let page = filled_text(include_str!("../templates/phone_taken.txt"), &document, usize::MAX);
        page.lines().map(|line| text::wrap(line, width, "    ") + "\n").collect()
    }
}
