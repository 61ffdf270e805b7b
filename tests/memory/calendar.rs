//! What the calendar promises beyond the optimum: budgets, days off, events that compete, nothing
//! new at the end, and that a plan repeats.

#![expect(clippy::unwrap_used, reason = "a failure here is a failed test")]

use secondball::base::Dice;
use secondball::memory::{
    Budget, Carried, EventWeights, Habits, Item, MemoryState, Model, Plan, Task, plan,
};

use super::seasons::{Player, Season, event_on, greedy_list, invented_patterns, places};

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
fn nothing_new_is_begun_in_the_last_two_days() {
    let mut items = patterns(50);
    for item in &mut items {
        if let Some((_, last)) = &mut item.memory {
            *last -= 5;
        }
    }
    let untried = items.iter().filter(|i| i.memory.is_none()).count();
    assert!(untried > 5);
    for (today, may) in [(17, true), (18, false), (19, false)] {
        let made = made(&items, &task(today, &items, 20, Budget::Answers(40)));
        assert_eq!(made.today.iter().any(|p| p.is_new), may, "day {today}");
    }
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
fn what_the_plan_forecasts_is_what_a_simulated_player_then_reaches() {
    let habits = Habits { floor: 0.0, nothing_new_days: 0, ..Habits::default() };
    let model = Model::default();
    let mut missed = Vec::new();
    for seed in 1..=4 {
        let items = invented_patterns(120, &mut Dice::for_part(seed, "patterns"));
        let task =
            |day, items: &[Item]| Task { habits, ..task(day, items, 30, Budget::Answers(8)) };
        let promised = made(&items, &task(0, &items)).with.expected;
        let dice = Dice::for_part(seed, "answers");
        let mut season = Season::new(Player::ModelsOwn, items, &habits, dice);
        let mut carried: Option<Carried> = None;
        let reached = season.play(30, |day, items| {
            let made = plan(&model, items, &task(day, items), carried.as_ref()).unwrap();
            carried = Some(made.carried);
            places(&made.today)
        });
        missed.push(reached - promised);
    }
    let mean = missed.iter().sum::<f64>() / 4.0;
    assert!(mean.abs() < 0.02, "{missed:?}");
}

#[test]
fn every_kind_of_player_is_served_at_least_as_well_as_by_the_greedy_rule() {
    let habits = Habits { floor: 0.0, nothing_new_days: 0, ..Habits::default() };
    let model = Model::default();
    for player in Player::ALL {
        let days_kept = if player == Player::MissesDays { 0.7 } else { 1.0 };
        let habits = Habits { days_kept, ..habits };
        let mut sums = [0.0; 2];
        for seed in 1..=3 {
            let items = invented_patterns(120, &mut Dice::for_part(seed, "patterns"));
            let season =
                || Season::new(player, items.clone(), &habits, Dice::for_part(seed, "answers"));
            sums[0] += season()
                .play(30, |day, items| places(&greedy_list(&model, items, day, 30, 8, &habits)));
            let mut carried: Option<Carried> = None;
            sums[1] += season().play(30, |day, items| {
                let task = Task { habits, ..task(day, items, 30, Budget::Answers(8)) };
                let made = plan(&model, items, &task, carried.as_ref()).unwrap();
                carried = Some(made.carried);
                places(&made.today)
            });
        }
        let [greedy, calendar] = sums.map(|sum| sum / 3.0);
        assert!(calendar > greedy - 0.005, "{}: {calendar} {greedy}", player.words());
    }
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
