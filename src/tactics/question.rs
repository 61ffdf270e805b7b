//! What tactics is asked about one opponent, and the beliefs every answer to it starts from.

use crate::deck::{Deck, Player};
use crate::game::{MatchLength, Receive, ReceiveKey, Serve, ServeId};
use crate::receive::{Meeting, UNLISTED_OF_TEN, usual_of_ten};
use crate::tactics::drops::ReadDrop;
use crate::tactics::duel::ReceiveRates;
use crate::tactics::history::OpponentHistory;
use crate::tactics::rates::{Belief, STRENGTH, Tally};
use crate::tactics::record::Record;
use crate::tactics::stroke_rates::{SharedBelief, StrokeRates};
use crate::tactics::usual::{self, RECEIVER_WINS};

/// What a receive is expected to lose per unlisted tenth that does not land. Assumption.
const WORTH_OF_LANDING: f64 = 0.02;
/// Points won on the own serve before anything is known: the other side of "receivers win slightly
/// under half".
const SERVER_WINS: f64 = 0.52;
/// Fewest points waited for, and fewest not waited for, before the measured drop replaces the
/// assumed one.
const READS_NEEDED: f64 = 8.0;

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// The opponent, lanes already the player's own.
    pub deck: &'a Deck,
    /// The player.
    pub player: &'a Player,
    /// What the journal says about this opponent.
    pub history: &'a OpponentHistory,
    /// What it says about strokes, over all opponents.
    pub strokes: &'a StrokeRates,
    /// Length of the match.
    pub length: MatchLength,
    /// The drop when read, instead of the assumed one.
    pub drop: Option<ReadDrop>,
    /// Seed of the order of a mix.
    pub seed: u64,
}

impl<'a> Question<'a> {
    /// A serve of this opponent as the player meets it.
    pub(crate) fn meeting<'m>(&self, serve: &'m Serve) -> Meeting<'m>
    where
        'a: 'm,
    {
        Meeting { serve, deck: self.deck, player: Some(self.player), bats: None }
    }

    /// The belief about a pattern.
    pub fn belief(&self, serve: &ServeId, receive: &Receive) -> Belief {
        self.shared_belief(serve, receive).alone()
    }

    /// The same, with the part of what is not known that all receives have in common: what is
    /// usual, moved by how the player does against this opponent and by how reliable the player
    /// says the stroke is, then points.
    pub(crate) fn shared_belief(&self, serve: &ServeId, receive: &Receive) -> SharedBelief {
        let key = ReceiveKey::from_receive(receive);
        let (level, unsure) = self.strokes.level(self.history, Some((serve, &key)));
        let record = self.history.patterns.get(&(serve.clone(), key));
        let beyond = record.and_then(|record| record.beyond_stroke);
        let mean = (self.mean(receive, self.deck.serve(serve), beyond) + level).clamp(0.05, 0.95);
        self.strokes.belief(record.map_or_else(Tally::default, |it| it.tally), mean, unsure)
    }

    /// What a receive wins on average before any point of it, whoever the opponent is.
    /// `beyond` is what its record says it has beyond its stroke.
    fn mean(&self, receive: &Receive, serve: Option<&Serve>, beyond: Option<f64>) -> f64 {
        let of = |serve| usual::beyond_stroke(Meeting::new(serve, self.deck), receive);
        let beyond = beyond.or_else(|| serve.map(of)).unwrap_or(0.0);
        let mean = self.strokes.mean(receive.stroke) + beyond;
        // Without any repertoire every stroke is taken to be as reliable as usual.
        let usual = usual_of_ten(receive.stroke);
        let of_ten = match self.player.of_ten(receive, serve) {
            Some(of_ten) => f64::from(of_ten),
            None if self.player.repertoire.is_empty() => usual,
            None => f64::from(UNLISTED_OF_TEN),
        };
        (mean + WORTH_OF_LANDING * (of_ten - usual)).clamp(0.05, 0.95)
    }

    /// The share of points won on the opponent's serve, whatever the receive.
    pub(crate) fn receiving(&self) -> Belief {
        self.history.receiving.belief(Belief::from_mean(RECEIVER_WINS, STRENGTH))
    }

    /// The share of points won on the own serve.
    pub(crate) fn serving(&self) -> Belief {
        self.history.own_serve.belief(Belief::from_mean(SERVER_WINS, STRENGTH))
    }

    /// What being read costs, as given or assumed.
    pub(crate) fn assumed_drop(&self) -> ReadDrop {
        self.drop.unwrap_or(ReadDrop::ASSUMED)
    }

    /// Rates of a receive that wins `rate` of all points, and whether its drop is only assumed.
    pub(crate) fn rates_when_read(
        &self,
        receive: &Receive,
        serve: Option<&Serve>,
        record: &Record,
        rate: f64,
    ) -> (ReceiveRates, bool) {
        let is_enough = |tally: Tally| tally.played >= READS_NEEDED;
        let is_measured = is_enough(record.waited_for) && is_enough(record.not_waited_for);
        if self.drop.is_none() && is_measured {
            let prior =
                Belief::from_mean(self.mean(receive, serve, record.beyond_stroke), STRENGTH);
            let unread = record.not_waited_for.belief(prior).mean();
            let read = record.waited_for.belief(prior).mean();
            return (ReceiveRates { unread, drop: (unread - read).clamp(0.0, unread) }, false);
        }
        (ReceiveRates { unread: rate, drop: self.assumed_drop().within(rate) }, true)
    }
}
