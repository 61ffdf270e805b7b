//! The player's own record: how many of the planned days are kept, so that the calendar counts on
//! no more than that. How long a list was is not in the journal: lists count as done whole.

use std::collections::BTreeSet;

use crate::base::Day;
use crate::deck::Player;
use crate::journal::{Event, Fact};
use crate::memory::Regularity;

/// Days looked back on. How far is best was not tried.
const OVER_DAYS: u32 = 28;

/// The record of the last four weeks, since the first answer and without days off.
pub(super) fn record(events: &[Event], player: &Player, today: Day) -> Regularity {
    let answered: BTreeSet<Day> = events
        .iter()
        .filter(|event| matches!(event.fact, Fact::Answer(_)))
        .map(|event| event.day)
        .collect();
    let Some(&first) = answered.first() else { return Regularity::default() };
    let asked: Vec<Day> = (1..=OVER_DAYS)
        .map(|ago| today.minus(ago))
        .filter(|day| *day >= first && !player.days_off.contains(&day.weekday()))
        .collect();
    let count = |days: usize| u32::try_from(days).unwrap_or(0);
    Regularity {
        days_asked: count(asked.len()),
        days_practised: count(asked.iter().filter(|day| answered.contains(day)).count()),
        ..Regularity::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::{Hand, ReceiveKey};
    use crate::journal::{Answer, EventId, How, Input};

    fn answered(day: &str) -> Event {
        Event {
            id: EventId { device: "d".to_owned(), n: 1 },
            at_ms: 0,
            day: day.parse().unwrap(),
            origin: None,
            fact: Fact::Answer(Answer {
                deck: "abc234".to_owned(),
                serve: "one".parse().unwrap(),
                right: ReceiveKey::from_journal("forehand push"),
                given: None,
                how: How::Snap,
                ms: 400,
                window: 500,
                motor: 150,
                tempo: 0,
                input: Input::Script,
                shown: false,
                is_let: false,
                cut: None,
                switch: None,
            }),
        }
    }

    #[test]
    fn only_days_that_were_asked_for_count_as_missed() {
        let mut player = Player::new("Invented", Hand::Right);
        let today: Day = "2026-11-25".parse().unwrap();
        let events: Vec<_> = ["2026-11-15", "2026-11-16", "2026-11-17", "2026-11-18", "2026-11-19"]
            .map(answered)
            .into();
        let days = |on: &[Event], player: &Player, today| {
            let record = record(on, player, today);
            (record.days_practised, record.days_asked)
        };
        assert_eq!(days(&events, &player, today), (5, 10), "since the first answer");
        player.days_off.push(chrono::Weekday::Sun);
        assert_eq!(days(&events, &player, today), (4, 8), "a Sunday kept and a Sunday missed");
        assert_eq!(days(&[], &player, today), (0, 0));
    }
}
