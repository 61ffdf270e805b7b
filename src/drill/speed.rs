//! The speed an opponent's serves are answered at, day by day: where the next day goes on from.

use std::collections::BTreeMap;

use serde::Serialize;

use super::tempo::{TempoRules, reached_permille};
use super::window;
use crate::base::Day;
use crate::journal::{Answer, Event, Fact, How};

/// The speed of one day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct DaySpeed {
    pub day: Day,
    /// The tempo that was reached, thousandths of match speed.
    pub permille: u32,
}

/// The days on which one opponent's serves were answered against the clock, oldest first.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Speeds {
    days: Vec<DaySpeed>,
}

impl Speeds {
    /// The speeds by deck, from events in the journal's order.
    pub fn by_deck(events: &[Event]) -> BTreeMap<String, Self> {
        let mut asked: BTreeMap<&str, Vec<(Day, Vec<u32>)>> = BTreeMap::new();
        for event in events {
            let Fact::Answer(answer) = &event.fact else { continue };
            let Some(permille) = asked_permille(answer) else { continue };
            let days = asked.entry(&answer.deck).or_default();
            match days.last_mut().filter(|(day, _)| *day == event.day) {
                // The first ball of a day is eased.
                Some((_, later)) => later.push(permille),
                None => days.push((event.day, Vec::new())),
            }
        }
        let of_day = |(day, asked): (Day, Vec<u32>)| {
            reached(&asked).map(|permille| DaySpeed { day, permille })
        };
        let speeds = asked.into_iter().map(|(deck, days)| {
            (deck.to_owned(), Self { days: days.into_iter().filter_map(of_day).collect() })
        });
        speeds.collect()
    }

    /// The last day's, and that of the day before it.
    pub fn last_two(&self) -> [Option<DaySpeed>; 2] {
        let mut last = self.days.iter().rev().copied();
        [last.next(), last.next()]
    }

    /// The last day before another.
    pub fn before(&self, today: Day) -> Option<DaySpeed> {
        self.days.iter().rev().find(|speed| speed.day < today).copied()
    }

    /// The rules of a day's staircase: on from where the last day ended.
    pub fn rules(&self, today: Day) -> TempoRules {
        let rules = TempoRules::default();
        self.days.last().map_or(rules, |last| rules.resumed(last.permille, last.day != today))
    }
}

/// The tempo a timed answer was asked at, where the staircase had a say in it.
fn asked_permille(answer: &Answer) -> Option<u32> {
    let permille = window::answered_permille(answer)?;
    // Lines that are read out are asked at the easiest tempo, whoever answers.
    let is_read_out = permille >= TempoRules::default().most_permille;
    let is_timed = answer.how == How::Snap && !answer.is_let && answer.switch.is_none();
    // Nobody may have been there.
    let is_given = answer.given.as_deref() != Some("");
    (is_timed && is_given && !is_read_out).then_some(permille)
}

/// The tempo that was reached by answers asked at these: where they settled, else the last one.
fn reached(asked: &[u32]) -> Option<u32> {
    let mut was_harder = None;
    let mut reversals = Vec::new();
    for pair in asked.windows(2).filter(|pair| pair[0] != pair[1]) {
        let is_harder = pair[1] < pair[0];
        if was_harder.is_some_and(|before| before != is_harder) {
            reversals.push(pair[0]);
        }
        was_harder = Some(is_harder);
    }
    reached_permille(&reversals).or(asked.last().copied())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::Tempo;

    #[test]
    fn the_speed_read_from_the_journal_is_the_staircases_own() {
        let mut tempo = Tempo::new(TempoRules::default().resumed(1400, false));
        let mut asked = Vec::new();
        for ball in 0..60 {
            asked.push(tempo.permille());
            tempo.answered(ball % 5 != 4);
        }
        assert!(tempo.threshold().is_some());
        let off = reached(&asked).unwrap().abs_diff(tempo.reached_permille());
        // The last turn may not have been asked yet.
        assert!(off < 20, "{off}");
        assert_eq!(reached(&[1400, 1400, 1316]), Some(1316), "no turns: where it ended");
        assert_eq!(reached(&[]), None);
    }
}
