//! What the calendar promises beyond the optimum: budgets, days off, missed days, events that compete,
//! what is begun late, and that a plan repeats.

#![expect(clippy::unwrap_used, reason = "a failure here is a failed test")]

use secondball::base::Dice;
use secondball::memory::{
    Budget, Carried, EventWeights, Habits, Item, MemoryState, Model, Plan, Task, plan,
};

use super::seasons::{event_on, invented_patterns, places};

fn patterns(n: usize) -> Vec<Item> {
    invented_patterns(n, &mut Dice::from_seed(11))
}

fn task(today: i32, items: &[Item], event: i32, budget: Budget) -> Task {
    Task {
        today,
        events: vec![event_on(event, items)],
        budgets: vec![budget],
        habits: Habits::default(),
    }
}

fn made(items: &[Item], task: &Task) -> Plan {
    plan(&Model::default(), items, task, None).unwrap()
}

#[test]
fn a_day_never_asks_for_more_answers_than_it_holds() {
    let items = patterns(60);
    for answers in [0, 1, 7, 30] {
        let made = made(&items, &task(0, &items, 20, Budget::Answers(answers)));
        assert!(made.today.len() <= answers as usize);
        assert!(answers == 0 || !made.today.is_empty());
        for day in &made.ahead {
            assert!(day.answers <= f64::from(answers) + 1e-9, "{day:?}");
        }
    }
}

#[test]
fn minutes_hold_answers_and_the_repairs_they_may_need() {
    let items = patterns(60);
    let minutes = Budget::Minutes { minutes: 2.0, seconds_an_answer: 8.0, seconds_a_repair: 8.0 };
    let today = made(&items, &task(0, &items, 20, minutes)).today;
    let seconds: f64 = today.iter().map(|p| 8.0 + 8.0 * (1.0 - p.recall_now)).sum();
    assert!(seconds <= 120.0, "{seconds}");
    assert!(seconds > 100.0, "{seconds}");
}

#[test]
fn nothing_is_asked_on_a_day_off_and_the_days_around_it_carry_on() {
    let items = patterns(40);
    let mut budgets = vec![Budget::OFF];
    budgets.extend([Budget::Answers(5), Budget::OFF, Budget::Answers(5)]);
    let made = made(&items, &Task { budgets, ..task(0, &items, 15, Budget::OFF) });
    assert!(made.today.is_empty());
    assert_eq!(made.ahead[0].answers, 0.0);
    assert_eq!(made.ahead[2].answers, 0.0);
    assert!(made.ahead[1].answers > 2.0);
    assert_eq!(made.with, made.without_today);
}

#[test]
fn of_two_events_the_nearer_comes_first_and_the_farther_is_not_forgotten() {
    // Twenty patterns belong to an event in four days, twenty to one in forty.
    let items: Vec<Item> = (0..40)
        .map(|index| {
            let memory = Some((MemoryState::new(2.0, 5.0).unwrap(), -2));
            Item { index, weight: 1.0, memory }
        })
        .collect();
    let belongs = |near: bool| {
        items.iter().map(|i| if (i.index < 20) == near { 1.0 } else { 0.0 }).collect::<Vec<_>>()
    };
    let events = vec![
        EventWeights { day: 40, weights: belongs(false) },
        EventWeights { day: 4, weights: belongs(true) },
    ];
    let task = Task { events, ..task(3, &items, 40, Budget::Answers(8)) };
    let made = made(&items, &task);
    assert!(!made.today.is_empty());
    let near = made.today.iter().filter(|p| p.index < 20).count();
    assert_eq!(near, made.today.len(), "{:?}", places(&made.today));
    let later: f64 = made.ahead.iter().filter(|day| day.day > 4).map(|day| day.answers).sum();
    assert!(later >= 20.0, "every pattern of the later event has a day: {later}");
}

#[test]
fn what_is_begun_in_the_last_two_days_counts_as_much_as_the_habits_say() {
    let mut items = patterns(50);
    for item in &mut items {
        if let Some((_, last)) = &mut item.memory {
            *last -= 5;
        }
    }
    let begun = |today, late_new, answers| {
        let task = task(today, &items, 20, Budget::Answers(answers));
        let habits = Habits { late_new, ..task.habits };
        made(&items, &Task { habits, ..task }).today.iter().filter(|p| p.is_new).count()
    };
    for today in [18, 19] {
        assert_eq!(begun(today, 0.0, 40), 0, "day {today}");
    }
    assert!(begun(19, 0.5, 40) > 0, "late, but not forbidden");
    assert!(begun(17, 0.0, 40) > 0);
}

#[test]
fn a_plan_repeats_and_what_is_carried_reads_back() {
    let items = patterns(80);
    let task = task(0, &items, 30, Budget::Answers(9));
    let (one, two) = (made(&items, &task), made(&items, &task));
    assert_eq!(one, two);
    let text = serde_json::to_string(&one.carried).unwrap();
    let back: Carried = serde_json::from_str(&text).unwrap();
    let model = Model::default();
    let warm = plan(&model, &items, &task, Some(&back)).unwrap();
    assert!(!warm.today.is_empty());
}

#[test]
fn following_the_plan_is_forecast_better_than_skipping_today_and_that_better_than_stopping() {
    let items = patterns(80);
    let made = made(&items, &task(0, &items, 30, Budget::Answers(9)));
    assert!(made.with.expected > made.without_today.expected + 1e-4);
    assert!(made.without_today.expected > made.without.expected + 0.05);
}

#[test]
fn a_missed_day_makes_the_plan_begin_earlier_and_expect_less() {
    let items: Vec<Item> = (0..40).map(|index| Item { index, weight: 1.0, memory: None }).collect();
    let kept = |days_kept, lists_done| {
        let task = task(0, &items, 12, Budget::Answers(10));
        let habits = Habits { days_kept, lists_done, ..Habits::default() };
        made(&items, &Task { habits, ..task })
    };
    let (always, seldom, cut) = (kept(1.0, 1.0), kept(0.6, 1.0), kept(1.0, 0.6));
    assert!(seldom.today.len() >= always.today.len());
    assert_eq!(cut.today.len(), 10, "today's list stays whole");
    for less in [&seldom, &cut] {
        assert!(less.with.expected < always.with.expected - 0.03, "{:?}", less.with);
    }
}

#[test]
fn a_list_cut_short_loses_what_is_worth_least() {
    // Few enough to be searched; the weightiest stand last in the deck.
    let items: Vec<Item> =
        (0..6).map(|index| Item { index, weight: 1.0 + index as f64, memory: None }).collect();
    let today = made(&items, &task(0, &items, 3, Budget::Answers(3))).today;
    assert_eq!(places(&today), [5, 4, 3]);
}

#[test]
fn what_makes_no_sense_is_refused() {
    let items = patterns(5);
    let model = Model::default();
    let past = task(20, &items, 20, Budget::Answers(5));
    assert!(plan(&model, &items, &past, None).is_none());
    let mut short = task(0, &items, 20, Budget::Answers(5));
    short.events[0].weights.pop();
    assert!(plan(&model, &items, &short, None).is_none());
    short.events[0].weights.push(f64::NAN);
    assert!(plan(&model, &items, &short, None).is_none());
    let minutes =
        Budget::Minutes { minutes: f64::INFINITY, seconds_an_answer: 8.0, seconds_a_repair: 8.0 };
    assert!(plan(&model, &items, &task(0, &items, 20, minutes), None).is_none());
    let empty = plan(&model, &[], &task(0, &[], 20, Budget::Answers(5)), None).unwrap();
    assert!(empty.today.is_empty());
}
