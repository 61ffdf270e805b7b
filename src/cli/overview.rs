//! The home as it is today: what is on today's list, what waits, what will be remembered.

use crate::agenda::{
    Agenda, KeptPlan, Lately, NextState, Pattern, PatternPart, agenda, day_that_counts, patterns,
};
use crate::base::Day;
use crate::cli::{Failure, Result};
use crate::deck::{Deck, Player};
use crate::game::PatternKey;
use crate::journal::{Event, Fact, TableResults};
use crate::memory::{History, Item, Memories, Model, Standing};
use crate::store::{Home, Trouble};

/// Days for which an event without a debrief is still worth asking about.
const DEBRIEF_DAYS: i64 = 14;

/// The home as a whole, as it is today.
#[derive(Clone, Copy)]
pub struct Overview<'d> {
    /// Its files.
    pub home: &'d Home,
    /// The player.
    pub player: &'d Player,
    /// Every deck that could be read, with its file stem.
    pub decks: &'d [(String, Deck)],
    /// The decks that could not be read.
    pub unread: &'d [(String, Trouble)],
    /// The memory of every pattern.
    pub memories: &'d Memories,
    /// What happened, in the journal's order, without plain answers of before the last thirty days.
    pub events: &'d [Event],
    /// What happened in the last thirty days.
    pub recent: &'d [Event],
    /// The player's day.
    pub today: Day,
}

impl Overview<'_> {
    /// Today's list and forecast, from the plan kept in the home where the question is still the
    /// same.
    pub fn agenda(&self) -> Agenda {
        const NAME: &str = "plan";
        let known: Option<KeptPlan> = self.home.kept(NAME);
        let lately = Lately::from_events(self.recent, self.player, self.today);
        let (agenda, left) =
            agenda(self.player, self.decks, self.memories, self.today, known.as_ref(), &lately);
        if let Some(left) = left.filter(|left| known.as_ref() != Some(left)) {
            self.home.keep(NAME, &left);
        }
        agenda
    }

    /// Fails, without another word, when a deck could not be read: that was told before.
    ///
    /// # Errors
    /// [`Failure`] with nothing more to say.
    pub fn must_be_whole(&self) -> Result {
        if self.unread.is_empty() { Ok(()) } else { Err(Failure::Findings(Vec::new())) }
    }

    /// The day recall is asked for: the next event, else today.
    pub fn match_day(&self) -> Day {
        self.player.next_event(self.today).map_or(self.today, |event| event.day)
    }

    /// What has been done besides the list.
    pub fn next_state(&self) -> NextState {
        let days_ago = |event: &Event| self.today.days_since(event.day);
        let owes_debrief = self.player.events.iter().any(|event| {
            let ago = self.today.days_since(event.day);
            (1..=DEBRIEF_DAYS).contains(&ago)
                && !self.recent.iter().any(|fact| {
                    fact.day >= event.day && matches!(fact.fact, Fact::Debrief(_) | Fact::Point(_))
                })
        });
        NextState {
            unreadable: self.unread.first().map(|(stem, _)| format!("decks/{stem}.ron")),
            answers_today: self
                .recent
                .iter()
                .filter(|event| event.day == self.today)
                .filter(|event| matches!(&event.fact, Fact::Answer(answer) if !answer.is_let))
                .count(),
            days_since_table: self
                .recent
                .iter()
                .filter(|event| matches!(event.fact, Fact::Ball(_)))
                .map(days_ago)
                .min(),
            owes_debrief,
        }
    }

    /// How the answers of the last thirty days went at the table.
    pub fn at_table(&self) -> TableResults {
        TableResults::from_events(self.recent)
    }

    /// How the answers to one opponent stand, as the day and the progress say it.
    pub fn standings(&self, stem: &str) -> Vec<(PatternPart, Standing)> {
        let Some(deck) = self.decks.iter().find(|(known, _)| known == stem) else {
            return Vec::new();
        };
        let lately = Lately::from_events(self.recent, self.player, self.today);
        let event = self.player.next_event(self.today);
        let day = day_that_counts(event, self.today);
        let judge = |pattern: Pattern| {
            let memory = pattern.history(self.memories).and_then(History::memory);
            let item = Item { index: 0, weight: 1.0, memory };
            let target = self.player.wanted_share;
            let standing = lately.standing(&Model::default(), &pattern, &item, day, target);
            (pattern.part, standing)
        };
        patterns(self.player, std::slice::from_ref(deck), event).into_iter().map(judge).collect()
    }

    /// Recall of a pattern on a day; none when it was never drilled.
    pub fn recall(&self, key: &PatternKey, day: Day) -> Option<f64> {
        let (state, last) = self.memories.get(key)?.memory()?;
        let recall = Model::default().recall(state, f64::from(day.number() - last));
        (recall > 0.0).then_some(recall)
    }
}
