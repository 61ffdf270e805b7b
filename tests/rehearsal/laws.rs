//! Laws of every session: all kinds of launcher, many seeds and lengths, with and without a switch.

use std::collections::{BTreeMap, BTreeSet};

use secondball::flight::Constants;
use secondball::game::{Hand, Receive, ServeId};
use secondball::launcher::{LauncherKind, Span, Throw, Wheels};
use secondball::page::launcher_words::Loss;
use secondball::page::rehearsal::{json, refusal};
use secondball::rehearsal::{
    BeforeBall, Length, Note, RehearsalError, Role, SessionPhase, SessionRequest, Variation,
    Volumes, rehearse,
};
use secondball::store::judge_launcher_file;

use super::{Asked, LAUNCHERS, deck, generic, many, told};

#[test]
fn the_shipped_launchers_have_no_finding_and_people_have_no_machine() {
    for stem in LAUNCHERS {
        let launcher = generic(stem);
        assert_eq!(judge_launcher_file(&launcher), [], "{stem}");
        assert_eq!(launcher.machine.is_none(), launcher.kind.is_person(), "{stem}");
    }
}

#[test]
fn the_counts_add_up() {
    for (asked, session) in many() {
        let told = told(asked);
        assert_eq!(Some(session.received()), asked.length.balls.map(|n| n as usize), "{told}");
        // Received balls are numbered from 1 without a gap.
        let numbers: Vec<u32> = session
            .blocks
            .iter()
            .flat_map(|block| block.balls.iter().filter_map(|ball| ball.number))
            .collect();
        assert!(numbers.iter().copied().eq(1..=numbers.len() as u32), "{told}");
        // A block's log lines are its received balls less those that are nobody's serve.
        for block in &session.blocks {
            let logged: u32 = block.log.iter().map(|line| line.balls).sum();
            let of_a_serve = block
                .balls
                .iter()
                .filter(|ball| ball.role == Role::Receive && ball.serve.is_some())
                .count();
            assert_eq!(logged as usize, of_a_serve, "{told}, block {}", block.number);
        }
        let lines: Vec<u32> = session.log().iter().map(|line| line.number).collect();
        assert!(lines.iter().copied().eq(1..=lines.len() as u32), "{told}");
        let by_serve: u32 = session.serves.iter().map(|known| known.balls).sum();
        let logged: u32 = session.log().iter().map(|line| line.balls).sum();
        assert_eq!(by_serve, logged, "{told}");
    }
}

#[test]
fn no_setting_of_a_machine_comes_more_often_in_a_row_than_the_cap() {
    for (asked, session) in many().filter(|(asked, _)| !asked.launcher.kind.is_person()) {
        let (mut last, mut run) = (None, 0);
        for block in &session.blocks {
            for ball in &block.balls {
                let now = Some((ball.thrown, block.set_up));
                run = if now == last { run + 1 } else { 1 };
                last = now;
                assert!(run <= 20, "{}, block {}", told(asked), block.number);
            }
        }
    }
}

#[test]
fn a_machine_of_one_setting_throws_one_setting_a_block() {
    for (asked, session) in many().filter(|(asked, _)| asked.launcher.kind == LauncherKind::Fixed) {
        for block in &session.blocks {
            let first = block.balls[0].thrown;
            assert!(
                block.balls.iter().all(|ball| ball.thrown == first),
                "{}, block {}",
                told(asked),
                block.number
            );
        }
    }
}

#[test]
fn an_oscillating_machine_changes_nothing_but_the_lane_in_a_block() {
    for (asked, session) in
        many().filter(|(asked, _)| asked.launcher.kind == LauncherKind::Oscillating)
    {
        for block in &session.blocks {
            let first = block.balls[0].thrown;
            for ball in &block.balls {
                let mut same = ball.thrown;
                same.lane = first.lane;
                same.shade = first.shade;
                assert_eq!(same, first, "{}, block {}", told(asked), block.number);
                let swept = block.sweep.is_empty() || block.sweep.contains(&ball.thrown.lane);
                assert!(swept, "{}, block {}", told(asked), block.number);
            }
        }
    }
}

#[test]
fn balls_are_let_go_after_every_change_of_a_machines_setting_and_never_by_people() {
    for (asked, session) in many() {
        let mut last = None;
        for block in &session.blocks {
            let away = block.balls.iter().take_while(|ball| ball.role == Role::ThrowAway).count();
            assert_eq!(away, block.thrown_away(), "they come first, {}", told(asked));
            let is_person = asked.launcher.kind.is_person();
            let is_one = block.balls.iter().all(|ball| ball.thrown == block.balls[0].thrown);
            let now = Some((block.balls[0].thrown, block.set_up));
            if is_person {
                assert_eq!(away, 0, "{}", told(asked));
            } else if is_one && now != last {
                assert_eq!(away, 3, "{}, block {}", told(asked), block.number);
            }
            last = block.balls.last().map(|ball| (ball.thrown, block.set_up));
        }
    }
}

#[test]
fn a_seed_repeats_its_session_and_another_seed_makes_another() {
    for launcher in LAUNCHERS {
        let mut asked = Asked::of(launcher, 100);
        assert_eq!(asked.session(), asked.session(), "{launcher}");
        let first = asked.session().blocks;
        asked.seed += 1;
        assert_ne!(asked.session().blocks, first, "{launcher}");
    }
}

#[test]
fn a_switch_is_called_once_at_its_stated_ball_and_only_then_the_answer_changes() {
    for (asked, session) in many().filter(|(asked, _)| asked.switch) {
        let told = told(asked);
        let switch = session.switches[0].clone();
        let changed: BTreeMap<&ServeId, &Receive> =
            switch.changes.iter().map(|change| (&change.serve, &change.new)).collect();
        let mut calls = Vec::new();
        let mut since = Vec::new();
        for ball in session.blocks.iter().flat_map(|block| &block.balls) {
            let Some(number) = ball.number else { continue };
            calls.extend(
                ball.before
                    .iter()
                    .filter(|before| matches!(before, BeforeBall::Call(_)))
                    .map(|_| number),
            );
            let (Some(serve), Some(receive)) = (&ball.serve, &ball.receive) else { continue };
            if let Some(new) = changed.get(serve) {
                let is_new = receive.text() == new.text();
                assert_eq!(is_new, number >= switch.at_ball, "{told}, ball {number}");
                if is_new {
                    since.push(number - switch.at_ball);
                }
            }
        }
        assert_eq!(calls, [switch.at_ball], "{told}");
        assert!(since[0] < 3, "{told}: the switched serve comes {} balls late", since[0]);
        assert!(since.len() >= 3, "{told}");
    }
}

#[test]
fn every_serve_is_rehearsed_or_refused_with_a_reason() {
    for (asked, session) in many() {
        let there: BTreeSet<&ServeId> = session.serves.iter().map(|known| &known.serve).collect();
        let refused: BTreeSet<&ServeId> = session.refused.iter().map(|one| &one.serve).collect();
        for serve in asked.deck.active() {
            let places =
                u8::from(there.contains(&serve.id)) + u8::from(refused.contains(&serve.id));
            assert_eq!(places, 1, "{}: {}", told(asked), serve.id);
        }
        for one in &session.refused {
            let reason = refusal(&one.why, &session.opponent);
            assert!(!reason.why.is_empty() && !reason.hint.is_empty());
        }
    }
}

#[test]
fn at_most_one_coaching_line_travels_with_a_block() {
    for (asked, session) in many() {
        let sheet: serde_json::Value = serde_json::from_str(&json(session)).unwrap();
        for block in sheet["blocks"].as_array().unwrap() {
            let line = block["coach"].as_str().unwrap();
            assert!(!line.contains('\n') && line.len() <= 70, "{}: {line}", told(asked));
        }
    }
}

#[test]
fn the_launcher_moves_no_oftener_than_there_are_set_ups_in_groove() {
    for (asked, session) in many() {
        let groove: Vec<_> =
            session.blocks.iter().filter(|block| block.phase == SessionPhase::Groove).collect();
        let mut set_ups = Vec::new();
        for block in &groove {
            if !set_ups.contains(&block.set_up) {
                set_ups.push(block.set_up);
            }
        }
        let moves = groove.iter().filter(|block| block.is_moved).count();
        assert!(moves < set_ups.len().max(1), "{}", told(asked));
    }
}

#[test]
fn hands_in_all_four_combinations_keep_the_ball_where_it_is() {
    for launcher in LAUNCHERS {
        for server in [Hand::Right, Hand::Left] {
            let across = |player: Hand| {
                let mut asked = Asked::of(launcher, 40);
                asked.deck.hand = Some(server);
                asked.deck.serves.iter_mut().for_each(|serve| serve.breaks = None);
                asked.player = player;
                asked.phases = vec![SessionPhase::Groove];
                let session = asked.session();
                let mut balls: Vec<_> = session
                    .blocks
                    .iter()
                    .map(|block| {
                        let ball = &block.balls[0].thrown;
                        let y_mm = secondball::game::lane_y_m(ball.lane, player) * 1000.0;
                        (block.around.clone(), y_mm.round() as i64, ball.breaks, ball.depth)
                    })
                    .collect();
                balls.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.cmp(&b.1)));
                balls.dedup();
                balls
            };
            assert_eq!(across(Hand::Right), across(Hand::Left), "{launcher}, {server}");
        }
    }
}

#[test]
fn a_partner_of_the_other_hand_is_told_how_to_stand_in_and_of_the_same_hand_is_not() {
    let mut asked = Asked::of("partner", 60);
    let session = asked.session();
    assert!(session.serves.iter().all(|known| !known.stand_in.as_ref().unwrap().looks_right));
    asked.deck.hand = Some(Hand::Right);
    let session = asked.session();
    assert!(session.serves.iter().all(|known| known.stand_in.as_ref().unwrap().looks_right));
}

#[test]
fn the_rate_leaves_time_for_what_the_page_asks_or_the_block_is_short() {
    let mut hurried = 0;
    for (asked, session) in many() {
        for block in &session.blocks {
            let played = block.thrown_a_minute / f64::from(block.receive_every);
            // Common practice: 6 to 8 with a full reset, a partner 8 to 12, groove 12 to 20 and slower from far.
            let most = match (block.phase, session.kind()) {
                (SessionPhase::MatchLike, _) => 8.0,
                (_, LauncherKind::Partner) => 12.0,
                _ => 20.0,
            };
            let told = format!("{}, block {}: {played}", told(asked), block.number);
            assert!(block.receive_every <= 2, "{told}");
            if block.notes.contains(&Note::Hurried) {
                assert!(block.received() <= 8, "{told}");
                let own = |before: &BeforeBall| matches!(before, BeforeBall::OwnServes(_));
                assert!(!block.balls.iter().any(|ball| ball.before.iter().any(own)), "{told}");
                hurried += 1;
            } else {
                assert!((6.0..=most).contains(&played), "{told}");
            }
        }
        let passed: usize = session
            .blocks
            .iter()
            .map(|block| block.received() * (block.receive_every as usize - 1))
            .sum();
        let all = session.received() + session.thrown_away() + passed;
        assert_eq!(session.leaving(), all, "{}", told(asked));
    }
    assert!(hurried > 10, "{hurried}");
}

#[test]
fn minutes_are_kept_and_used() {
    for launcher in LAUNCHERS {
        for minutes in [10.0, 30.0, 60.0] {
            let mut asked = Asked::of(launcher, 0);
            asked.length = Length { balls: None, minutes: Some(minutes) };
            let session = asked.session();
            assert!(session.minutes <= minutes, "{launcher}: {} of {minutes}", session.minutes);
            assert!(
                session.minutes > minutes * 0.75,
                "{launcher}: {} of {minutes}",
                session.minutes
            );
        }
    }
}

#[test]
fn a_hopper_never_runs_empty_and_a_stored_sequence_fits() {
    for (asked, session) in many() {
        let Some(machine) = &asked.launcher.machine else { continue };
        let mut left = 0;
        for block in &session.blocks {
            if block.refill {
                left = machine.hopper_balls as usize;
            }
            assert!(block.leaving() <= left, "{}, block {}", told(asked), block.number);
            left -= block.leaving();
            let is_one = block.balls.iter().all(|ball| ball.thrown == block.balls[0].thrown);
            if machine.stored_balls > 0 && !is_one {
                assert!(block.received() <= machine.stored_balls as usize, "{}", told(asked));
            }
        }
    }
}

#[test]
fn weak_patterns_get_more_balls() {
    let deck = deck();
    let launcher = generic("per-ball");
    let balls_of_each = |weak: &str| -> BTreeMap<String, u32> {
        let weakness = deck
            .planned()
            .map(|(serve, receive)| {
                let is_weak = serve.id.as_str() == weak;
                (deck.pattern(&serve.id, receive), if is_weak { 1.0 } else { 0.0 })
            })
            .collect();
        let session = rehearse(&SessionRequest {
            deck: &deck,
            player: Hand::Right,
            switches: Vec::new(),
            drill: None,
            weakness: &weakness,
            launcher: &launcher,
            constants: Constants::default(),
            phases: &[SessionPhase::Groove],
            length: Length { balls: Some(100), minutes: None },
            volumes: Volumes::adult(),
            seed: 1,
        })
        .unwrap();
        session.serves.into_iter().map(|known| (known.serve.to_string(), known.balls)).collect()
    };
    for serve in &deck.serves {
        let weak = balls_of_each(serve.id.as_str())[serve.id.as_str()];
        let firm = balls_of_each("nobody")[serve.id.as_str()];
        assert!(weak > firm, "{}: {weak} weak, {firm} firm", serve.id);
    }
}

#[test]
fn every_variation_of_the_trade_comes_out_of_some_seed() {
    let mut missing: BTreeSet<_> = Variation::ALL.iter().collect();
    for by_name_only in [
        Variation::Mixed,
        Variation::FarThenNear,
        Variation::CounterFromFar,
        Variation::ChopFromFar,
    ] {
        missing.remove(&by_name_only);
    }
    for (seed, launcher) in (0..12).flat_map(|seed| LAUNCHERS.map(|launcher| (seed, launcher))) {
        let mut asked = Asked::of(launcher, 150);
        asked.seed = seed;
        asked.switch = true;
        for block in asked.session().blocks {
            missing.remove(&block.variation);
        }
        if missing.is_empty() {
            return;
        }
    }
    panic!("never made: {missing:?}");
}

#[test]
fn banana_flicks_are_capped_while_there_is_another_receive() {
    let mut asked = Asked::of("feeder", 250);
    for serve in &mut asked.deck.serves {
        let often = serve.id.as_str() == "pend-short-bh";
        serve.how_often = Some(secondball::game::HowOften::Share(if often { 0.9 } else { 0.03 }));
    }
    let session = asked.session();
    let bananas: u32 = session
        .log()
        .iter()
        .filter(|line| line.receive.stroke == secondball::game::Stroke::BananaFlick)
        .map(|line| line.balls)
        .sum();
    assert!(bananas <= Volumes::adult().banana_flicks, "{bananas}");
    assert!(bananas > 20, "{bananas}");
}

#[test]
fn a_launcher_on_a_high_stand_says_so_and_feeds_instead() {
    let mut asked = Asked::of("fixed", 60);
    let machine = asked.launcher.machine.as_mut().unwrap();
    machine.chair_height_m = None;
    machine.outlet_height_m = Span::new(0.60, 0.70);
    machine.wheels = Wheels::Two;
    let session = asked.session();
    let balls = || session.blocks.iter().flat_map(|block| &block.balls);
    assert!(balls().all(|ball| ball.thrown.throw == Throw::Feed));
    let mut losses = session.limits.iter().map(|loss| Loss::tell(&loss.limit));
    assert!(losses.any(|loss| loss.why.contains("60 cm above the table")));
}

#[test]
fn a_deck_without_answers_makes_no_session_and_says_the_way_out() {
    let mut asked = Asked::of("feeder", 60);
    asked.deck.plan.clear();
    asked.deck.safe = None;
    let weakness = BTreeMap::new();
    let ask = |deck: &secondball::deck::Deck, balls: u32, switch| {
        rehearse(&SessionRequest {
            deck,
            player: Hand::Right,
            switches: switch,
            drill: None,
            weakness: &weakness,
            launcher: &asked.launcher,
            constants: Constants::default(),
            phases: &[],
            length: Length { balls: Some(balls), minutes: None },
            volumes: Volumes::adult(),
            seed: 1,
        })
    };
    let error = ask(&asked.deck, 60, Vec::new()).unwrap_err();
    let RehearsalError::NothingLeft { opponent, why } = error else { panic!("{error:?}") };
    assert_eq!(
        refusal(&why, &opponent).hint,
        "choose one: secondball plan choose \"Left-hander, north hall (invented)\""
    );
    let empty = secondball::deck::Deck::new("Nobody", "abc234".to_owned());
    assert!(matches!(ask(&empty, 60, Vec::new()), Err(RehearsalError::NoServes { .. })));
    let full = deck();
    assert!(matches!(ask(&full, 0, Vec::new()), Err(RehearsalError::OutOfBounds(_))));
    let short = ask(&full, 10, full.switches.iter().collect());
    assert!(matches!(short, Err(RehearsalError::TooShortForSwitch { least: 14, .. })));
}
