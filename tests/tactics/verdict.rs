//! One verdict on each answer, whoever asks: seeded invented histories, and the stories that were
//! told wrong before.

use secondball::base::Dice;
use secondball::deck::Owned;
use secondball::game::{End, Match, MatchLength, Stroke, Wing};
use secondball::journal::{Debrief, DebriefServe, Fact, Going, HowMany, Quality};
use secondball::page::advice_words::serve_says;
use secondball::page::switching;
use secondball::page::verdict_words::{lesson_says, what_to_do};
use secondball::tactics::advice::advise;
use secondball::tactics::reserve::rank;
use secondball::tactics::verdict::{Lesson, Verdict};

use super::season::{
    Dated, LONG, LOOP, PUSH, Table, day, deck, id, point, receive, season, untried,
};

/// Clean points of one serve: so many won at this rate, waited for at that one (never noted when
/// none).
fn played(
    dice: &mut Dice,
    (of_match, date): (&str, &str),
    (serve, with): (&str, &str),
    (points, rate, waits): (usize, f64, Option<f64>),
) -> Vec<Dated> {
    (0..points)
        .map(|_| {
            let mut one = point(of_match, serve, with, dice.chance(rate));
            one.waiting = waits.map(|waits| dice.chance(waits));
            (day(date), Fact::Point(one))
        })
        .collect()
}

fn told(of_match: &str, date: &str, serve: DebriefServe) -> Dated {
    let debrief = Debrief {
        deck: "abc234".to_owned(),
        of_match: of_match.to_owned(),
        games: Vec::new(),
        serves: vec![serve],
        new: Vec::new(),
        sentence: Some("the elbow was open".to_owned()),
    };
    (day(date), Fact::Debrief(debrief))
}

/// A match in which the short push was read after six balls: waited for and lost.
fn read_match(of_match: &str, date: &str) -> Vec<Dated> {
    (0..18)
        .map(|ball| {
            let is_read = ball >= 6;
            let won = if is_read { ball % 6 == 0 } else { ball % 3 > 0 };
            let mut one = point(of_match, "short-fh", PUSH, won);
            one.waiting = Some(is_read);
            (day(date), Fact::Point(one))
        })
        .collect()
}

#[test]
fn of_forty_unread_histories_with_four_points_none_says_change() {
    for seed in 0..40 {
        let mut dice = Dice::from_seed(seed);
        let mut facts = Vec::new();
        for (serve, with) in [("short-fh", PUSH), ("long-bh", LOOP)] {
            facts.extend(played(
                &mut dice,
                ("m", "2026-11-01"),
                (serve, with),
                (4, 0.55, Some(0.1)),
            ));
        }
        let table = Table::of(deck(), &facts);
        for serve in advise(&table.verdicts()).serves {
            let Some(lesson) = &serve.lesson else { continue };
            assert_ne!(lesson.verdict, Verdict::Change, "seed {seed}");
            let says = serve_says(&serve);
            let is_mild = says[0].starts_with("Keep ") || says[0].starts_with("Try ");
            assert!(is_mild, "seed {seed}: {}", says[0]);
        }
    }
}

#[test]
fn advice_lessons_and_switches_never_contradict() {
    let (mut changes, mut keeps) = (0, 0);
    for seed in 0..60 {
        let mut dice = Dice::from_seed(seed);
        let mut facts = Vec::new();
        for (place, date) in ["2026-09-01", "2026-10-01", "2026-11-01"].iter().enumerate() {
            let word = format!("m{place}");
            for (serve, with) in
                [("short-fh", PUSH), ("short-fh", LONG), ("long-bh", LOOP), ("dead", PUSH)]
            {
                let rate = [0.3, 0.45, 0.6][dice.below(3)];
                let waits = [None, Some(0.1), Some(0.7)][dice.below(3)];
                let points = dice.below(14);
                facts.extend(played(
                    &mut dice,
                    (&word, date),
                    (serve, with),
                    (points, rate, waits),
                ));
            }
        }
        let mut deck = deck();
        deck.plan.insert(id("dead"), receive(PUSH));
        let table = Table::of(deck, &facts);
        let verdicts = table.verdicts();
        let found = table.lessons();
        let start = Match::start(MatchLength::best_of(5).unwrap(), End::Me);
        let ranked = rank(&verdicts, &untried, &start);
        for serve in advise(&verdicts).serves {
            let lesson = found.lessons.iter().find(|of| of.serve == serve.serve).unwrap();
            let judged = serve.lesson.as_ref().unwrap();
            assert_eq!(judged.verdict, lesson.verdict, "seed {seed}");
            let says = what_to_do(lesson);
            assert_eq!(serve_says(&serve)[0], says, "seed {seed}");
            assert_eq!(judged.outlook, lesson.outlook);
            let is_change = lesson.verdict == Verdict::Change;
            changes += usize::from(is_change);
            keeps += usize::from(!is_change);
            let is_new = says.starts_with("Make ") || says.starts_with("Prepare ");
            assert_eq!(is_new, is_change, "{says}");
            if let Some(name) = &lesson.switch {
                let reserve = ranked.iter().find(|reserve| reserve.name == *name).unwrap();
                assert_eq!(reserve.is_due, is_change, "seed {seed}");
                let better = lesson.outlook.map_or(reserve.better, |next| next.other_better);
                assert!((reserve.better - better).abs() < 1e-12);
                let card = lesson.card.unwrap();
                assert_eq!(card.starts_with_other, lesson.verdict.is_doubted(), "seed {seed}");
                assert_eq!(reserve.cards, [(lesson.serve.clone(), card)]);
            }
        }
    }
    assert!(changes >= 5 && keeps >= 30, "both come up: {changes} and {keeps}");
}

#[test]
fn loose_and_missed_receives_never_speak_against_the_choice() {
    for seed in 0..30 {
        let mut dice = Dice::from_seed(seed);
        let clean =
            played(&mut dice, ("m", "2026-11-01"), ("short-fh", PUSH), (10, 0.5, Some(0.3)));
        let before = Table::of(deck(), &clean).lesson("short-fh");
        for quality in [Quality::Loose, Quality::Missed] {
            let mut facts = clean.clone();
            for _ in 0..8 {
                let mut one = point("m", "short-fh", PUSH, false);
                (one.quality, one.waiting) = (Some(quality), Some(true));
                facts.push((day("2026-11-01"), Fact::Point(one)));
            }
            let after = Table::of(deck(), &facts).lesson("short-fh");
            assert_eq!(after.outlook, before.outlook);
            assert!(after.verdict != Verdict::Change || before.verdict == Verdict::Change);
        }
    }
    let mut two = vec![(day("2026-11-01"), Fact::Point(point("m", "short-fh", PUSH, false))); 2];
    for (_, fact) in &mut two {
        let Fact::Point(one) = fact else { continue };
        one.quality = Some(Quality::Loose);
    }
    assert_eq!(Table::of(deck(), &two).lesson("short-fh").verdict, Verdict::Keep);
}

#[test]
fn silence_about_waiting_is_judged_like_a_no() {
    let mut silent = Vec::new();
    let mut spoken = Vec::new();
    for ball in 0..13 {
        let waits = ball % 6 == 3;
        let mut one = point("m", "short-fh", PUSH, ball % 5 > 1);
        one.waiting = waits.then_some(true);
        silent.push((day("2026-11-01"), Fact::Point(one.clone())));
        one.waiting = Some(waits);
        spoken.push((day("2026-11-01"), Fact::Point(one)));
    }
    let lesson = |facts: &[Dated]| Table::of(deck(), facts).lesson("short-fh");
    assert_eq!(lesson(&silent), lesson(&spoken));
    assert_eq!(lesson(&silent).recent.noted, 13);
}

#[test]
fn a_debrief_as_the_newest_match_does_not_wipe_the_lessons() {
    let mut facts = read_match("m1", "2026-11-01");
    let alone = Table::of(deck(), &facts).lesson("short-fh");
    assert_eq!(alone.verdict, Verdict::Change);
    facts.push(told(
        "m2",
        "2026-11-15",
        DebriefServe {
            serve: id("long-bh"),
            receive: None,
            many: HowMany::Few,
            going: Going::Even,
            read: false,
        },
    ));
    let table = Table::of(deck(), &facts);
    let after = table.lesson("short-fh");
    assert_eq!(
        (after.verdict, &after.recent.matches[..]),
        (Verdict::Change, &["m1".to_owned()][..])
    );
    let found = table.lessons();
    assert_eq!(found.sentences, [("m2".to_owned(), "the elbow was open".to_owned())]);
}

#[test]
fn a_few_points_of_a_new_match_do_not_wipe_what_the_older_ones_said() {
    let mut facts = read_match("m1", "2026-11-01");
    let before = Table::of(deck(), &facts).lesson("short-fh");
    assert_eq!(before.verdict, Verdict::Change);
    // The switch was played, as advised, and the old answer once.
    for won in [true, false, true, false] {
        facts.push((day("2026-11-15"), Fact::Point(point("m2", "short-fh", LONG, won))));
    }
    facts.push((day("2026-11-15"), Fact::Point(point("m2", "short-fh", PUSH, true))));
    let after = Table::of(deck(), &facts).lesson("short-fh");
    assert!(after.verdict.is_doubted());
    assert!(after.recent.matches.iter().any(|word| word == "m1"), "{:?}", after.recent);
}

#[test]
fn another_ball_lost_while_they_waited_never_lowers_the_suspicion() {
    let read = |facts: &[Dated]| Table::of(deck(), facts).lesson("short-fh").outlook.unwrap().read;
    let facts = read_match("m1", "2026-11-01");
    let silent = {
        let mut facts = facts.clone();
        facts.push((day("2026-11-15"), Fact::Point(point("m2", "long-bh", PUSH, true))));
        read(&facts)
    };
    let mut waited = facts.clone();
    for ball in 1..4 {
        let mut lost = point("m2", "short-fh", PUSH, false);
        lost.waiting = Some(true);
        waited.push((day("2026-11-15"), Fact::Point(lost)));
        assert!(read(&waited) > silent, "{ball} balls: {} not above {silent}", read(&waited));
    }
}

#[test]
fn points_on_another_serve_change_nothing_that_is_said_of_this_one() {
    let badly = |ball: u32| {
        let mut one = point("m1", "long-bh", LOOP, ball.is_multiple_of(2));
        one.quality = (ball % 2 == 1).then_some(Quality::Loose);
        (day("2026-11-01"), Fact::Point(one))
    };
    let mut facts = read_match("m1", "2026-11-01");
    facts.extend((0..4).map(badly));
    let verdicts = |facts: &[Dated]| {
        let table = Table::of(deck(), facts);
        let of = |serve| table.lesson(serve).verdict;
        (of("short-fh"), of("long-bh"))
    };
    let before = verdicts(&facts);
    let mut third = point("m2", "dead", "backhand push", false);
    third.waiting = Some(false);
    facts.push((day("2026-11-15"), Fact::Point(third)));
    assert_eq!(verdicts(&facts), before);
}

#[test]
fn one_more_missed_receive_does_not_make_a_badly_played_answer_a_good_one() {
    let badly = |of_match: &str, on: &str, balls: u32| -> Vec<Dated> {
        let missed = |ball| {
            let mut one = point(of_match, "short-fh", PUSH, ball % 2 == 0);
            one.quality = (ball % 2 == 1).then_some(Quality::Missed);
            (day(on), Fact::Point(one))
        };
        (0..balls).map(missed).collect()
    };
    let mut facts = badly("m1", "2026-11-01", 10);
    assert_eq!(Table::of(deck(), &facts).lesson("short-fh").verdict, Verdict::PlayItBetter);
    facts.extend(badly("m2", "2026-11-15", 2).into_iter().skip(1));
    let after = Table::of(deck(), &facts).lesson("short-fh");
    assert_eq!((after.verdict, after.badly_in_all), (Verdict::PlayItBetter, (6, 11)));
}

#[test]
fn a_debrief_that_does_not_speak_of_reading_leaves_the_suspicion_where_it_was() {
    let facts: Vec<Dated> = (0..12)
        .map(|ball| (day("2026-11-01"), Fact::Point(point("m1", "short-fh", PUSH, ball % 3 > 0))))
        .collect();
    let after = |going| {
        let serve = DebriefServe {
            serve: id("short-fh"),
            receive: None,
            many: HowMany::Many,
            going,
            read: false,
        };
        let mut facts = facts.clone();
        facts.push(told("m2", "2026-11-15", serve));
        Table::of(deck(), &facts).lesson("short-fh")
    };
    let (well, badly) = (after(Going::Well), after(Going::Badly));
    let of = |lesson: &Lesson| lesson.outlook.unwrap();
    assert!((of(&well).read - of(&badly).read).abs() < 0.05);
    assert!(of(&well).now[0] > of(&badly).now[0]);
    assert_ne!(badly.verdict, Verdict::Change);
    assert_eq!(well.verdict, Verdict::Keep);
}

#[test]
fn told_as_going_well_and_read_changes_nothing() {
    let told_read = |many, going| {
        let serve = DebriefServe { serve: id("short-fh"), receive: None, many, going, read: true };
        Table::of(deck(), &[told("m", "2026-11-01", serve)]).lesson("short-fh")
    };
    for many in [HowMany::Few, HowMany::Some, HowMany::Many] {
        assert_eq!(told_read(many, Going::Well).verdict, Verdict::Keep);
        assert_ne!(told_read(many, Going::Badly).verdict, Verdict::Change);
    }
}

#[test]
fn one_answer_is_changed_and_one_tried_a_meeting() {
    let mut facts = Vec::new();
    for (serve, with) in [("short-fh", PUSH), ("long-bh", LOOP), ("dead", PUSH)] {
        for ball in 0..14 {
            let mut one = point("m", serve, with, ball % 7 == 0);
            one.waiting = Some(ball % 7 > 2);
            facts.push((day("2026-11-01"), Fact::Point(one)));
        }
    }
    let mut deck = deck();
    deck.plan.insert(id("dead"), receive(PUSH));
    let table = Table::of(deck, &facts);
    let lessons = table.lessons().lessons;
    let said = |verdict| lessons.iter().filter(|lesson| lesson.verdict == verdict).count();
    assert_eq!((said(Verdict::Change), said(Verdict::TryOnce), said(Verdict::Keep)), (1, 1, 1));
    // The one worth most: the serve that comes most often.
    assert_eq!((&lessons[0].serve, lessons[0].verdict), (&id("short-fh"), Verdict::Change));
}

#[test]
fn an_alternative_goes_to_another_depth_or_two_lanes_away() {
    for with in [PUSH, "forehand push to middle long", "forehand push to wide_backhand short"] {
        let mut deck = deck();
        deck.switches.clear();
        deck.plan.insert(id("short-fh"), receive(with));
        let other = Table::of(deck, &[]).lesson("short-fh").alternative.unwrap();
        assert!(other.to.is_far_from(receive(with).to), "{with}: {}", other.text());
    }
}

#[test]
fn an_alternative_is_owned_by_the_player_or_there_is_none() {
    let mut deck = deck();
    deck.switches.clear();
    deck.plan.insert(id("short-fh"), receive("forehand push to wide_backhand long"));
    let mut table = Table::of(deck, &[]);
    let other = |table: &Table| table.lesson("short-fh").alternative.map(|other| other.stroke);
    for stroke in [Stroke::Push, Stroke::Flick] {
        table.player.repertoire = vec![Owned::new(Wing::Forehand, stroke, 8)];
        assert_eq!(other(&table), Some(stroke));
    }
    table.player.repertoire = vec![Owned::new(Wing::Backhand, Stroke::Block, 8)];
    assert_eq!(other(&table), None);
}

#[test]
fn an_answer_held_or_played_is_an_alternative_only_when_owned_and_far_from_the_plan() {
    let of = |held: &str, owned: Stroke| {
        let mut deck = deck();
        deck.switches[0].changes.insert(id("short-fh"), receive(held));
        let mut facts = read_match("m1", "2026-11-01");
        for ball in 0..8 {
            let with = "forehand push heavy to forehand short";
            let played = point("m1", "short-fh", with, ball > 0);
            facts.push((day("2026-11-01"), Fact::Point(played)));
        }
        let mut table = Table::of(deck, &facts);
        table.player.repertoire = vec![Owned::new(Wing::Forehand, owned, 8)];
        table.lesson("short-fh")
    };
    let held = of(LONG, Stroke::Push);
    assert_eq!(held.switch.as_deref(), Some("long push"));
    for (with, owned) in [(LONG, Stroke::Flick), ("forehand push to elbow short", Stroke::Push)] {
        let lesson = of(with, owned);
        assert_eq!(lesson.switch, None, "{with}");
        let other = lesson.alternative.unwrap();
        assert!(other.stroke == owned && other.to.is_far_from(receive(PUSH).to), "{with}");
    }
}

#[test]
fn a_match_played_with_the_switch_says_how_the_switch_did() {
    let mut facts = read_match("m1", "2026-11-01");
    for ball in 0..10 {
        facts.push((day("2026-11-15"), Fact::Point(point("m2", "short-fh", LONG, ball % 3 != 0))));
    }
    let lesson = Table::of(deck(), &facts).lesson("short-fh");
    assert!(lesson.verdict.is_doubted());
    assert_eq!(lesson.instead.len(), 1);
    assert_eq!(lesson.instead[0].points, (10, 6));
    let said = "The switch \"long push\" was played in m2: 6 of 10 points won.";
    let says = lesson_says(&lesson, None);
    assert!(says.iter().any(|line| line == said), "{says:?}");
    // Lost with it as well: there is nothing better to change to.
    let mut facts = read_match("m1", "2026-11-01");
    for ball in 0..10 {
        facts.push((day("2026-11-15"), Fact::Point(point("m2", "short-fh", LONG, ball == 0))));
    }
    assert_ne!(Table::of(deck(), &facts).lesson("short-fh").verdict, Verdict::Change);
}

#[test]
fn a_switch_that_has_become_the_plan_is_not_offered_again() {
    let mut deck = deck();
    deck.plan.insert(id("short-fh"), receive(LONG));
    let table = Table::of(deck, &read_match("m1", "2026-11-01"));
    let start = Match::start(MatchLength::best_of(5).unwrap(), End::Me);
    let ranked = rank(&table.verdicts(), &untried, &start);
    assert!(ranked[0].is_in_plan && !ranked[0].is_due);
    let says = switching::says(&ranked[0], &table.deck);
    assert!(says[0].starts_with("Already in the plan"), "{}", says[0]);
    let lesson = table.lesson("short-fh");
    assert_ne!(lesson.alternative, Some(receive(LONG)));
    assert_eq!(lesson.verdict, Verdict::Keep);
}

#[test]
fn a_rival_without_points_does_not_move_with_the_accidents_of_others() {
    let rival = |facts: &[Dated]| Table::of(deck(), facts).lesson("long-bh").alternative;
    let first = rival(&[]);
    assert!(first.is_some());
    for seed in 0..10 {
        let mut dice = Dice::from_seed(seed);
        let rate = 0.1 + 0.08 * f64::from(u32::try_from(seed).unwrap());
        let facts = played(
            &mut dice,
            ("m", "2026-11-01"),
            ("dead", "backhand block to middle long"),
            (20, rate, None),
        );
        assert_eq!(rival(&facts), first);
    }
}

#[test]
fn a_chance_from_few_points_comes_with_a_wide_range() {
    let advice = |facts: &[Dated]| advise(&Table::of(deck(), facts).verdicts());
    let few = advice(&[(day("2026-11-01"), Fact::Point(point("m", "short-fh", PUSH, true)))]);
    let many = advice(&season());
    let width = |(low, high): (f64, f64)| high - low;
    for one in [&few, &many] {
        assert!(one.match_range.0 < one.match_chance && one.match_chance < one.match_range.1);
        assert!(one.ranges.1.0 < one.chances.1 && one.chances.1 < one.ranges.1.1);
    }
    assert!(width(few.match_range) > width(many.match_range));
    assert!(width(few.match_range) > 0.3);
}
