//! The verdicts and the card in invented worlds, a short form of `examples/meetings.rs`: wide bounds,
//! fixed seeds.

use super::ranges::{Receiver, coverage};
use super::worlds::{Noted, Played, Rule, World, meeting, play};
use secondball::tactics::verdict::Verdict;

/// Of 100 serves: said CHANGE, and of those how many the other answer was really better.
fn changes(world: World, meetings: u64) -> (f64, f64) {
    let said: Vec<_> = (0..meetings).flat_map(|seed| meeting(&world, seed)).collect();
    let changed: Vec<f64> =
        said.iter().filter(|of| of.0 == Verdict::Change).map(|of| of.1).collect();
    let right = changed.iter().filter(|gain| **gain > 0.0).count() as f64;
    (100.0 * changed.len() as f64 / said.len() as f64, 100.0 * right / changed.len().max(1) as f64)
}

#[test]
fn where_nobody_reads_few_answers_are_changed() {
    let loud = World { spread: 0.17, noted: Noted::AfterLost, ..World::CALM };
    let (said, _) = changes(loud, 100);
    assert!(said <= 10.0, "{said}");
    let (said, _) = changes(World { plan: Some(0.58), ..World::CALM }, 100);
    assert!(said <= 2.0, "{said}");
}

#[test]
fn where_most_read_a_change_is_mostly_right() {
    let noted = World { noted: Noted::Mostly, ..World::MOST_READ };
    let (said, right) = changes(noted, 100);
    assert!(said >= 8.0 && right >= 80.0, "{said} {right}");
}

#[test]
fn the_card_wins_no_fewer_balls_than_changing_after_two_lost() {
    let world = World { adapts: 0.0, ..World::MOST_READ };
    let share = |rule| {
        let mut played = Played::default();
        (0..60).for_each(|seed| play(&world, rule, seed, &mut played));
        f64::from(played.balls_won) / f64::from(played.balls)
    };
    // Sixty matches carry a standard error of about two in a hundred.
    let (card, two) = (share(Rule::CardOnce), share(Rule::AfterTwoLost));
    assert!(card >= two - 0.03, "{card} {two}");
}

#[test]
fn eight_times_in_ten_is_about_true_for_a_player_whose_receives_differ_much() {
    let [one, all, of_match] = coverage(Receiver { spread: 0.2, level: 0.12 }, 20, 60);
    // 240 receives and 60 opponents: standard errors of .03 and .05.
    assert!((0.70..=0.92).contains(&one), "{one}");
    assert!((0.65..=0.97).contains(&all) && (0.65..=0.97).contains(&of_match), "{all} {of_match}");
}

#[test]
fn eight_times_in_ten_is_about_true_of_a_match_against_a_much_weaker_opponent() {
    let [.., of_match] = coverage(Receiver { spread: 0.1, level: 0.12 }, 5, 250);
    // A standard error of .025; with means worth 16 and 20 points it is .76 here.
    assert!((0.78..=0.90).contains(&of_match), "{of_match}");
}
