//! The one line of each picture, at the limits where it changes its mind.

use secondball::journal::{Fact, Stage};
use secondball::page::progress_words::advice_line as said;

use super::folded::{event_in_eight_days, memory_of_eight_days, memory_of_eight_days_on, round};
use super::{Home, PUSH, north};

const LATELY: &str = "2026-11-24";

#[test]
fn at_the_target_there_is_nothing_to_drill_and_just_below_the_weakest_is_named() {
    let mut home = Home::new();
    memory_of_eight_days(&mut home, "one");
    memory_of_eight_days(&mut home, "two");
    event_in_eight_days(&mut home);
    home.player.wanted_share = 0.899;
    let advice = said(&home.progress().recall.counsel);
    assert!(!advice.is_due && advice.command.is_none(), "{advice:?}");
    home.player.wanted_share = 0.901;
    // Answered today: more of it today adds nothing that lasts, as the daily list says too.
    let advice = said(&home.progress().recall.counsel);
    assert!(!advice.is_due && advice.says.contains("another day, not with more"), "{advice:?}");
    home.memories = secondball::memory::Memories::default();
    memory_of_eight_days_on(&mut home, "one", "2026-11-24");
    memory_of_eight_days(&mut home, "two");
    let advice = said(&home.progress().recall.counsel);
    assert_eq!(advice.says, "Drill short FH first: 89 of 100 on Thu 3 Dec.");
    assert_eq!(advice.command.as_deref(), Some("secondball drill north"));
}

#[test]
fn what_was_never_drilled_comes_first() {
    let mut home = Home::new();
    memory_of_eight_days(&mut home, "one");
    let advice = said(&home.progress().recall.counsel);
    assert_eq!(advice.says, "Drill long BH first: never drilled.");
}

#[test]
fn five_answers_say_nothing_and_six_do() {
    let mut home = Home::new();
    home.answers(LATELY, "one", None, 900, 5);
    assert!(said(&home.progress().windows.counsel).says.starts_with("Too few answers"));
    home.answers(LATELY, "one", None, 900, 1);
    assert!(!said(&home.progress().windows.counsel).is_due);
}

#[test]
fn four_in_five_right_is_known_and_less_names_the_serve_that_was_wrong() {
    let mut home = Home::new();
    home.answers(LATELY, "one", None, 900, 8);
    home.answers(LATELY, "two", Some("block"), 900, 2);
    assert!(!said(&home.progress().windows.counsel).is_due);
    home.answers(LATELY, "two", Some("block"), 900, 1);
    let advice = said(&home.progress().windows.counsel);
    assert!(advice.says.contains("long BH was wrong 3 of 3 times"), "{advice:?}");
    assert_eq!(advice.command.as_deref(), Some("secondball drill north --think"));
}

#[test]
fn thirteen_of_twenty_in_the_window_is_quick_enough_and_twelve_is_not() {
    for (in_window, is_due) in [(13, false), (12, true)] {
        let mut home = Home::new();
        home.answers(LATELY, "one", None, 900, in_window);
        home.answers(LATELY, "one", None, 1500, 20 - in_window);
        let advice = said(&home.progress().windows.counsel);
        assert_eq!(advice.is_due, is_due, "{advice:?}");
        assert_eq!(advice.says.starts_with("Right but late"), is_due, "{advice:?}");
    }
}

#[test]
fn two_weeks_without_an_answer_are_told() {
    for (on, is_told) in [("2026-11-12", false), ("2026-11-11", true)] {
        let mut home = Home::new();
        home.answers(on, "one", None, 900, 10);
        let says = said(&home.progress().windows.counsel).says;
        assert_eq!(says.starts_with("Nothing was answered for 14 days"), is_told, "{says}");
    }
}

#[test]
fn match_speed_asks_for_nothing_and_a_little_slower_names_the_late_serve() {
    for (window, is_due) in [(1050, false), (1051, true)] {
        let mut home = Home::new();
        home.answer_at(LATELY, "one", None, 900, window);
        home.answer_at(LATELY, "two", None, window + 200, window);
        home.answer_at(LATELY, "two", None, 900, window);
        let advice = said(&home.progress().tempo.counsel);
        assert_eq!(advice.is_due, is_due, "{advice:?}");
        if is_due {
            assert!(advice.says.contains("long BH is late most often, 1 of 2"), "{advice:?}");
        }
    }
}

#[test]
fn five_balls_behind_a_switch_give_no_number() {
    let mut home = Home::new();
    round(&mut home);
    let advice = said(&home.progress().switches.costs[0].counsel);
    assert!(
        advice.says.starts_with("Too dear for a match yet, +211 ms and +12 wrong"),
        "{advice:?}"
    );
    assert_eq!(advice.command.as_deref(), Some("secondball drill north --switch long"));
    home.events.remove(0);
    let cost = home.progress().switches.costs[0].clone();
    assert_eq!(cost.weeks[0].cost_ms.value, None);
    assert!(
        said(&cost.counsel).says.contains("too few balls")
            || said(&cost.counsel).says.starts_with("Too few balls")
    );
}

#[test]
fn seventy_milliseconds_are_cheap_enough_and_more_are_not() {
    for (after_ms, is_due) in [(570, false), (571, true)] {
        let mut home = Home::new();
        for _ in 0..6 {
            home.in_round(LATELY, "one", Stage::Before, None, 500);
            home.in_round(LATELY, "two", Stage::Before, None, 500);
            home.in_round(LATELY, "one", Stage::After, None, after_ms);
            home.in_round(LATELY, "two", Stage::After, None, 500);
        }
        let advice = said(&home.progress().switches.costs[0].counsel);
        assert_eq!(advice.is_due, is_due, "{advice:?}");
    }
}

#[test]
fn one_wrong_answer_in_ten_is_cheap_enough_and_two_are_not() {
    for (wrong, is_due) in [(1, false), (2, true)] {
        let mut home = Home::new();
        for nth in 0..10 {
            home.in_round(LATELY, "one", Stage::Before, None, 500);
            home.in_round(LATELY, "two", Stage::Before, None, 500);
            home.in_round(LATELY, "one", Stage::After, (nth < wrong).then_some(PUSH), 500);
            home.in_round(LATELY, "two", Stage::After, None, 500);
        }
        let advice = said(&home.progress().switches.costs[0].counsel);
        assert_eq!(advice.is_due, is_due, "{advice:?}");
    }
}

#[test]
fn seven_in_ten_made_is_safe_and_less_is_rehearsed_again() {
    for (made, is_due) in [(14, false), (13, true)] {
        let mut home = Home::new();
        home.balls(LATELY, "one", made, 20 - made, 0);
        home.balls(LATELY, "two", 18, 2, 0);
        let advice = said(&home.progress().table.opponents[0].counsel);
        assert_eq!(advice.is_due, is_due, "{advice:?}");
        assert!(advice.says.contains("short FH"), "{advice:?}");
    }
}

#[test]
fn five_balls_at_the_table_say_nothing() {
    let mut home = Home::new();
    home.balls(LATELY, "one", 0, 5, 0);
    let advice = said(&home.progress().table.opponents[0].counsel);
    assert!(advice.says.starts_with("Fewer than six balls"), "{advice:?}");
    home.balls(LATELY, "one", 0, 1, 0);
    let advice = said(&home.progress().table.opponents[0].counsel);
    assert!(advice.says.starts_with("Rehearse short FH: 0 of 6 made"), "{advice:?}");
}

#[test]
fn of_many_opponents_at_the_table_twelve_are_told_and_the_others_counted() {
    let mut home = Home::new();
    home.decks = (10..24)
        .map(|number| {
            let (stem, mut deck) = north();
            deck.key = format!("k7f3{number}");
            (stem, deck)
        })
        .collect();
    home.balls("2026-11-24", "one", 8, 2, 0);
    let event = home.events.remove(0);
    for (_, deck) in &home.decks {
        let mut event = event.clone();
        if let Fact::Ball(ball) = &mut event.fact {
            ball.deck.clone_from(&deck.key);
        }
        home.events.push(event);
    }
    let said = secondball::page::progress::text(&home.progress(), true, 80);
    assert_eq!(said.matches("At the table against").count(), 12, "{said}");
    assert!(said.contains("2 more opponents: name the opponent"), "{said}");
}
