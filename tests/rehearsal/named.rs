//! Where a switch round ends, and what can be written down.

use secondball::launcher::LauncherKind;
use secondball::rehearsal::{Note, Variation};

use super::{many, told};

#[test]
fn a_switch_call_is_followed_by_balls_of_its_block_and_the_round_says_where_it_ends() {
    for (asked, session) in many().filter(|(asked, _)| asked.switch) {
        let told = told(asked);
        let round: Vec<_> = session
            .blocks
            .iter()
            .filter(|block| block.variation == Variation::SwitchRound)
            .collect();
        let at = session.switches[0].at_ball;
        for (place, block) in round.iter().enumerate() {
            let numbers: Vec<u32> = block.balls.iter().filter_map(|ball| ball.number).collect();
            let has_call = numbers.contains(&at);
            let after = numbers.iter().filter(|number| **number >= at).count();
            assert!(!has_call || after > 3, "{told}: {after} balls after the call in its block");
            let says = |is_it: fn(&Note) -> bool| block.notes.iter().any(is_it);
            let is_last = place + 1 == round.len();
            assert_eq!(says(|note| *note == Note::RoundEnds), is_last, "{told}");
            assert_eq!(
                says(|note| matches!(note, Note::SwitchHolds(_))),
                numbers[0] > at,
                "{told}"
            );
            assert_eq!(
                says(|note| *note == Note::PlanHolds),
                *numbers.last().unwrap() < at,
                "{told}"
            );
        }
    }
}

#[test]
fn what_an_oscillating_launcher_gave_can_be_written_down_whatever_it_gave() {
    let mut swept = 0;
    for (asked, session) in
        many().filter(|(asked, _)| asked.launcher.kind == LauncherKind::Oscillating)
    {
        for block in session.blocks.iter().filter(|block| !block.sweep.is_empty()) {
            for line in &block.log {
                let all = block.received();
                let mut given = vec!["-".to_owned(); line.number as usize - 1];
                given.push(format!("1/{all}"));
                let read = secondball::import::session_results::read_results(
                    &session.log(),
                    &given,
                    &secondball::game::ServeId::to_string,
                );
                assert!(read.is_ok(), "{}: {read:?}", told(asked));
                swept += 1;
            }
        }
    }
    assert!(swept > 0);
}

#[test]
fn a_serve_without_a_receive_is_rehearsed_with_the_safe_answer_of_its_kind() {
    use secondball::game::Receive;

    use super::Asked;
    let mut asked = Asked::of("feeder", 60);
    asked.deck.plan.remove(&"bh-long-bh".parse().unwrap());
    asked.deck.safe_for.fast = Some("backhand block to elbow long".parse().unwrap());
    asked.deck.safe_for.short = Some("forehand push to backhand long".parse().unwrap());
    let session = asked.session();
    let balls = session.blocks.iter().flat_map(|block| &block.balls);
    let fast =
        balls.filter(|ball| ball.serve.as_ref().is_some_and(|id| id.as_str() == "bh-long-bh"));
    let receives: Vec<String> =
        fast.filter_map(|ball| ball.receive.as_ref()).map(Receive::text).collect();
    assert!(receives.len() > 3, "{receives:?}");
    assert!(receives.iter().all(|text| text == "backhand block to elbow long"), "{receives:?}");
}
