//! Figures in words, for all views: rates as "of 100 points", chances of a match in points of a
//! hundred.

use crate::base::Day;
use crate::journal::TableMade;
use crate::tactics::rates::Knowledge;

/// A rate as a whole number of points in a hundred.
pub(crate) fn of_hundred(rate: f64) -> String {
    format!("{:.0}", rate * 100.0)
}

/// A difference of chances, signed: `+1.4`.
pub(crate) fn signed(difference: f64) -> String {
    format!("{:+.1}", difference * 100.0)
}

/// `38 to 57`.
pub(crate) fn range((low, high): (f64, f64)) -> String {
    format!("{} to {}", of_hundred(low), of_hundred(high))
}

/// The scale of sureness of this program: how much so many points can carry.
pub(crate) fn sureness(points: f64) -> &'static str {
    match Knowledge::from_points(points) {
        Knowledge::PriorOnly => "a guess",
        Knowledge::Weak => "a hint",
        Knowledge::Usable => "likely",
        Knowledge::Solid => "sure",
    }
}

/// `no points`, `6 points`.
pub(crate) fn points(points: f64) -> String {
    match points.round() {
        ..1.0 => "no points".to_owned(),
        1.0 => "1 point".to_owned(),
        whole => format!("{whole:.0} points"),
    }
}

/// `no points`, `6 points (a hint)`.
pub(crate) fn points_behind(behind: f64) -> String {
    let sure = if behind < 0.5 { String::new() } else { format!(" ({})", sureness(behind)) };
    format!("{}{sure}", points(behind))
}

/// `once`, `9 times`.
pub(crate) fn times(number: usize) -> String {
    if number == 1 { "once".to_owned() } else { format!("{number} times") }
}

/// `1 match`, `2 matches`.
pub(crate) fn matches(number: usize) -> String {
    if number == 1 { "1 match".to_owned() } else { format!("{number} matches") }
}

/// `25 November 2026`.
pub(crate) fn date(day: Day) -> String {
    day.date().format("%-d %B %Y").to_string()
}

/// The letter of a choice: A, B, C.
pub(crate) fn letter(place: usize) -> char {
    u8::try_from(place).map_or('?', |place| char::from(b'A' + place.min(25)))
}

/// The letter of a mark in a drawing: A to Z, then a to z.
pub(crate) fn mark(place: usize) -> char {
    ('A'..='Z').chain('a'..='z').nth(place).unwrap_or('?')
}

/// What there is of an answer: its points, and `made 4 of 22 at the table: not ready`.
pub(crate) fn so_far_at_table(points: Option<String>, its: Option<TableMade>) -> Option<String> {
    let both: Vec<String> = points.into_iter().chain(its.map(made_at_table)).collect();
    (!both.is_empty()).then(|| both.join("; "))
}

/// How an answer went at the table: `made 4 of 22 at the table: not ready`.
pub(crate) fn made_at_table(its: TableMade) -> String {
    let ready = if its.is_ready() { "" } else { ": not ready" };
    format!("made {} of {} at the table{ready}", its.made, its.balls)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_behind_a_rate_are_counted_as_a_person_counts() {
        assert_eq!(points_behind(0.0), "no points");
        assert_eq!(points_behind(1.0), "1 point (a guess)");
        assert_eq!(points_behind(6.0), "6 points (a hint)");
        assert_eq!(points_behind(50.0), "50 points (sure)");
    }

    #[test]
    fn choices_are_lettered() {
        assert_eq!((letter(0), letter(7), letter(900)), ('A', 'H', '?'));
    }
}
