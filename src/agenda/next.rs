//! The one next thing to do, from where the player stands.

use super::standing::{Slip, Unready};
use super::today::{Agenda, Goal, ListNote};
use super::todo::{DrillMode, Todo};
use crate::deck::Deck;

/// Days after which the table has waited long enough.
const REHEARSE_DAYS: i64 = 7;

/// The next thing and why. Opponents are named as their decks name them.
#[derive(Debug, Clone, PartialEq)]
pub enum NextThing {
    // A deck's file has a mistake.
    Mend { file: String },
    // An event lies behind without a debrief.
    Debrief,
    NoOpponent,
    NoServes { deck: String, opponent: String },
    NoReceive { deck: String, opponent: String, serves: usize },
    Drill { patterns: usize, minutes: f64 },
    // The event is tomorrow and everything is answered.
    PrintSheet { deck: String },
    OnceMore(Slip),
    // Answers were given lately, but only untimed.
    AgainstTheClock { deck: String, opponent: String },
    // It was made too seldom at the table, and not played there today.
    BackToTheTable(Unready),
    Rehearse { deck: String, opponent: String, all_firm: bool },
    NothingMore,
}

/// What has been done today besides drilling.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct NextState {
    /// A deck's file that cannot be read, if there is one.
    pub unreadable: Option<String>,
    pub answers_today: usize,
    /// How many days ago balls were last logged at the table.
    pub days_since_table: Option<i64>,
    /// Whether an event lies behind without a debrief.
    pub owes_debrief: bool,
}

impl NextState {
    /// Whether the table has waited long enough.
    pub fn is_table_due(&self) -> bool {
        self.days_since_table.is_none_or(|days| days > REHEARSE_DAYS)
    }
}

/// The one next thing: the first of scout, plan, debrief, drill, rehearse, sheet that is not done.
pub fn next_thing(decks: &[(String, Deck)], agenda: &Agenda, state: &NextState) -> NextThing {
    let named = |(deck, found): &(String, Deck)| (deck.clone(), found.opponent.clone());
    if let Some(file) = &state.unreadable {
        return NextThing::Mend { file: file.clone() };
    }
    if state.owes_debrief {
        return NextThing::Debrief;
    }
    let Some(first) = decks.first() else { return NextThing::NoOpponent };
    let met = agenda.answers.first().map_or(&first.0, |answer| &answer.deck);
    if agenda.notes.contains(&ListNote::EventToday) {
        return NextThing::PrintSheet { deck: met.clone() };
    }
    if let Some(empty) = decks.iter().find(|(_, deck)| deck.active().next().is_none()) {
        let (deck, opponent) = named(empty);
        return NextThing::NoServes { deck, opponent };
    }
    if let Some(open) = decks.iter().find(|(_, deck)| deck.unplanned().next().is_some()) {
        let (deck, opponent) = named(open);
        return NextThing::NoReceive { deck, opponent, serves: open.1.unplanned().count() };
    }
    if !agenda.list.is_empty() {
        return NextThing::Drill { patterns: agenda.list.len(), minutes: agenda.minutes };
    }
    if matches!(agenda.outlook, Goal::Event(ref ahead) if ahead.days <= 1) {
        return NextThing::PrintSheet { deck: met.clone() };
    }
    if let Some(slip) = agenda.slips.first() {
        return NextThing::OnceMore(slip.clone());
    }
    if let Some(untimed) = decks.iter().find(|(stem, _)| agenda.untimed.contains(stem)) {
        let (deck, opponent) = named(untimed);
        return NextThing::AgainstTheClock { deck, opponent };
    }
    if let Some(unready) = agenda.unready.first().filter(|_| state.days_since_table != Some(0)) {
        return NextThing::BackToTheTable(unready.clone());
    }
    if state.is_table_due() {
        let (deck, opponent) = named(first);
        let all_firm = matches!(agenda.standing, [0, 0, _]);
        return NextThing::Rehearse { deck, opponent, all_firm };
    }
    NextThing::NothingMore
}

impl NextThing {
    /// What to type for it.
    pub fn todo(&self) -> Todo {
        match self {
            Self::Mend { .. } => Todo::Check,
            Self::Debrief => Todo::Debrief,
            Self::NoOpponent => Todo::Scout,
            Self::NoServes { deck, .. } => Todo::AddServes(deck.clone()),
            Self::NoReceive { deck, .. } => Todo::ChoosePlan(deck.clone()),
            Self::Drill { .. } => Todo::drill(DrillMode::Usual, None),
            Self::PrintSheet { deck } => Todo::Sheet(deck.clone()),
            Self::OnceMore(slip) => slip.todo(),
            Self::AgainstTheClock { deck, .. } => Todo::drill(DrillMode::Usual, Some(deck)),
            Self::BackToTheTable(Unready { deck, .. }) | Self::Rehearse { deck, .. } => {
                Todo::Rehearse(deck.clone())
            }
            Self::NothingMore => Todo::Today,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::agenda::patterns::tests::two_decks;
    use crate::agenda::{Lately, agenda};
    use crate::journal::TableMade;
    use crate::memory::Memories;

    #[test]
    fn what_is_not_made_at_the_table_goes_back_there_once_a_day() {
        let (player, decks) = two_decks();
        let (memories, lately) = (Memories::default(), Lately::default());
        let today = "2026-11-25".parse().unwrap();
        let (mut agenda, _) = agenda(&player, &decks, &memories, today, None, &lately);
        agenda.list.clear();
        let (deck, opponent) = (decks[0].0.clone(), decks[0].1.opponent.clone());
        let made = TableMade { made: 4, balls: 22 };
        let serve = decks[0].1.serves[0].id.clone();
        let unready = Unready { deck, opponent, called: "one".to_owned(), serve, made };
        agenda.unready = vec![unready.clone()];
        let next = |days| {
            let state = NextState { days_since_table: Some(days), ..NextState::default() };
            next_thing(&decks, &agenda, &state)
        };
        assert_eq!(next(1), NextThing::BackToTheTable(unready.clone()));
        assert_eq!(next(1).todo(), Todo::Rehearse(unready.deck));
        assert_eq!(next(0), NextThing::NothingMore);
    }
}
