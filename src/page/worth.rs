//! What an improvement is worth, as a page: one serve in full, or every serve in a table.

use serde::Serialize;

use crate::deck::Deck;
use crate::game::{End, Match};
use crate::page::numbers::points_behind;
use crate::page::text_page::filled_text;
use crate::page::worded::{CalledServe, Worded};
use crate::tactics::worth::ImprovementWorth;

/// The page.
#[derive(Debug, Clone, Serialize)]
pub struct WorthPage {
    /// The opponent.
    pub opponent: String,
    /// From which score, in words.
    pub from: String,
    /// One improvement each; the last one is about every serve alike when there are several.
    pub(crate) worths: Vec<Worded<ImprovementWorth, CalledServe>>,
    /// How much is known of the own serve, and of receiving.
    pub known: (String, String),
}

impl WorthPage {
    /// The page; `behind` is how many points are known of the own serve, and of receiving.
    pub fn new(deck: &Deck, at: &Match, worths: Vec<ImprovementWorth>, behind: (f64, f64)) -> Self {
        let called = |data: ImprovementWorth| {
            let called = data.serve.as_ref().map(|serve| deck.called(serve));
            Worded { data, words: CalledServe { called } }
        };
        let (me, them) = (at.game.me, at.game.them);
        let from = if at.games_me + at.games_them + me + them == 0 {
            "the first ball".to_owned()
        } else {
            let serves = if at.game.server() == End::Me { "you serve" } else { "they serve" };
            format!("{}-{} in games, {me}-{them}, {serves}", at.games_me, at.games_them)
        };
        Self {
            opponent: deck.opponent.clone(),
            from: format!("{from}, best of {}", at.length.games()),
            worths: worths.into_iter().map(called).collect(),
            known: (points_behind(behind.0), points_behind(behind.1)),
        }
    }

    /// The page as text, `width` columns at most.
    pub fn text(&self, width: usize) -> String {
        filled_text(include_str!("templates/worth.txt"), self, width)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::MatchLength;

    #[test]
    fn an_improvement_is_said_in_points_of_a_hundred() {
        let page = |improvement| {
            let worth = ImprovementWorth {
                serve: None,
                share: 1.0,
                improvement,
                serving: 0.5,
                receiving: (0.4, 0.4 + improvement),
                game: (0.4, 0.5),
                match_chance: (0.4, 0.5),
                ranges: ((0.4, 0.6), (0.3, 0.5)),
                match_range: (0.2, 0.6),
                is_match_known: true,
                seen_a_game: 9.0,
            };
            let start = Match::start(MatchLength::best_of(5).unwrap(), End::Me);
            WorthPage::new(
                &Deck::new("Invented", "abc234".to_owned()),
                &start,
                vec![worth],
                (0.0, 0.0),
            )
            .text(80)
        };
        for (improvement, said) in [
            (0.05, "\n5 more of 100 against"),
            (-0.025, "\n2.5 fewer of 100 against"),
            (0.1, "\n10 more of 100 against"),
        ] {
            assert!(page(improvement).contains(said), "{}", page(improvement));
        }
    }
}
