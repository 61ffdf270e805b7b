//! The numbers of the pictures, worked by hand.

use secondball::agenda::progress::{Answers, PeriodLength};
use secondball::deck::MatchDay;
use secondball::journal::Stage;
use secondball::memory::{History, Memories, Standing};

use super::{Home, day, north};

#[test]
fn right_late_wrong_and_let_fall_into_their_columns() {
    let mut home = Home::new();
    // In the window, late, later than twice the window, another receive, and a guess before it
    // could be seen.
    home.answers("2026-11-20", "one", None, 900, 2);
    home.answers("2026-11-20", "one", None, 1500, 1);
    home.answers("2026-11-20", "one", None, 2001, 1);
    home.answers("2026-11-20", "two", Some("block"), 500, 1);
    home.answers("2026-11-20", "two", None, 149, 1);
    home.answers("2026-11-24", "two", None, 600, 1);
    let windows = home.progress().windows;
    assert_eq!(windows.step, PeriodLength::Day);
    let found: Vec<_> = windows
        .periods
        .iter()
        .map(|p| (p.from.to_string(), p.answers, p.right, p.in_window))
        .collect();
    assert_eq!(found, [("2026-11-20".to_owned(), 5, 3, 2), ("2026-11-24".to_owned(), 1, 1, 1)]);
}

#[test]
fn three_weeks_of_history_are_drawn_by_the_week_from_monday() {
    let mut home = Home::new();
    home.answers("2026-11-05", "one", None, 900, 1);
    assert_eq!(home.progress().windows.step, PeriodLength::Day);
    home.events.clear();
    home.answers("2026-11-04", "one", None, 900, 1);
    home.answers("2026-11-08", "one", None, 900, 1);
    home.answers("2026-11-09", "one", None, 900, 1);
    let windows = home.progress().windows;
    assert_eq!(windows.step, PeriodLength::Week);
    let weeks: Vec<_> = windows.periods.iter().map(|p| (p.from.to_string(), p.answers)).collect();
    assert_eq!(weeks, [("2026-11-02".to_owned(), 2), ("2026-11-09".to_owned(), 1)]);
}

/// Three right are one step of 15 %, a wrong one is one back: 2000, 1700, 2000; from the second
/// turn on in steps of 6 %: 1880, 2000, 1880, 2000. Turns at 1700, 2000, 1880, 2000, 1880, 2000;
/// without the first two their mean is 1940.
fn staircase(home: &mut Home) {
    for (place, level) in [2000, 1700, 2000, 1880, 2000, 1880, 2000].into_iter().enumerate() {
        if place % 2 == 0 {
            for _ in 0..3 {
                home.answer_at("2026-11-24", "one", None, level, level);
            }
        } else {
            home.answer_at("2026-11-24", "one", None, level + 1, level);
        }
    }
}

#[test]
fn the_tempo_is_where_the_staircase_turned() {
    let mut home = Home::new();
    staircase(&mut home);
    let period = home.progress().tempo.periods[0];
    assert_eq!((period.answers, period.is_settled, period.reversals), (15, true, 4));
    assert!((period.permille - 1940.0).abs() < 1e-9, "{period:?}");
}

#[test]
fn a_second_round_of_the_day_is_a_staircase_of_its_own() {
    let mut home = Home::new();
    staircase(&mut home);
    // The first round ends at 1880; this one begins at 2000 again.
    staircase(&mut home);
    let period = home.progress().tempo.periods[0];
    assert_eq!((period.answers, period.reversals), (30, 8));
    assert!((period.permille - 1940.0).abs() < 1e-9, "{period:?}");
}

#[test]
fn a_round_too_short_to_settle_shows_the_middle_of_what_was_asked_and_says_so() {
    let mut home = Home::new();
    for window in [1400, 1400, 1400, 1190] {
        home.answer_at("2026-11-24", "one", None, 900, window);
    }
    let period = home.progress().tempo.periods[0];
    assert_eq!((period.permille, period.is_settled, period.reversals), (1400.0, false, 0));
}

/// Before the call the switched serve takes 550 ms on the mean of six, after it, without two old
/// answers, 5540 / 7 = 791.43; the kept serve 500 and 530. Cost 791.43 - 550 - 30 = 211.43 ms.
/// Wrong: 2 of 9 after, none of 6 before; kept 2 of 8 and 1 of 7: 0.2222 - (0.25 - 0.142857) =
/// 0.115079.
pub(super) fn round(home: &mut Home) {
    let on = "2026-11-24";
    for ms in [500, 520, 540, 560, 580, 600] {
        home.in_round(on, "one", Stage::Before, None, ms);
        home.in_round(on, "two", Stage::Before, None, 500);
    }
    home.in_round(on, "two", Stage::Before, Some("block"), 640);
    for ms in [510, 520] {
        home.in_round(on, "one", Stage::After, Some(super::PUSH), ms);
    }
    for ms in [700, 720, 740, 1100, 780, 760, 740] {
        home.in_round(on, "one", Stage::After, None, ms);
    }
    for _ in 0..6 {
        home.in_round(on, "two", Stage::After, None, 530);
    }
    home.in_round(on, "two", Stage::After, Some(super::LONG), 500);
    home.in_round(on, "two", Stage::After, Some(""), 2000);
}

#[test]
fn a_switch_costs_what_was_worked_out_by_hand() {
    let mut home = Home::new();
    round(&mut home);
    let switches = home.progress().switches;
    let week = switches.costs[0].weeks[0];
    assert_eq!(week.from, day("2026-11-23"));
    assert!((week.cost_ms.value.unwrap() - 211.4286).abs() < 1e-3, "{week:?}");
    assert!((week.cost_wrong.value.unwrap() - 0.115_079).abs() < 1e-5, "{week:?}");
    assert_eq!((week.cost_ms.balls, week.after, week.old_answers), (6, 9, 2));
}

#[test]
fn balls_are_summed_by_serve_over_eight_weeks_and_lie_where_the_serve_does() {
    let mut home = Home::new();
    // 56 days before today is the last day that does not count any more.
    home.balls("2026-09-30", "one", 20, 0, 0);
    home.balls("2026-10-01", "one", 5, 3, 2);
    home.balls("2026-11-20", "one", 4, 5, 1);
    home.balls("2026-11-20", "two", 8, 2, 0);
    let table = home.progress().table;
    assert_eq!(table.since, day("2026-10-01"));
    let sums: Vec<_> = table.opponents[0]
        .serves
        .iter()
        .map(|serve| (serve.serve.as_str(), serve.made, serve.missed, serve.wrong))
        .collect();
    assert_eq!(sums, [("one", 9, 8, 3), ("two", 8, 2, 0)]);
    assert_eq!(
        table.opponents[0].serves[0].lane.map(secondball::game::Lane::word),
        Some("forehand")
    );
}

/// A memory of a stability of eight days, last answered today: nine in ten after eight days, by
/// definition.
pub(super) fn memory_of_eight_days(home: &mut Home, serve: &str) {
    memory_of_eight_days_on(home, serve, super::TODAY);
}

/// The same, last answered on another day.
pub(super) fn memory_of_eight_days_on(home: &mut Home, serve: &str, on: &str) {
    let (_, deck) = north();
    let id = serve.parse().unwrap();
    let key = deck.pattern(&id, &deck.plan[&id]);
    let history: History = serde_json::from_value(serde_json::json!({
        "state": [8.0, 5.0],
        "last_day": day(on).number(), "counted_days": 1, "recalled_days": 1, "answers": 1,
        "old_answers": 0, "open_repair": false, "firsts": 2,
    }))
    .unwrap();
    let mut pairs: Vec<_> = home.memories.clone().into();
    pairs.push((key, history));
    home.memories = Memories::from(pairs);
}

pub(super) fn event_in_eight_days(home: &mut Home) {
    let event =
        MatchDay { name: "Autumn open".to_owned(), day: day("2026-12-03"), opponents: Vec::new() };
    home.player.events.push(event);
}

#[test]
fn recall_is_followed_from_today_to_the_event() {
    let mut home = Home::new();
    memory_of_eight_days(&mut home, "one");
    event_in_eight_days(&mut home);
    let recall = home.progress().recall;
    assert_eq!((recall.days.len(), recall.until), (9, day("2026-12-03")));
    let one = recall.patterns.iter().find(|pattern| pattern.serve == "one").unwrap();
    assert!((one.now - 1.0).abs() < 1e-6 && (one.then - 0.9).abs() < 1e-6, "{one:?}");
    assert_eq!(one.curve.len(), 9);
    assert!(one.curve.windows(2).all(|pair| pair[1] < pair[0]), "{one:?}");
    let two = recall.patterns.iter().find(|pattern| pattern.serve == "two").unwrap();
    assert_eq!((two.standing, two.then, two.curve.len()), (Standing::Untried, 0.0, 0));
    assert_eq!(recall.drawn().count(), 1, "what was never drilled has no line");
}

#[test]
fn without_an_event_thirty_days_are_looked_ahead() {
    let home = Home::new();
    let recall = home.progress().recall;
    assert_eq!((recall.event, recall.until), (None, day("2026-12-25")));
    assert_eq!(recall.days.len(), 16);
}

#[test]
fn another_opponents_answers_are_left_out_when_one_is_asked_about() {
    let mut home = Home::new();
    home.answers("2026-11-24", "one", None, 900, 3);
    home.decks[0].1.key = "other1".to_owned();
    let all = home.progress();
    assert_eq!(
        all.windows.periods[0].answers, 3,
        "an opponent who is gone still counts as practice"
    );
    let asked = secondball::agenda::progress::ProgressRequest {
        player: &home.player,
        decks: &home.decks,
        opponent: Some("North"),
        memories: &home.memories,
        events: &home.events,
        answers: &Answers::of_events(&home.events),
        today: day(super::TODAY),
    };
    let one = secondball::agenda::progress::progress(&asked);
    assert!(one.windows.periods.is_empty(), "{:?}", one.windows);
}
