//! What the points say of every opponent, for the screens that are about all of them: the plan, `secondball` alone
//! and `today`.

use crate::base::text;
use crate::cli::points::known::facts;
use crate::cli::values::match_length;
use crate::cli::{Failure, Overview};
use crate::deck::{Deck, Player};
use crate::journal::Fact;
use crate::tactics::families::Families;
use crate::tactics::history::OpponentHistory;
use crate::tactics::question::Question;
use crate::tactics::verdict::{Lesson, Verdict, Verdicts};

/// Games a match is the best of; no verdict depends on it.
const BEST_OF: u32 = 5;

/// One opponent's points.
struct Opponent {
    stem: String,
    deck: Deck,
    history: OpponentHistory,
}

/// Every opponent's points.
pub(crate) struct Standing {
    player: Player,
    opponents: Vec<Opponent>,
    families: Families,
}

impl Standing {
    /// The points of everybody on this board.
    pub fn of_board(board: &Overview<'_>) -> Self {
        let Overview { player, decks, events, .. } = *board;
        let points =
            events.iter().filter(|event| matches!(event.fact, Fact::Point(_) | Fact::Debrief(_)));
        let mut opponents = Vec::new();
        for (stem, deck) in decks {
            let deck = deck.seen_by(player.hand);
            let history = OpponentHistory::from_facts(&deck, facts(points.clone()));
            opponents.push(Opponent { stem: stem.clone(), deck, history });
        }
        let families = Families::from_histories(opponents.iter().map(|of| &of.history));
        Self { player: player.clone(), opponents, families }
    }

    fn lessons_of(&self, of: &Opponent) -> Result<Vec<Lesson>, Failure> {
        let question = Question {
            deck: &of.deck,
            player: &self.player,
            history: &of.history,
            families: &self.families,
            length: match_length(BEST_OF)?,
            drop: None,
            seed: 0,
        };
        Ok(Verdicts::judge(question).lessons)
    }

    /// The points against one opponent, and the verdict on every planned serve.
    pub fn of(&self, stem: &str) -> Result<Option<(&OpponentHistory, Vec<Lesson>)>, Failure> {
        match self.opponents.iter().find(|of| of.stem == stem) {
            Some(of) => Ok(Some((&of.history, self.lessons_of(of)?))),
            None => Ok(None),
        }
    }

    /// A line for every change that is due, over all opponents.
    pub fn changes_due(&self) -> Result<Vec<String>, Failure> {
        let mut lines = Vec::new();
        for of in self.opponents.iter().filter(|of| !of.history.is_empty()) {
            for lesson in self.lessons_of(of)? {
                if lesson.verdict != Verdict::Switch {
                    continue;
                }
                let what = match lesson.due_switch() {
                    Some(name) => format!("make the switch `{}`", text::one_line(name)),
                    None => "prepare another answer".to_owned(),
                };
                lines.push(format!(
                    "{}, {}: {what}; see `secondball points lessons {}`",
                    text::one_line(&of.deck.opponent),
                    lesson.serve,
                    of.stem
                ));
            }
        }
        Ok(lines)
    }
}

/// The changes due by the points, over all opponents.
pub(crate) fn changes(board: &Overview<'_>) -> Result<Vec<String>, Failure> {
    Standing::of_board(board).changes_due()
}
