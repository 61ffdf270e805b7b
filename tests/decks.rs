//! Every habit and every file of the demonstration reads without a single finding, and makes sense
//! for every pair of hands.

#![expect(clippy::unwrap_used, reason = "a deck that cannot be read must fail the test")]

use secondball::base::Day;
use secondball::deck::{Deck, Habit, Hands, SafeFor, advice};
use secondball::game::{Hand, Lane, Pace, Side, Stroke, WeightName, Wing, usual_break};
use secondball::receive;
use secondball::store::parse;

/// The demonstration's invented opponent and player, and the name of the opponent's file.
const DEMO_OPPONENT: &str = include_str!("../demo/left-hander-north-hall.ron");
const DEMO_OPPONENT_STEM: &str = "left-hander-north-hall";
const DEMO_PLAYER: &str = include_str!("../demo/player.ron");

fn habits() -> Vec<(&'static Habit, Deck)> {
    Habit::ALL.iter().map(|habit| (habit, read(&habit.file(), habit.text))).collect()
}

#[track_caller]
fn read(file: &str, text: &str) -> Deck {
    let judged = parse(file, text, receive::of_deck).unwrap();
    assert!(judged.findings.is_empty(), "{:#?}", judged.findings);
    judged.value
}

/// Every text a person wrote into a receive or a switch.
fn words(deck: &Deck) -> Vec<String> {
    let mut words = Vec::new();
    let plans = std::iter::once(&deck.plan).chain(deck.switches.iter().map(|s| &s.changes));
    for receive in plans.flat_map(|plan| plan.values()).chain(deck.safe_answers()) {
        words.extend([&receive.why, &receive.expect, &receive.then].into_iter().flatten().cloned());
    }
    words.extend(deck.switches.iter().filter_map(|switch| switch.cue.clone()));
    words.extend(deck.serves.iter().flat_map(|serve| serve.tells.clone()));
    words
}

#[test]
fn every_starter_deck_is_complete_and_reads_without_a_finding() {
    assert!(habits().len() >= 15);
    for (habit, deck) in habits() {
        let name = habit.name;
        assert!(deck.serves.len() >= 3, "{name}");
        assert_eq!(deck.unplanned().count(), 0, "{name}");
        assert!(deck.safe.is_some() && deck.hand.is_some(), "{name}");
        assert_eq!(deck.seen_against, Some(Hand::Right), "{name}");
        assert_eq!(deck.switches.len(), 1, "{name}");
        assert!(deck.switches[0].cue.is_some(), "{name}");
        assert_eq!(deck.switches[0].changes.len(), 1, "{name}: one change is easiest to bring out");
        for (serve, receive) in deck.planned() {
            let here = format!("{name}, {}", serve.id);
            assert!(serve.how_often.is_some(), "{here}");
            assert!(serve.unknown_parts().is_empty(), "{here}");
            assert!(receive.why.is_some() && receive.expect.is_some(), "{here}");
            assert!(receive.then.is_some() && receive.wing.is_some(), "{here}");
            assert!(receive.to.lane.is_some() && receive.to.depth.is_some(), "{here}");
        }
        assert_eq!(deck.key, format!("habit-{name}"));
        assert_eq!(deck.safe_for.each().count(), SafeFor::ALL.len(), "{name}");
        for (kind, receive) in deck.safe_for.each() {
            let here = format!("{name}, {kind}");
            let serve = kind.as_serve();
            assert!(receive::Meeting::new(&serve, &deck).passes(receive), "{here}");
            assert!(receive.wing.is_some() && receive.to.lane.is_some(), "{here}");
        }
    }
}

#[test]
fn every_break_is_the_one_of_hand_and_motion_and_every_twin_is_a_twin_both_ways() {
    for (habit, deck) in habits() {
        for serve in &deck.serves {
            let here = format!("{}, {}", habit.name, serve.id);
            let sideways = serve.spin.unwrap().is_sideways();
            assert_eq!(serve.breaks.is_some(), sideways, "{here}");
            if let Some(usual) = usual_break(serve.motion.as_ref().unwrap(), deck.hand.unwrap()) {
                assert!(serve.breaks.is_none_or(|breaks| breaks == usual), "{here}");
            }
            if let Some(twin) = &serve.looks_like {
                assert_eq!(deck.serve(twin).unwrap().looks_like, Some(serve.id.clone()), "{here}");
            }
        }
    }
}

/// What can be seen before or at contact, of each of two that look alike, or there is nothing to learn.
#[test]
fn twins_are_told_apart_by_something_to_see_in_each() {
    for (habit, deck) in habits() {
        for serve in deck.serves.iter().filter(|serve| serve.looks_like.is_some()) {
            assert!(!serve.tells.is_empty(), "{}, {}", habit.name, serve.id);
            let twin = deck.serve(serve.looks_like.as_ref().unwrap()).unwrap();
            assert!(serve.tells.iter().all(|tell| !twin.tells.contains(tell)), "{}", habit.name);
            // Where it bounces is seen too late.
            assert!(serve.tells.iter().all(|tell| !tell.contains("bounce")), "{}", habit.name);
        }
    }
}

/// Common practice against each kind of bat.
#[test]
fn no_starter_feeds_what_the_opponent_likes() {
    let decks: std::collections::BTreeMap<_, _> =
        habits().into_iter().map(|(habit, deck)| (habit.name, deck)).collect();
    let receives = |name: &str| {
        let deck = &decks[name];
        let switched = deck.switches.iter().flat_map(|switch| switch.changes.values());
        let all = deck.plan.values().chain(switched).chain(deck.safe_answers());
        all.cloned().collect::<Vec<_>>()
    };
    let is_push = |stroke| matches!(stroke, Stroke::Push | Stroke::Touch | Stroke::SidespinPush);
    // A chopper's smooth forehand attacks; long pimples send heavy backspin back as topspin.
    for receive in receives("defender") {
        let to_forehand = matches!(receive.to.lane, Some(Lane::Forehand | Lane::WideForehand));
        assert!(!(is_push(receive.stroke) && to_forehand), "{}", receive.shown());
    }
    for receive in ["defender", "long-pimples"].iter().flat_map(|name| receives(name)) {
        let is_heavy = receive.weight == Some(WeightName::Heavy);
        let to_pimples = matches!(receive.to.lane, Some(Lane::Backhand | Lane::WideBackhand));
        assert!(!(is_push(receive.stroke) && is_heavy && to_pimples), "{}", receive.shown());
    }
    // From the wide forehand across to a right-hander is their forehand.
    let away = &decks["tomahawk-wide"].plan[&"away".parse().unwrap()];
    assert_eq!(away.to.lane, Some(Lane::Forehand));
}

#[test]
fn no_word_of_a_starter_has_to_be_guessed() {
    for (habit, deck) in habits() {
        let all = words(&deck).join("\n") + habit.about;
        for word in [" turn ", " turns", "dead", "quiet bat", "no time to work", "loose", "tight"] {
            assert!(!all.contains(word), "{}: {word}", habit.name);
        }
    }
}

#[test]
fn a_starter_fits_every_pair_of_hands_without_an_objection() {
    for (habit, deck) in habits() {
        for (server, receiver) in [
            (Hand::Right, Hand::Right),
            (Hand::Right, Hand::Left),
            (Hand::Left, Hand::Right),
            (Hand::Left, Hand::Left),
        ] {
            let here = format!("{}: {server} serves, {receiver} receives", habit.name);
            let fitted = deck.as_habit_for("Invented", "abc234".to_owned(), Some(server), receiver);
            assert_eq!(receive::of_deck(&fitted), [], "{here}");
            assert_eq!(
                (fitted.hand, fitted.seen_against),
                (Some(server), Some(receiver)),
                "{here}"
            );
            for serve in &fitted.serves {
                let usual = usual_break(serve.motion.as_ref().unwrap(), server);
                assert!(usual.is_none() || serve.breaks.is_none_or(|side| Some(side) == usual));
            }
            // Nobody plays a banana flick with the forehand.
            assert!(fitted.plan.values().all(|receive| receive.stroke != Stroke::BananaFlick
                || receive.wing == Some(Wing::Backhand)));
        }
        let written = Hands { server: deck.hand.unwrap(), receiver: Hand::Right };
        assert_eq!(written.fitting(written).deck(&deck), deck);
    }
}

#[test]
fn no_word_of_a_starter_names_a_side_that_another_hand_would_turn_round() {
    for (habit, deck) in habits() {
        for text in words(&deck) {
            for word in ["forehand", "backhand"] {
                for (start, _) in text.match_indices(word) {
                    assert!(text[..start].ends_with("their "), "{}: {text}", habit.name);
                }
            }
            for side in Side::ALL {
                // `the side they left` and `right after` say nothing of a side.
                let as_side = format!("to your {}", side.word());
                assert!(!text.contains(&as_side), "{}: {text}", habit.name);
            }
        }
        for serve in &deck.serves {
            let parts: Vec<_> = serve.id.as_str().split('-').collect();
            assert!(!parts.iter().any(|part| ["fh", "bh", "forehand", "backhand"].contains(part)));
        }
    }
}

#[test]
fn the_demonstration_has_twins_a_fast_long_serve_and_two_switches() {
    assert!(DEMO_OPPONENT.starts_with("// An invented opponent"));
    assert!(DEMO_PLAYER.starts_with("// An invented player"));
    let deck = read("demo/left-hander-north-hall.ron", DEMO_OPPONENT);
    assert_eq!(deck.serves.len(), 4);
    assert!(deck.serves.iter().any(|serve| serve.looks_like.is_some()));
    assert!(deck.serves.iter().any(|serve| serve.pace == Some(Pace::Fast)));
    assert_eq!(deck.switches.len(), 2);
    assert_eq!(deck.unplanned().count(), 0);
    assert_eq!(secondball::base::text::file_stem(&deck.opponent), DEMO_OPPONENT_STEM);
    let player = parse("demo/player.ron", DEMO_PLAYER, advice::of_player).unwrap();
    assert!(player.findings.is_empty(), "{:#?}", player.findings);
    assert_eq!(player.value.events[0].opponents[0].deck, DEMO_OPPONENT_STEM);
    // Whoever plays the demonstration's plan owns its strokes.
    for (serve, receive) in deck.planned() {
        assert!(player.value.of_ten(receive, Some(serve)).is_some(), "{}", serve.id);
    }
    let _: Day = player.value.events[0].day;
}
