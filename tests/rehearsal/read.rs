//! What a player reads on a sheet: one left and right, answers that can be played, letters and counts that
//! hold together.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use secondball::base::Units;
use secondball::flight::Constants;
use secondball::game::{Depth, Hand, Lane, Stroke, Wing, lane_y_m};
use secondball::launcher::{LauncherKind, Shade};
use secondball::page::phone::CallerSession;
use secondball::page::rehearsal;
use secondball::rehearsal::{
    BeforeBall, Note, Role, Session, SessionBall, SessionPhase, Variation, enter,
};

use super::{Asked, LAUNCHERS, read};

/// An invented left-hander with short serves to both corners, and nothing for the middle.
fn corners() -> secondball::deck::Deck {
    read(include_str!("corners.ron"))
}

/// Sessions of both decks on every launcher, all four combinations of hands, several seeds; made
/// once.
static MANY: LazyLock<Vec<(String, Session, String)>> = LazyLock::new(|| {
    let mut all = Vec::new();
    for launcher in LAUNCHERS {
        for (server, player) in [
            (Hand::Right, Hand::Right),
            (Hand::Right, Hand::Left),
            (Hand::Left, Hand::Right),
            (Hand::Left, Hand::Left),
        ] {
            for seed in 0..4 {
                let mut asked = Asked::of(launcher, if seed < 2 { 60 } else { 150 });
                if seed % 2 == 0 {
                    asked.deck = corners();
                }
                asked.seed = seed;
                asked.switch = seed == 3;
                asked.deck.hand = Some(server);
                // Wings are the player's own: the plan is theirs.
                asked.deck.seen_against = Some(player);
                asked.player = player;
                let told = format!("{launcher}, {server} serves to {player}, seed {seed}");
                let session = asked.session();
                let sheet = rehearsal::text(&session, 80, Units::Metric);
                all.push((told, session, sheet));
            }
        }
    }
    all
});

fn many() -> impl Iterator<Item = &'static (String, Session, String)> {
    MANY.iter()
}

fn received(session: &Session) -> impl Iterator<Item = &SessionBall> {
    session.blocks.iter().flat_map(|block| &block.balls).filter(|ball| ball.number.is_some())
}

#[test]
fn no_called_receive_is_one_the_coming_ball_cannot_be_answered_with() {
    for (told, session, _) in many() {
        for ball in received(session) {
            let (Some(receive), thrown) = (&ball.receive, &ball.thrown) else { continue };
            let is_forehand_side = matches!(thrown.lane, Lane::Forehand | Lane::WideForehand);
            let is_backhand_side = matches!(thrown.lane, Lane::Backhand | Lane::WideBackhand);
            let is_banana = receive.stroke == Stroke::BananaFlick;
            let is_attack =
                matches!(receive.stroke, Stroke::SlowLoop | Stroke::FastLoop | Stroke::Drive);
            let what = format!("{told}, ball {:?}: {} on {thrown:?}", ball.number, receive.shown());
            match receive.wing {
                Some(Wing::Backhand) => assert!(!is_forehand_side || is_banana, "{what}"),
                Some(Wing::Forehand) => assert!(!is_backhand_side || is_attack, "{what}"),
                None => {}
            }
            let is_kept_short = receive.to.depth == Some(Depth::Short);
            assert!(!is_kept_short || thrown.depth != Depth::Long, "{what}");
        }
    }
}

#[test]
fn a_block_in_which_answers_are_called_has_more_than_one() {
    for (told, session, _) in many() {
        for block in session.blocks.iter().filter(|b| b.variation == Variation::SameBall) {
            let mut answers: Vec<String> =
                received_in(block).filter_map(|ball| Some(ball.receive.as_ref()?.text())).collect();
            answers.sort();
            answers.dedup();
            let is_tiny = block.received() < 8;
            assert!(answers.len() > 1 || is_tiny, "{told}, block {}", block.number);
        }
    }
}

fn received_in(block: &secondball::rehearsal::Block) -> impl Iterator<Item = &SessionBall> {
    block.balls.iter().filter(|ball| ball.number.is_some())
}

#[test]
fn a_launcher_that_keeps_its_setting_keeps_the_side_spin_of_its_serve() {
    let mut seen = 0;
    for (told, session, _) in many().filter(|(_, session, _)| session.kind() == LauncherKind::Fixed)
    {
        for ball in received(session) {
            let is_named = ball.serve.as_ref().is_some_and(|id| id.as_str() == "pend-short");
            if is_named && matches!(ball.thrown.lane, Lane::WideForehand) {
                assert!(ball.thrown.breaks.is_some(), "{told}, ball {:?}", ball.number);
                seen += 1;
            }
        }
    }
    assert!(seen > 0);
}

#[test]
fn a_block_around_one_serve_throws_it_or_only_variations_of_it() {
    for (told, session, _) in many() {
        for block in session.blocks.iter().filter(|block| block.phase == SessionPhase::Vary) {
            let Some(around) = &block.around else { continue };
            let serves: Vec<_> =
                received_in(block).filter_map(|ball| ball.serve.as_ref()).collect();
            let what = format!("{told}, block {}", block.number);
            assert!(serves.is_empty() || serves.contains(&around), "{what}");
        }
    }
}

/// A printed sheet taken apart: the words of every mark, and the marks of every block in order.
struct Read<'s> {
    balls: BTreeMap<&'s str, String>,
    blocks: Vec<Vec<&'s str>>,
}

fn taken_apart(sheet: &str) -> Read<'_> {
    let (mut balls, mut blocks, mut mark) = (BTreeMap::new(), Vec::<Vec<&str>>::new(), "");
    let is_mark = |word: &str| {
        word.starts_with(|letter: char| letter.is_ascii_uppercase()) && word.len() <= 3
    };
    for line in sheet.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        let is_block = line.get(3..5) == Some("  ") && line[..3].trim().parse::<u32>().is_ok();
        if is_block {
            // "A x 5", or the marks that a sweep gives.
            blocks.push(words.windows(3).find(|it| it[1] == "x").map_or_else(Vec::new, |it| {
                let count = it[2].trim_end_matches(',').parse().unwrap();
                vec![it[0]; count]
            }));
            mark = "";
        } else if line.starts_with(' ')
            && line.get(1..2) != Some(" ")
            && is_mark(words[0])
            && blocks.is_empty()
        {
            mark = words[0];
            let text = line[5..].to_owned();
            assert!(balls.insert(mark, text).is_none(), "{mark} twice: {sheet}");
        } else if let Some(block) = blocks.last_mut() {
            let is_order = line.starts_with("     ")
                && words.len() > 1
                && words[0].parse::<u32>().is_ok()
                && words[1..].iter().all(|word| *word == "|" || is_mark(word));
            if is_order {
                block.extend(words[1..].iter().filter(|word| **word != "|"));
            }
        } else if line.starts_with("     ") && !mark.is_empty() {
            balls.entry(mark).and_modify(|text| text.push_str(&line[4..]));
        } else {
            mark = "";
        }
    }
    Read { balls, blocks }
}

#[test]
fn every_ball_has_a_mark_and_a_mark_is_one_ball_with_one_answer() {
    let mut seen = 0;
    for (told, session, sheet) in many() {
        let read = taken_apart(sheet);
        assert_eq!(read.blocks.len(), session.blocks.len(), "{told}\n{sheet}");
        let mut kinds: BTreeMap<&str, &SessionBall> = BTreeMap::new();
        for (block, marks) in session.blocks.iter().zip(&read.blocks) {
            let what = format!("{told}, block {}\n{sheet}", block.number);
            if !block.sweep.is_empty() {
                continue;
            }
            assert_eq!(marks.len(), block.received(), "{what}");
            for (ball, mark) in received_in(block).zip(marks) {
                assert!(read.balls.contains_key(mark), "{mark}: {what}");
                let one = *kinds.entry(mark).or_insert(ball);
                // Where answers are called the ball is kept, and its mark is the answer's.
                let is_same_ball = block.is_called || one.thrown == ball.thrown;
                assert!(is_same_ball, "{what}, ball {:?}: {mark}", ball.number);
                let text =
                    |ball: &SessionBall| ball.receive.as_ref().map(secondball::game::Receive::text);
                assert_eq!(text(one), text(ball), "{what}: {mark}");
                seen += 1;
            }
        }
    }
    assert!(seen > 3000, "{seen}");
}

#[test]
fn every_ball_of_a_machine_has_its_first_bounce_and_its_landing_on_the_page() {
    let mut seen = 0;
    let sessions = super::many()
        .filter(|(asked, session)| !session.kind().is_person() && asked.length.balls <= Some(60));
    // Aiming takes a while without optimisation: every third of them.
    for (asked, session) in sessions.step_by(3) {
        let (told, mut session) = (super::told(asked), session.clone());
        enter(&mut session, &Constants::default());
        let sheet = rehearsal::text(&session, 80, Units::Metric);
        assert!(sheet.lines().count() <= 95, "{told}: {}\n{sheet}", sheet.lines().count());
        let read = taken_apart(&sheet);
        for (mark, words) in &read.balls {
            let is_called = session.blocks.iter().any(|block| block.is_called);
            let refers = words.contains("the ball of") || words.contains("sweep over");
            let is_fed = !words.contains("first bounce") && words.contains("lands");
            let has_both = words.contains("first bounce") && words.contains("lands");
            let is_answer = is_called && !words.contains("lands");
            let is_swept = session.kind() == LauncherKind::Oscillating && !words.contains("lands");
            // No launch was found: the block says why, and the knobs stand in words.
            let is_by_eye = words.contains("first bounce about");
            assert!(
                has_both || is_fed || refers || is_answer || is_swept || is_by_eye,
                "{told} {mark}: {words}"
            );
            seen += usize::from(has_both);
        }
    }
    assert!(seen > 40, "{seen}");
}

#[test]
fn one_frame_of_left_and_right_on_a_feeders_sheet_for_the_four_hand_combinations() {
    let mut seen = (0, 0);
    for (told, session, sheet) in
        many().filter(|(_, session, _)| session.kind() == LauncherKind::Feeder)
    {
        let read = taken_apart(sheet);
        for (block, marks) in session.blocks.iter().zip(&read.blocks) {
            for (ball, mark) in received_in(block).zip(marks) {
                let row = &read.balls[mark];
                // Towards + y is the thrower's left, the receiver's right.
                let y_m = lane_y_m(ball.thrown.lane, session.player);
                let lands = if y_m > 0.2 { "left" } else { "right" };
                if y_m.abs() > 0.2 {
                    assert!(row.contains(&format!("{lands},")), "{told}: {row}");
                    seen.0 += 1;
                }
                if let Some(side) = ball.thrown.breaks {
                    let words = format!("bends {}", side.other());
                    assert!(row.contains(&words), "{told}: {row}");
                    seen.1 += 1;
                }
            }
        }
        assert!(!sheet.contains("receiver's right") && !sheet.contains("receiver's left"));
    }
    assert!(seen.0 > 100 && seen.1 > 50, "{seen:?}");
}

#[test]
fn no_sheet_speaks_of_the_receivers_left_or_right_or_hides_a_side_in_a_letter() {
    for (told, _, sheet) in many() {
        assert!(
            sheet.split_whitespace().collect::<Vec<_>>().join(" ").contains("facing the receiver"),
            "{told}"
        );
        for line in sheet.lines() {
            assert!(!line.contains("receiver's left"), "{told}: {line}");
            assert!(!line.contains("receiver's right"), "{told}: {line}");
            let is_coded = line.contains("spin L ") || line.contains("spin R ");
            assert!(!is_coded, "{told}: {line}");
        }
    }
    assert!(!Shade::ALL.iter().any(|shade| shade.shown().contains("receiver's")));
}

#[test]
fn a_sheet_stays_within_eighty_columns_and_cuts_no_word() {
    for (told, _, sheet) in many() {
        for line in sheet.lines() {
            assert!(line.chars().count() <= 80, "{told}: {line}");
        }
        assert!(!sheet.contains('\u{2026}'), "{told}: a word is cut: {sheet}");
    }
}

#[test]
fn an_answer_is_described_once_on_a_sheet_and_in_each_block_on_the_phone() {
    for (told, session, sheet) in many() {
        for ball in received(session) {
            let Some(receive) = &ball.receive else { continue };
            let flat = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
            let said = flat.matches(&format!(": {} ", receive.shown())).count();
            assert!(said >= 1, "{told}: {}\n{sheet}", receive.shown());
        }
        let called = CallerSession::from_session(session, Units::Metric);
        for (block, called) in session.blocks.iter().zip(&called.blocks) {
            let mut answers: Vec<_> =
                received_in(block).filter_map(|ball| Some(ball.receive.as_ref()?.text())).collect();
            answers.sort_unstable();
            answers.dedup();
            assert!(called.receives.len() >= answers.len(), "{told}, block {}", block.number);
        }
    }
}

#[test]
fn a_variation_that_keeps_the_receive_says_why() {
    for (told, session, sheet) in many() {
        for block in &session.blocks {
            if !matches!(block.variation, Variation::DeadAmongHeavy | Variation::OffTempo) {
                continue;
            }
            let text =
                |ball: &SessionBall| ball.receive.as_ref().map(secondball::game::Receive::text);
            let own = received_in(block).find(|ball| ball.serve.is_some()).and_then(text);
            let is_same = received_in(block).any(|ball| ball.serve.is_none() && text(ball) == own);
            let is_said = block.notes.iter().any(|note| matches!(note, Note::SameReceive { .. }));
            assert!(!is_same || is_said, "{told}, block {}", block.number);
            assert!(!is_said || sheet.contains("The receive stays"), "{told}");
        }
    }
}

#[test]
fn counts_on_a_sheet_add_up() {
    for (told, session, sheet) in many() {
        let by_serve: u32 = session.serves.iter().map(|known| known.balls).sum();
        let others = received(session).filter(|ball| !ball.is_logged()).count();
        assert_eq!(by_serve as usize + others, session.received(), "{told}");
        let flat = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
        let wing = received(session).filter(|ball| ball.role == Role::OtherWing).count();
        for (count, noun) in [(others - wing, "variation"), (wing, "to the other wing")] {
            let printed = flat.contains(noun) && flat.contains("not written down");
            assert!(count == 0 || printed, "{told}: {count} {noun}");
        }
        let slots: u32 = flat
            .split("__/")
            .skip(1)
            .filter_map(|rest| {
                rest.split(|c: char| !c.is_ascii_digit()).next()?.parse::<u32>().ok()
            })
            .sum();
        assert_eq!(slots, by_serve, "{told}\n{sheet}");
    }
}

#[test]
fn a_bar_stands_wherever_own_serves_come_between_and_the_sheet_says_so() {
    let mut asked = Asked::of("fixed", 60);
    // Slow enough for own serves between two balls.
    asked.launcher.machine.as_mut().unwrap().rate_a_minute.least = 6.0;
    let session = asked.session();
    let sheet = rehearsal::text(&session, 80, Units::Metric);
    let is_own = |before: &BeforeBall| matches!(before, BeforeBall::OwnServes(_));
    let between = received(&session).flat_map(|ball| &ball.before).filter(|it| is_own(it)).count();
    let said = sheet.matches("; | own serves between").count();
    assert!(between > 0 && said > 0, "{sheet}");
    let bars = sheet.split_whitespace().filter(|word| *word == "|").count();
    assert_eq!(bars, between + said, "{sheet}");
}

#[test]
fn nobody_feeds_on_a_partners_sheet_and_no_look_is_right() {
    let sheet = rehearsal::text(&Asked::of("partner", 60).session(), 80, Units::Metric);
    assert!(!sheet.contains("feeder") && !sheet.contains("launcher's manual"), "{sheet}");
    assert!(!sheet.contains("is right"), "{sheet}");
    let flat = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("the look is not"), "{sheet}");
}
