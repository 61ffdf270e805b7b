//! How many of the planned days are kept, so that the calendar counts on no more than that.

use std::collections::BTreeSet;

use crate::base::Day;
use crate::deck::Player;
use crate::journal::{Event, Fact};

/// Days looked back on.
const OVER_DAYS: u32 = 14;
/// Fewer days say nothing about a habit.
const LEAST_DAYS: usize = 5;

/// The share of the last fortnight's days, since the first answer and without days off, on which
/// something was answered, 0 to 1; 1 while there are too few days to judge by.
pub(super) fn days_kept(events: &[Event], player: &Player, today: Day) -> f64 {
    let answered: BTreeSet<Day> = events
        .iter()
        .filter(|event| matches!(event.fact, Fact::Answer(_)))
        .map(|event| event.day)
        .collect();
    let Some(&first) = answered.first() else { return 1.0 };
    let asked: Vec<Day> = (1..=OVER_DAYS)
        .map(|ago| today.minus(ago))
        .filter(|day| *day >= first && !player.days_off.contains(&day.weekday()))
        .collect();
    if asked.len() < LEAST_DAYS {
        return 1.0;
    }
    asked.iter().filter(|day| answered.contains(day)).count() as f64 / asked.len() as f64
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
                input: Input::Script,
                is_let: false,
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
        // Ten days since the first answer, five of them kept.
        assert!((days_kept(&events, &player, today) - 0.5).abs() < 1e-12);
        // A Sunday kept and a Sunday missed fall away.
        player.days_off.push(chrono::Weekday::Sun);
        assert!((days_kept(&events, &player, today) - 0.5).abs() < 1e-12);
        // Too few days to judge by.
        assert!(
            (days_kept(&events[4..], &player, "2026-11-22".parse().unwrap()) - 1.0).abs() < 1e-12
        );
    }
}
