//! Days of ten minutes, each going on where the last one ended.

#![expect(clippy::unwrap_used, reason = "an invented day that cannot be read must fail the test")]

use secondball::base::Day;
use secondball::drill::{
    MATCH_PERMILLE, Machine, Said, SimulatedHabits, SimulatedPlayer, Speeds, TempoRules,
};
use secondball::journal::{Event, EventId, Fact, Input};

use super::decks::{Round, deck};
use super::players::QUICK_OR_SLOW;

/// Plays ten minutes a day; the tempo of each day's first three balls and where the day ended.
fn played(days: u32, habits: SimulatedHabits) -> Vec<([u32; 3], u32)> {
    let first: Day = "2026-11-02".parse().unwrap();
    let mut events: Vec<Event> = Vec::new();
    let mut shown = Vec::new();
    for ahead in 0..days {
        let day = first.plus(ahead);
        let speeds = Speeds::by_deck(&events).remove(&deck().key).unwrap_or_default();
        let tempo = speeds.rules(day);
        let limit_ms = Some(600_000);
        let round = Round { balls: 300, tempo, limit_ms, seed: ahead.into(), ..Round::default() };
        let mut machine = Machine::new(round.script(), Input::Keys);
        let mut player = SimulatedPlayer::new(habits, ahead.into());
        let (mut now_ms, mut asked) = (0, Vec::new());
        while !machine.is_done() {
            let (at_ms, act) = player.next(&machine, now_ms);
            now_ms = at_ms;
            for said in machine.act(now_ms, act) {
                let Said::Answer(answer) = said else { continue };
                asked.push(answer.tempo);
                let id = EventId { device: "d".to_owned(), n: events.len() as u64 + 1 };
                let fact = Fact::Answer(answer);
                events.push(Event { id, at_ms: 0, day, origin: None, fact });
            }
        }
        shown.push(([asked[0], asked[1], asked[2]], machine.summary().tempo_permille));
    }
    shown
}

/// Only their time decides, and it hardly varies.
const STEADY: SimulatedHabits = SimulatedHabits { middle_ms: 560.0, spread: 0.05, ..QUICK_OR_SLOW };

#[test]
fn who_is_always_right_in_time_is_at_match_speed_within_seven_days_and_stays_there() {
    let days = played(7, STEADY);
    assert_eq!(days.last().unwrap().1, MATCH_PERMILLE, "{days:?}");
    assert!(days.windows(2).all(|two| two[1].1 <= two[0].1), "never slower: {days:?}");
}

#[test]
fn a_day_begins_at_the_speed_of_the_last_one_but_for_its_first_ball() {
    // Decides in 1.4 to 1.6 times match time, and so settles there.
    let days = played(8, SimulatedHabits { middle_ms: 860.0, spread: 0.10, ..STEADY });
    for two in days.windows(2) {
        let ([first, second, _], _) = two[1];
        assert_eq!(second, two[0].1.max(MATCH_PERMILLE));
        assert_eq!(first, (second * 1150 + 500) / 1000);
    }
    let settled: Vec<u32> = days[2..].iter().map(|day| day.1).collect();
    let (least, most) = (settled.iter().min().unwrap(), settled.iter().max().unwrap());
    assert!(*most < TempoRules::default().start_permille && most - least < 250, "{days:?}");
}
