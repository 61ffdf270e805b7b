//! The answer called to each ball, over every habit and its mirror image on every kind of launcher:
//! what a coach would not have played never stands on a page, and what is counted adds up.

use std::collections::{BTreeMap, BTreeSet};

use secondball::deck::Habit;
use secondball::game::{Depth, Pace, Serve, ServeId, Stroke, Weight};
use secondball::launcher::{LauncherKind, Thrown};
use secondball::receive::Meeting;
use secondball::rehearsal::{Block, Note, RehearsalError, Session, SessionBall, Variation, drills};

use super::{Asked, LAUNCHERS, generic, many, read, told};

/// The balls that are played.
fn played(session: &Session) -> impl Iterator<Item = &SessionBall> {
    session.blocks.iter().flat_map(Block::played)
}

/// What comes, as a serve that a coach can judge.
fn seen(thrown: &Thrown) -> Serve {
    Serve {
        lane: Some(thrown.lane),
        depth: Some(thrown.depth),
        spin: Some(thrown.spin),
        pace: Some(thrown.pace),
        weight: Some(Weight::RevS(thrown.rev_s)),
        breaks: thrown.breaks,
        ..Serve::unknown(ServeId::coined("thrown", &[]))
    }
}

#[test]
fn no_session_calls_an_answer_that_a_coach_objects_to() {
    assert!(many().count() >= 300);
    let mut wrong = BTreeSet::new();
    for (asked, session) in many() {
        let (told, deck) = (told(asked), &asked.deck);
        for ball in played(session) {
            let Some(receive) = &ball.receive else {
                wrong.insert(format!("{told}: ball {:?} has no answer", ball.number));
                continue;
            };
            let serve = seen(&ball.thrown);
            let objection = Meeting::new(&serve, deck).objection(receive);
            if let Some(objection) = objection {
                wrong.insert(format!("{told}: {}, {}", receive.shown(), objection.ball()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn no_drill_by_name_calls_an_answer_that_a_coach_objects_to_and_each_is_done_by_some_deck() {
    let (mut wrong, mut never) = (BTreeSet::new(), BTreeSet::new());
    for stem in LAUNCHERS {
        let kind = generic(stem).kind;
        for &drill in drills(kind).1 {
            let mut is_done = false;
            for starter in Habit::ALL {
                let mut asked = Asked::of(stem, 24);
                asked.deck = read(starter.text);
                asked.drill = Some(drill);
                let session = match asked.made() {
                    Ok(session) => session,
                    Err(RehearsalError::NoBallsFor(_) | RehearsalError::NothingLeft { .. }) => {
                        continue;
                    }
                    Err(error) => panic!("{stem}, {drill}: {error:?}"),
                };
                is_done = true;
                assert_eq!(session.received(), 24, "{stem}, {drill}");
                let told = format!("{stem}, {drill}, {}", asked.deck.opponent);
                for ball in played(&session) {
                    let receive = ball.receive.as_ref().unwrap();
                    let objection =
                        Meeting::new(&seen(&ball.thrown), &asked.deck).objection(receive);
                    if let Some(objection) = objection {
                        wrong.insert(format!("{told}: {}, {}", receive.shown(), objection.ball()));
                    }
                }
                assert!(session.blocks.iter().all(|block| block.variation == drill), "{told}");
                if drill == Variation::OffTempo {
                    let slow =
                        played(&session).filter(|ball| ball.thrown.pace == Pace::Slow).count();
                    assert!((8..=16).contains(&slow), "{told}: about half are slow, not {slow}");
                }
                if stem != "feeder" {
                    break;
                }
            }
            if !is_done {
                never.insert(format!("{stem}, {drill}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(never.is_empty(), "{never:#?}");
}

#[test]
fn a_variation_of_long_backspin_is_attacked() {
    let mut seen = 0;
    for (asked, session) in many() {
        let told = told(asked);
        for ball in played(session).filter(|ball| ball.serve.is_none()) {
            let Some(receive) = &ball.receive else { continue };
            if ball.thrown.depth == Depth::Long && ball.thrown.spin.has_backspin() {
                let is_pushed = matches!(receive.stroke, Stroke::Push | Stroke::SidespinPush);
                assert!(!is_pushed, "{told}: ball {:?}, {}", ball.number, receive.shown());
                seen += 1;
            }
        }
    }
    assert!(seen > 20, "{seen}");
}

#[test]
fn a_launcher_that_keeps_its_setting_never_stands_for_serves_of_two_kinds_of_spin() {
    let mut called = 0;
    for (asked, session) in many() {
        let (told, deck) = (told(asked), &asked.deck);
        for block in session.blocks.iter().filter(|block| block.is_called) {
            let ids: BTreeSet<&ServeId> =
                block.played().filter_map(|ball| ball.serve.as_ref()).collect();
            let spins: Vec<_> =
                ids.iter().map(|id| deck.serve(id).unwrap().spin.unwrap()).collect();
            // Where the launcher cannot make the spin, what it throws instead counts.
            let is_lost = |id: &&ServeId| session.limits.iter().any(|loss| loss.serve == **id);
            if !ids.iter().any(is_lost) {
                for spin in &spins {
                    assert!(spin.is_like(spins[0]), "{told}, block {}: {ids:?}", block.number);
                }
            }
            called += 1;
        }
    }
    assert!(called > 50, "{called}");
}

#[test]
fn a_lone_serve_of_a_launcher_of_one_setting_takes_turns_between_plan_and_switch() {
    let mut turns = 0;
    for (asked, session) in many() {
        let (told, deck) = (told(asked), &asked.deck);
        if session.kind() != LauncherKind::Fixed {
            continue;
        }
        let is_lone = |note: &Note| matches!(note, Note::PlanOrSwitch(..));
        let lone = session.blocks.iter().filter(|block| block.notes.iter().any(is_lone));
        let mut answers: BTreeMap<&ServeId, BTreeSet<String>> = BTreeMap::new();
        for ball in lone.flat_map(Block::played) {
            let receive = ball.receive.as_ref().unwrap().text();
            answers.entry(ball.serve.as_ref().unwrap()).or_default().insert(receive);
        }
        for (serve, its) in answers {
            let switched = deck.switches[0].changes[serve].text();
            assert_eq!(its, BTreeSet::from([deck.plan[serve].text(), switched]), "{told}, {serve}");
            turns += 1;
        }
    }
    assert!(turns > 3, "{turns}");
}

#[test]
fn a_ball_bears_the_name_of_a_serve_only_as_that_serve_is_thrown() {
    for (asked, session) in many() {
        let (told, deck) = (told(asked), &asked.deck);
        let lost: BTreeSet<&ServeId> = session.limits.iter().map(|loss| &loss.serve).collect();
        for block in session.blocks.iter().filter(|block| !block.is_called) {
            for ball in block.played() {
                let Some(id) = ball.serve.as_ref().filter(|id| !lost.contains(id)) else {
                    continue;
                };
                let serve = deck.serve(id).unwrap();
                let told = format!("{told}, block {}, {id}", block.number);
                assert_eq!(serve.spin, Some(ball.thrown.spin), "{told}");
                assert_eq!(serve.depth, Some(ball.thrown.depth), "{told}");
                assert_eq!(serve.lane, Some(ball.thrown.lane), "{told}");
            }
        }
    }
}
