//! What the pictures are drawn from.

use super::advice::MostOften;
use super::answers::{Answered, Answers, Timed};
use super::period::PeriodLength;
use crate::agenda::todo::{DrillMode, Todo};
use crate::base::{Day, text};
use crate::deck::{Deck, Player};
use crate::journal::Event;
use crate::memory::{Grade, Memories};

/// Everything the pictures are drawn from.
pub struct ProgressRequest<'a> {
    pub player: &'a Player,
    /// The decks with their file stems: all, or the one that is asked about.
    pub decks: &'a [(String, Deck)],
    /// The opponent, when only one is asked about.
    pub opponent: Option<&'a str>,
    /// The memory of every pattern.
    pub memories: &'a Memories,
    /// The journal in its order; plain answers of before the last thirty days may be left out.
    pub events: &'a [Event],
    /// The timed answers of the whole journal.
    pub answers: &'a Answers,
    pub today: Day,
}

impl ProgressRequest<'_> {
    /// The deck with this key, with its file stem.
    pub(super) fn deck(&self, key: &str) -> Option<&(String, Deck)> {
        self.decks.iter().find(|(_, deck)| deck.key == key)
    }

    /// The timed answers asked about.
    pub(super) fn answered(&self) -> Answered<'_> {
        self.answers.answered(self.decks, self.opponent.is_none())
    }

    /// What to type when nothing was answered yet: the first opponent with a plan is drilled, due
    /// or not.
    pub(super) fn begin(&self) -> Todo {
        let planned = self.decks.iter().find(|(_, deck)| deck.planned().next().is_some());
        match (planned, self.decks.first()) {
            (Some((stem, _)), _) => Todo::drill(DrillMode::Usual, Some(stem)),
            (None, Some((stem, _))) => Todo::ChoosePlan(stem.clone()),
            (None, None) => Todo::Scout,
        }
    }

    /// A round against the opponent of the last timed answer, due or not.
    pub(super) fn once_more(&self, answered: &Answered<'_>, mode: DrillMode) -> Todo {
        answered.last_deck.map_or_else(|| self.begin(), |deck| self.drill(mode, deck))
    }

    /// A round against the opponent with this key.
    pub(super) fn drill(&self, mode: DrillMode, deck: &str) -> Todo {
        Todo::drill(mode, self.deck(deck).map(|(stem, _)| stem))
    }

    /// The serve of which something was true most often in the periods from a day on.
    pub(super) fn most_often(
        &self,
        timed: &[Timed<'_>],
        step: PeriodLength,
        from: Day,
        is: impl Fn(Grade) -> bool,
    ) -> Option<MostOften> {
        let answers = timed.iter().rev().take_while(|one| step.begin(one.day) >= from);
        MostOften::count(answers, is, |deck, serve| match self.deck(deck) {
            Some((_, found)) => {
                let opponent = (self.decks.len() > 1).then(|| text::one_line(&found.opponent));
                (found.seen_by(self.player.hand).called(serve), opponent)
            }
            None => (serve.to_string(), None),
        })
    }
}
