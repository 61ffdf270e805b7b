//! A month, day by day, through the real program: what the calendar promises is what it comes to.
//!
//! The player is invented and recalls as the model says: each answer is right with the recall that
//! the program itself shows for it. One day in five is missed, the second opponent is drawn late,
//! and the event moves by two days.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use secondball::base::{Day, Dice, Moment};
use secondball::game::ReceiveKey;
use secondball::journal::{Answer, Fact, How, Input};
use secondball::memory::Habits;
use secondball::store::{Device, Home};
use serde_json::Value;

use crate::harness::Player;

const FIRST: &str = "2026-11-02";
const LATE_DRAW: u32 = 12;
const MOVED: u32 = 20;
const EVENT: u32 = 30;
const EVENT_AFTERWARDS: u32 = 32;

fn day(ahead: u32) -> Day {
    FIRST.parse::<Day>().unwrap().plus(ahead)
}

/// The agenda as the program gives it on a day.
fn agenda(player: &mut Player, on: Day, more: &[&str]) -> Value {
    let arguments: Vec<&str> = ["today", "--json"].iter().chain(more).copied().collect();
    let said = player.at(&format!("{on}T18:00:00+00:00")).run(&arguments).fine();
    serde_json::from_str(&said).unwrap()
}

fn number(agenda: &Value, what: &str) -> f64 {
    agenda["outlook"]["event"][what].as_f64().unwrap()
}

/// Gives today's answers: right as often as the recall beside each says, a wrong one repaired at
/// once.
fn answer(home: &Home, on: Day, agenda: &Value, dice: &mut Dice) -> usize {
    // All at one moment: what was written first comes first.
    let at = Moment::noon(on);
    let mut writer = home.writer(at, on).unwrap();
    let list = agenda["list"].as_array().unwrap();
    for due in list {
        let pattern = due["pattern"].as_str().unwrap();
        let [deck, serve, receive] = pattern.splitn(3, '/').collect::<Vec<_>>().try_into().unwrap();
        let recall = if due["standing"] == "untried" {
            Habits::default().first_right
        } else {
            due["recall_now"].as_f64().unwrap()
        };
        let fact = |given: Option<&str>| {
            Fact::Answer(Answer {
                deck: deck.to_owned(),
                serve: serve.parse().unwrap(),
                right: ReceiveKey::from_journal(receive),
                given: given.map(str::to_owned),
                how: How::Snap,
                ms: 600,
                window: 900,
                motor: 210,
                tempo: 0,
                input: Input::Keys,
                shown: false,
                is_let: false,
                cut: None,
                switch: None,
            })
        };
        if !dice.chance(recall) {
            writer.append_unsynced(at, on, fact(Some("backhand chop to middle long"))).unwrap();
        }
        writer.append_unsynced(at, on, fact(None)).unwrap();
    }
    writer.sync().unwrap();
    list.len()
}

/// What was promised after the last change, its spread, and what it came to on the eve.
fn month(seed: u64) -> (f64, f64, f64) {
    let mut player = Player::without_home();
    // A minute a day is six answers: too few for everything, so that choosing matters.
    player.run(&["init", "--name", "Invented", "--hand", "right", "--minutes", "1"]).fine();
    for (name, habit) in [
        ("Early", "pendulum-pair"),
        ("Known", "defender"),
        ("Late", "fast-long"),
        ("Later", "tomahawk-wide"),
    ] {
        player.run(&["scout", name, "--hand", "right", "--from-habit", habit, "--yes"]).fine();
    }
    let home = Home::at(player.home(), Device::named("testdevice"));
    let mut dice = Dice::for_part(seed, "month");
    let event = |ahead: u32| format!("Invented open={}", day(ahead));
    player
        .run(&["today", "--event", &event(EVENT), "--against", "early", "--against", "known"])
        .fine();
    let mut promise = None;
    let mut missed = 0;
    for ahead in 0..EVENT_AFTERWARDS {
        let on = day(ahead);
        let is_changed = ahead == LATE_DRAW || ahead == MOVED;
        if ahead == LATE_DRAW {
            player
                .run(&[
                    "today",
                    "--event",
                    &event(EVENT),
                    "--against",
                    "early",
                    "--against",
                    "late",
                ])
                .fine();
        } else if ahead == MOVED {
            player.run(&["today", "--event", &event(EVENT_AFTERWARDS)]).fine();
        } else if dice.chance(0.2) {
            missed += 1;
            continue;
        }
        let agenda = agenda(&mut player, on, &[]);
        if ahead == MOVED {
            promise = Some((number(&agenda, "with_all"), number(&agenda, "spread")));
        }
        answer(&home, on, &agenda, &mut dice);
        assert!(is_changed || number(&agenda, "with_all") > 0.3, "{agenda}");
    }
    assert!(missed >= 2, "a month without a missed day proves nothing");
    let (with_all, spread) = promise.unwrap();
    let eve = agenda(&mut player, day(EVENT_AFTERWARDS - 1), &[]);
    (with_all, spread, number(&eve, "without"))
}

#[test]
fn a_month_with_missed_days_a_late_draw_and_another_date_ends_where_the_calendar_promised() {
    let months: Vec<_> = (1..=2).map(month).collect();
    for (promised, spread, came) in &months {
        assert!((promised - came).abs() <= *spread, "{months:?}");
    }
    // All together: neither hopeful nor shy.
    let bias = months.iter().map(|(promised, _, came)| came - promised).sum::<f64>() / 2.0;
    assert!(bias.abs() < 0.03, "{bias} {months:?}");
}

#[test]
fn who_has_no_record_yet_is_told_a_usual_rate_and_what_every_day_would_bring() {
    let mut player = Player::without_home();
    player.run(&["init", "--name", "Invented", "--hand", "right", "--minutes", "1"]).fine();
    let scout = ["scout", "Early", "--hand", "right", "--from-habit", "pendulum-pair", "--yes"];
    player.run(&scout).fine();
    let event = format!("Invented open={}", day(6));
    let said =
        player.at(&format!("{FIRST}T18:00:00+00:00")).run(&["today", "--event", &event, "--why"]);
    let said = said.fine();
    assert!(said.contains("at a usual rate"), "{said}");
    assert!(said.contains("with every day kept"), "{said}");
}
