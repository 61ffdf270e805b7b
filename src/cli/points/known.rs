//! What advice, lessons, worth and sheet are asked about: one opponent, the journal folded, the drill's forecasts.

use crate::base::{Day, Finding, OutOfBounds};
use crate::cli::{Desk, Failure, Overview, World};
use crate::deck::Deck;
use crate::game::{MatchLength, PatternKey};
use crate::journal::{Event, Fact, Stage};
use crate::tactics::drops::ReadDrop;
use crate::tactics::families::Families;
use crate::tactics::history::OpponentHistory;
use crate::tactics::question::Question;
use crate::tactics::reserve::Drilled;

/// Answers to the switched serve after its call, below which no share of old answers is given.
const FEWEST_AFTER_CALL: usize = 6;

impl From<OutOfBounds> for Failure {
    fn from(error: OutOfBounds) -> Self {
        Self::Findings(vec![Finding::error(error.to_string())])
    }
}

/// One opponent with everything known about them.
pub(crate) struct Known<'d> {
    /// The home as it is today.
    pub board: Overview<'d>,
    /// The file stem of the deck.
    pub stem: String,
    /// The deck, lanes as the player names them.
    pub deck: Deck,
    /// The points and debriefs about this deck.
    pub history: OpponentHistory,
    /// Receive families over every opponent.
    pub families: Families,
}

/// The facts of a journal with their days, as the fold takes them.
pub(crate) fn facts<'e>(
    events: impl IntoIterator<Item = &'e Event, IntoIter: Clone>,
) -> impl Iterator<Item = (Day, &'e Fact)> + Clone {
    events.into_iter().map(|event| (event.day, &event.fact))
}

impl<'d> Known<'d> {
    /// Reads it.
    ///
    /// # Errors
    /// [`Failure`] when there is no such opponent or the home cannot be read.
    pub fn load(
        desk: &'d Desk,
        world: &mut World<'_>,
        opponent: Option<&str>,
    ) -> Result<Self, Failure> {
        let (stem, deck) = desk.opponent(opponent)?;
        Ok(Self::of_board(desk.overview(world)?, stem, &deck))
    }

    /// The same from a home that is read already, with everything that ever happened.
    pub fn of_board(board: Overview<'d>, stem: String, deck: &Deck) -> Self {
        let deck = deck.seen_by(board.player.hand);
        let history = OpponentHistory::from_facts(&deck, facts(board.events));
        let others = board
            .decks
            .iter()
            .filter(|(other, _)| *other != stem)
            .map(|(_, other)| OpponentHistory::from_facts(other, facts(board.events)))
            .collect::<Vec<_>>();
        let families = Families::from_histories(others.iter().chain([&history]));
        Self { board, stem, deck, history, families }
    }

    /// The question put to tactics.
    pub const fn question(
        &self,
        length: MatchLength,
        drop: Option<ReadDrop>,
        seed: u64,
    ) -> Question<'_> {
        Question {
            deck: &self.deck,
            player: self.board.player,
            history: &self.history,
            families: &self.families,
            length,
            drop,
            seed,
        }
    }

    /// The day recall is asked for: the next event, else today.
    pub fn match_day(&self) -> Day {
        self.board.player.next_event(self.board.today).map_or(self.board.today, |event| event.day)
    }

    /// What the drill says of a switch: the weakest of its new answers on match day, and how often the old
    /// one came out after a call.
    pub fn drilled(&self, name: &str) -> Drilled {
        let Some(switch) = self.deck.switch_called(name) else { return Drilled::default() };
        let day = self.match_day();
        let recalls: Vec<f64> = switch
            .changes
            .iter()
            .filter_map(|(serve, receive)| self.recall(&self.deck.pattern(serve, receive), day))
            .collect();
        let is_whole = recalls.len() == switch.changes.len() && !recalls.is_empty();
        let recall = is_whole.then(|| recalls.iter().copied().fold(1.0, f64::min));
        Drilled {
            recall,
            is_firm: recall.is_some_and(|recall| recall >= self.board.player.target),
            slip: self.slip(&switch.name),
        }
    }

    /// Recall of a pattern on a day, under today's or an earlier id of its serve; none when never drilled.
    pub fn recall(&self, key: &PatternKey, day: Day) -> Option<f64> {
        let recall = self.board.recall(key, day);
        (recall > 0.0).then_some(recall)
    }

    /// Share of old answers to the switched serve after a call of this switch.
    fn slip(&self, name: &str) -> Option<f64> {
        let (mut after, mut old_answers) = (0_usize, 0_usize);
        for event in self.board.events {
            let Fact::Answer(answer) = &event.fact else { continue };
            let Some(switched) = &answer.switch else { continue };
            if answer.deck != self.deck.key
                || answer.is_let
                || switched.name != name
                || switched.stage != Stage::After
            {
                continue;
            }
            let Some(old) = &switched.old else { continue };
            after += 1;
            old_answers += usize::from(answer.given.as_deref() == Some(old.as_str()));
        }
        (after >= FEWEST_AFTER_CALL).then(|| old_answers as f64 / after as f64)
    }
}
