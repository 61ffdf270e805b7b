//! What an improvement is worth, as a page: one serve in full, or every serve in a table.

use serde::Serialize;

use crate::base::text;
use crate::page::numbers::{of_hundred, points_behind, range, signed};
use crate::page::paragraph::hung;
use crate::tactics::worth::ImprovementWorth;

/// The page.
#[derive(Debug, Clone, Serialize)]
pub struct WorthPage {
    /// The opponent.
    pub opponent: String,
    /// From which score, in words.
    pub from: String,
    /// One improvement each; the last one is about every serve alike when there are several.
    pub worths: Vec<ImprovementWorth>,
    /// How much is known of the own serve, and of receiving.
    pub known: (String, String),
}

/// `12.3`: a chance in points of a hundred, to a tenth.
fn tenth(chance: f64) -> String {
    format!("{:.1}", chance * 100.0)
}

/// `5 more of 100`, `2.5 fewer of 100`.
fn more(improvement: f64) -> String {
    let tenths = format!("{:.1}", improvement.abs() * 100.0);
    let which = if improvement < 0.0 { "fewer" } else { "more" };
    format!("{} {which} of 100", tenths.trim_end_matches(".0"))
}

impl WorthPage {
    /// The page; `behind` is how many points are known of the own serve, and of receiving.
    pub fn new(
        opponent: &str,
        from: String,
        worths: Vec<ImprovementWorth>,
        behind: (f64, f64),
    ) -> Self {
        let known = (points_behind(behind.0), points_behind(behind.1));
        Self { opponent: opponent.to_owned(), from, worths, known }
    }

    /// The page as text, `width` columns at most.
    pub fn text(&self, width: usize) -> String {
        let Some(first) = self.worths.first() else { return String::new() };
        let mut lines = vec![format!("WORTH  {}", text::one_line(&self.opponent))];
        lines.push(hung(
            "",
            &format!(
                "By the points so far you win about {} of 100 points on your serve ({}, {}) and {} on \
                 theirs with the plan as it stands now ({}, {}). The ranges hold the truth eight times in ten.",
                of_hundred(first.serving),
                self.known.0,
                range(first.ranges.0),
                of_hundred(first.receiving.0),
                self.known.1,
                range(first.ranges.1),
            ),
            width,
        ));
        lines.push(hung(
            "",
            &format!(
                "From {}: {} of 100 matches, {}.",
                self.from,
                of_hundred(first.match_chance.0),
                range(first.match_range)
            ),
            width,
        ));
        lines.push(String::new());
        match self.worths.as_slice() {
            [only] => one(&mut lines, only, width),
            several => table(&mut lines, several),
        }
        lines.push(String::new());
        lines.push(hung(
            "",
            "What is added is exact, by the laws of scoring and service order, for these rates; the rates are \
             only as good as the points behind them, and points are taken to be independent.",
            width,
        ));
        let mut page = lines.join("\n");
        page.push('\n');
        page
    }
}

fn one(lines: &mut Vec<String>, worth: &ImprovementWorth, width: usize) {
    let whom = worth.serve.as_ref().map_or("every serve".to_owned(), ToString::to_string);
    lines.push(hung(
        "",
        &format!(
            "{} against {whom} ({} of 100 serves, about {:.1} a game):",
            more(worth.improvement),
            of_hundred(worth.share),
            worth.seen_a_game
        ),
        width,
    ));
    let change = |label: &str, (before, after): (f64, f64), what: &str| {
        format!(
            "  {} {} -> {} of 100 {what}  ({})",
            text::fit(label, 14),
            tenth(before),
            tenth(after),
            signed(after - before)
        )
    };
    lines.push(change("on their serve", worth.receiving, "points"));
    lines.push(change("a game", worth.game, "games"));
    lines.push(change("the match", worth.match_chance, "matches"));
}

fn table(lines: &mut Vec<String>, worths: &[ImprovementWorth]) {
    let improvement = worths.first().map_or(0.0, |worth| worth.improvement);
    lines.push(format!("{} won against one serve, the most frequent first:", more(improvement)));
    lines.push(format!("  {} of 100 serves   the match", text::fit("serve", 24)));
    for worth in worths {
        let whom = worth.serve.as_ref().map_or("every serve alike".to_owned(), ToString::to_string);
        lines.push(format!(
            "  {} {:>13}   {} -> {} of 100 matches ({})",
            text::fit(&whom, 24),
            of_hundred(worth.share),
            of_hundred(worth.match_chance.0),
            of_hundred(worth.match_chance.1),
            signed(worth.match_chance.1 - worth.match_chance.0)
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_improvement_is_said_in_points_of_a_hundred() {
        assert_eq!(more(0.05), "5 more of 100");
        assert_eq!(more(-0.025), "2.5 fewer of 100");
        assert_eq!(more(0.1), "10 more of 100");
    }
}
