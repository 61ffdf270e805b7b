//! What came of taking a phone's answers in.

use serde::Serialize;

use crate::base::{Day, text};

/// Patterns named one by one before the rest is only counted.
const NAMED: usize = 5;

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
        let mut lines = vec![self.taken_in()];
        lines.extend(
            self.new_serves
                .iter()
                .map(|serve| format!("  {serve}; give it a receive with `secondball plan choose`")),
        );
        let events = |number: usize, what: &str| {
            (number > 0).then(|| format!("{} {what}", text::count(number, "event")))
        };
        lines.extend(events(self.known, "here already"));
        let shown = self.unknown_patterns.len().min(NAMED);
        let more = match self.unknown_patterns.len() - shown {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let patterns = self.unknown_patterns[..shown].join(", ");
        lines.extend(events(
            self.unknown,
            &format!(
                "about patterns this home does not hold ({patterns}{more}); kept, they count when the deck is here"
            ),
        ));
        lines.extend(events(self.set_aside, "set aside"));
        lines.iter().map(|line| text::wrap(line, width, "    ") + "\n").collect()
    }

    fn taken_in(&self) -> String {
        let parts: Vec<String> = [
            (self.answers, "answer", ""),
            (self.lets, "let", ""),
            (self.balls, "ball", ""),
            (self.debriefs, "debrief", ""),
            (self.seen, "serve", " seen again"),
            (self.new_serves.len(), "new serve", ""),
            (self.taken_back, "slip", " taken back"),
        ]
        .into_iter()
        .filter(|(number, ..)| *number > 0)
        .map(|(number, noun, after)| text::count(number, noun) + after)
        .collect();
        let days = match self.days {
            _ if parts.is_empty() => return "nothing new".to_owned(),
            Some((first, last)) if first != last => {
                format!(", {} to {}", first.spoken(), last.spoken())
            }
            Some((first, _)) => format!(", {}", first.spoken()),
            None => String::new(),
        };
        format!("taken in: {}{days}", text::and_list(&parts))
    }
}
