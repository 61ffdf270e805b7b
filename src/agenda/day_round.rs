//! What a day's round asks, opponent by opponent: what is due and what was wrong lately, then
//! practice against the one who is met.

use super::patterns::{PatternPart, is_met};
use super::today::Agenda;
use crate::base::Day;
use crate::deck::{Deck, Player, Switch};
use crate::drill::Called;
use crate::game::ServeId;
use crate::memory::Memories;

/// A switch is mixed with the plan once its receives were answered on so many days before.
const KNOWN_DAYS: u32 = 2;

/// What is asked against one opponent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayRound {
    /// The deck's file stem.
    pub stem: String,
    /// Serves whose receive is asked from memory: wrong lately, then due.
    pub due: Vec<ServeId>,
    /// The same under switches, by name.
    pub called: Vec<(String, Vec<ServeId>)>,
    /// Whether practice follows.
    pub is_practised: bool,
}

impl DayRound {
    /// Nothing from memory.
    pub const fn new(stem: String) -> Self {
        Self { stem, due: Vec::new(), called: Vec::new(), is_practised: false }
    }

    /// How many answers are asked from memory.
    pub fn due_count(&self) -> usize {
        self.due.len() + self.called.iter().map(|(_, due)| due.len()).sum::<usize>()
    }

    /// The switches to be called: those with something due, and those known well enough to be
    /// practised.
    pub fn called<'d>(&self, deck: &'d Deck, memories: &Memories, today: Day) -> Vec<Called<'d>> {
        let is_known = |switch: &Switch| {
            switch.changes.iter().all(|(id, receive)| {
                let history = memories.get(&deck.pattern(id, receive));
                history.is_some_and(|past| past.behind(today.number()).counted_days >= KNOWN_DAYS)
            })
        };
        let called = deck.switches.iter().map(|switch| {
            let due = self.called.iter().find(|(name, _)| *name == switch.name);
            let due = due.map(|(_, due)| due.clone()).unwrap_or_default();
            Called { switch, due, is_practised: is_known(switch) }
        });
        called.filter(|called| called.is_practised || !called.due.is_empty()).collect()
    }
}

impl Agenda {
    /// The rounds of today: one an opponent, the one who is practised against last.
    pub fn rounds(&self, player: &Player, decks: &[(String, Deck)]) -> Vec<DayRound> {
        let mut rounds: Vec<DayRound> = Vec::new();
        let slips = self.slips.iter().map(|slip| (&slip.deck, &slip.serve, &slip.part));
        let due = self.list.iter().map(|due| (&due.deck, &due.serve, &due.part));
        for (stem, serve, part) in slips.chain(due) {
            let Ok(serve) = serve.parse::<ServeId>() else { continue };
            let place = rounds.iter().position(|round| round.stem == *stem);
            let place = place.unwrap_or_else(|| {
                rounds.push(DayRound::new(stem.clone()));
                rounds.len() - 1
            });
            let round = &mut rounds[place];
            let serves = match part {
                PatternPart::Plan => &mut round.due,
                PatternPart::Switch(name) => {
                    let at = round.called.iter().position(|(known, _)| known == name);
                    let at = at.unwrap_or_else(|| {
                        round.called.push((name.clone(), Vec::new()));
                        round.called.len() - 1
                    });
                    &mut round.called[at].1
                }
            };
            if !serves.contains(&serve) {
                serves.push(serve);
            }
        }
        if let Some(stem) = self.practised(player, decks, &rounds) {
            let place = rounds.iter().position(|round| round.stem == *stem);
            let last = place.map_or_else(|| DayRound::new(stem.clone()), |at| rounds.remove(at));
            rounds.push(DayRound { is_practised: true, ..last });
        }
        rounds
    }

    /// The opponent practised against: the likeliest of the event, else one with something due; of
    /// several by turns from day to day.
    fn practised<'d>(
        &self,
        player: &Player,
        decks: &'d [(String, Deck)],
        rounds: &[DayRound],
    ) -> Option<&'d String> {
        let event = player.next_event(self.today);
        let likely = |stem: &str| {
            let met = event.filter(|event| is_met(stem, event))?;
            let named = met.opponents.iter().find(|opponent| opponent.deck == stem);
            Some(named.map_or(1.0, |opponent| opponent.likely))
        };
        let worth = |stem: &str| {
            let is_due = rounds.iter().any(|round| round.stem == stem);
            likely(stem).map_or(if is_due { 0.0 } else { -1.0 }, |likely| likely)
        };
        let planned = decks.iter().filter(|(_, deck)| deck.planned().next().is_some());
        let planned: Vec<(&String, f64)> = planned.map(|(stem, _)| (stem, worth(stem))).collect();
        let most = planned.iter().map(|(_, worth)| *worth).max_by(f64::total_cmp)?;
        let first: Vec<&String> =
            planned.iter().filter(|(_, worth)| *worth >= most).map(|(stem, _)| *stem).collect();
        let turn = usize::try_from(self.today.number()).unwrap_or_default();
        first.get(turn % first.len().max(1)).copied()
    }
}
