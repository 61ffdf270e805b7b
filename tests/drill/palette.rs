//! Where the keys of a round lie: a finger that has learnt one finds its receive there again.

#![expect(clippy::unwrap_used, reason = "an invented deck that does not hold must fail the test")]

use std::collections::BTreeMap;

use secondball::deck::{Deck, Plan, Switch};
use secondball::drill::{RoundRequest, build};
use secondball::game::Hand;
use secondball::memory::Memories;

use super::decks::deck;

/// The cell of every receive on the palette of a round, by its text.
fn cells(deck: &Deck, standing: &[Switch], switch: Option<&Switch>) -> BTreeMap<String, usize> {
    let memories = Memories::default();
    let request = RoundRequest {
        balls: 12,
        switch,
        standing,
        seed: 1,
        ..RoundRequest::plain(deck, Hand::Right, &memories, "2026-01-01".parse().unwrap())
    };
    let script = build(&request).unwrap().script;
    let choices = script.palette.choices.iter();
    choices.map(|choice| (choice.receive.as_str().to_owned(), choice.cell)).collect()
}

#[test]
fn a_receive_keeps_its_key_in_the_plan_in_a_switch_round_and_in_the_round_after_it() {
    let mut deck = deck();
    deck.switches.push(Switch {
        name: "flick".to_owned(),
        cue: None,
        // It would take a place of its own if a switch that stands moved the others.
        changes: Plan::from([(
            "long-bh".parse().unwrap(),
            "backhand fast_loop to middle long".parse().unwrap(),
        )]),
    });
    let [push, flick] = [deck.switches[0].clone(), deck.switches[1].clone()];
    let plan = cells(&deck, &[], None);
    assert_eq!(plan.len(), 6);
    assert_eq!(cells(&deck, &[], Some(&push)), plan);
    assert_eq!(cells(&deck, std::slice::from_ref(&push), Some(&flick)), plan);
    assert_eq!(cells(&deck, std::slice::from_ref(&flick), Some(&push)), plan);
}

#[test]
fn a_safe_answer_to_a_serve_of_theirs_has_a_key() {
    let mut deck = deck();
    let before = cells(&deck, &[], None);
    deck.safe_for.long = Some("backhand block to elbow long".parse().unwrap());
    // None of their serves is fast.
    deck.safe_for.fast = Some("backhand block to middle long".parse().unwrap());
    let after = cells(&deck, &[], None);
    assert_eq!(after.len(), before.len() + 1);
    assert!(after.contains_key("backhand block to elbow long"), "{after:?}");
}
