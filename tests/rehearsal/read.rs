//! What a player reads on a sheet: one left and right, answers that can be played, letters and counts that
//! hold together.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use secondball::base::Units;
use secondball::game::{Depth, Hand, Lane, Stroke, Wing, lane_y_m};
use secondball::launcher::{LauncherKind, Shade};
use secondball::page::phone::CallerSession;
use secondball::page::rehearsal;
use secondball::rehearsal::{
    BeforeBall, Note, Role, Session, SessionBall, SessionPhase, Variation,
};

use super::{Asked, LAUNCHERS, read};

/// An invented left-hander with short serves to both corners, and nothing for the middle.
fn corners() -> secondball::deck::Deck {
    read(include_str!("corners.ron"))
}

/// Sessions of both decks on every launcher, all four combinations of hands, several seeds; made
/// once.
static MANY: LazyLock<Vec<(String, Session)>> = LazyLock::new(|| {
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
                all.push((told, asked.session()));
            }
        }
    }
    all
});

fn many() -> impl Iterator<Item = &'static (String, Session)> {
    MANY.iter()
}

fn received(session: &Session) -> impl Iterator<Item = &SessionBall> {
    session.blocks.iter().flat_map(|block| &block.balls).filter(|ball| ball.number.is_some())
}

#[test]
fn no_called_receive_is_one_the_coming_ball_cannot_be_answered_with() {
    for (told, session) in many() {
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
    for (told, session) in many() {
        for block in session.blocks.iter().filter(|b| b.variation == Variation::ChangeTheAnswer) {
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
    for (told, session) in many().filter(|(_, session)| session.kind() == LauncherKind::Fixed) {
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
    for (told, session) in many() {
        for block in session.blocks.iter().filter(|block| block.phase == SessionPhase::Vary) {
            let Some(around) = &block.around else { continue };
            let serves: Vec<_> =
                received_in(block).filter_map(|ball| ball.serve.as_ref()).collect();
            let what = format!("{told}, block {}", block.number);
            assert!(serves.is_empty() || serves.contains(&around), "{what}");
        }
    }
}

/// Every played ball of the printed lists: its number and the line its mark stands for.
fn rows(sheet: &str) -> BTreeMap<u32, &str> {
    let mut balls = BTreeMap::new();
    for block in sheet.split("\nBlock ").skip(1) {
        let kinds: BTreeMap<&str, &str> = block
            .lines()
            .skip_while(|line| !line.starts_with("  ball serve "))
            .skip(1)
            .filter(|line| line.get(5..7) == Some("  "))
            .map(|line| (line[2..5].trim(), line))
            .collect();
        for line in block.lines().filter(|line| line.get(14..17) == Some("   ")) {
            let Ok(first) = line[11..14].trim().parse::<u32>() else { continue };
            let marks = line[17..].split(' ').filter(|mark| *mark != "|");
            balls.extend((first..).zip(marks).filter_map(|(n, mark)| Some((n, *kinds.get(mark)?))));
        }
    }
    balls
}

#[test]
fn every_ball_of_a_list_has_a_mark_and_a_mark_is_one_ball_with_one_answer() {
    let mut seen = 0;
    for (told, session) in many().filter(|(_, session)| session.kind().is_person()) {
        let sheet = rehearsal::text(session, 80, Units::Metric);
        let rows = rows(&sheet);
        for block in &session.blocks {
            let found = |ball: &'static SessionBall| Some((ball, *rows.get(&ball.number?)?));
            let listed: Vec<_> = block.balls.iter().filter_map(found).collect();
            let what = format!("{told}, block {}", block.number);
            assert!(listed.is_empty() || listed.len() == block.received(), "{what}\n{sheet}");
            let mut kinds: BTreeMap<&str, &SessionBall> = BTreeMap::new();
            for (ball, row) in listed {
                let one = *kinds.entry(row).or_insert(ball);
                let is_one = (one.thrown.lane, one.thrown.depth, one.thrown.spin, &one.receive)
                    == (ball.thrown.lane, ball.thrown.depth, ball.thrown.spin, &ball.receive);
                assert!(is_one, "{what}, ball {:?}: {row}", ball.number);
                seen += 1;
            }
        }
    }
    assert!(seen > 500, "{seen}");
}

#[test]
fn one_frame_of_left_and_right_on_a_feeders_sheet_for_the_four_hand_combinations() {
    let mut seen = (0, 0);
    for (told, session) in many().filter(|(_, session)| session.kind() == LauncherKind::Feeder) {
        let sheet = rehearsal::text(session, 80, Units::Metric);
        let rows = rows(&sheet);
        for ball in received(session) {
            let Some(row) = ball.number.and_then(|number| rows.get(&number)) else { continue };
            // Towards + y is the thrower's left, the receiver's right.
            let y_m = lane_y_m(ball.thrown.lane, session.player);
            let lands = if y_m > 0.2 { "left" } else { "right" };
            if y_m.abs() > 0.2 {
                assert!(row.contains(lands), "{told}: {row}");
                seen.0 += 1;
            }
            if let Some(side) = ball.thrown.breaks {
                let words = format!(" {} ", side.other());
                let spin = row.split("side").nth(1).unwrap_or_default();
                assert!(spin.contains(&words), "{told}: {row}");
                seen.1 += 1;
            }
        }
        assert!(!sheet.contains("receiver's right") && !sheet.contains("receiver's left"));
    }
    assert!(seen.0 > 100 && seen.1 > 50, "{seen:?}");
}

#[test]
fn no_sheet_speaks_of_the_receivers_left_or_right_or_hides_a_side_in_a_letter() {
    for (told, session) in many() {
        let sheet = rehearsal::text(session, 80, Units::Metric);
        assert!(sheet.contains("facing the receiver"), "{told}");
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
    for (told, session) in many() {
        for line in rehearsal::text(session, 80, Units::Metric).lines() {
            assert!(line.chars().count() <= 80, "{told}: {line}");
            let is_row = line.get(5..7) == Some("  ");
            assert!(!is_row || !line.contains('…'), "{told}: {line}");
        }
    }
}

#[test]
fn within_a_block_different_letters_mean_different_texts() {
    for (told, session) in many() {
        let sheet = rehearsal::text(session, 80, Units::Metric);
        let mut block = Vec::new();
        for line in sheet.lines() {
            if line.starts_with("Block ") {
                block.clear();
            }
            let Some(words) = line.get(11..) else { continue };
            let mut letters = words.chars();
            let is_answer = letters.next().is_some_and(char::is_alphabetic)
                && words.get(1..3) == Some("  ")
                && (line.starts_with("  answer") || line.starts_with("           "));
            if is_answer {
                // A variation shares the letter of the serve that is answered alike.
                let text = words.get(3..).unwrap_or_default().to_owned();
                let bare = text.split("  (").next().unwrap_or_default().to_owned();
                let is_bare = bare == text;
                let same = block.iter().any(|(other, other_is_bare): &(String, bool)| {
                    *other == bare && (is_bare || *other_is_bare)
                });
                assert!(!same, "{told}: {line}\n{sheet}");
                block.push((bare, is_bare));
            }
        }
    }
}

#[test]
fn an_answer_is_described_once_on_a_sheet_and_in_each_block_on_the_phone() {
    for (told, session) in many() {
        let sheet = rehearsal::text(session, 80, Units::Metric);
        let is_answer = |line: &&str| {
            let is_labelled = line.starts_with("  answer") || line.starts_with("           ");
            is_labelled && line.get(12..14) == Some("  ")
        };
        let mut letters: Vec<&str> =
            sheet.lines().filter(is_answer).filter_map(|line| line.get(11..12)).collect();
        letters.sort_unstable();
        assert!(!letters.is_empty(), "{told}");
        assert!(letters.windows(2).all(|two| two[0] != two[1]), "{told}: {letters:?}\n{sheet}");
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
    for (told, session) in many() {
        let sheet = rehearsal::text(session, 80, Units::Metric);
        for block in &session.blocks {
            if !matches!(block.variation, Variation::DeadAmongLoaded | Variation::OddSlow) {
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
    for (told, session) in many() {
        let sheet = rehearsal::text(session, 80, Units::Metric);
        let by_serve: u32 = session.serves.iter().map(|known| known.balls).sum();
        let others = received(session).filter(|ball| !ball.is_logged()).count();
        assert_eq!(by_serve as usize + others, session.received(), "{told}");
        let wing = received(session).filter(|ball| ball.role == Role::OtherWing).count();
        for (count, noun) in [(others - wing, "variation ball"), (wing, "to the other wing")] {
            let printed = sheet.lines().any(|line| line.contains(noun) && line.contains("and "));
            assert!(count == 0 || printed, "{told}: {count} {noun}");
            if count > 1 && noun == "variation ball" {
                let words = format!("  and {count} variation balls");
                assert!(sheet.contains(&words), "{told}: {words}");
            }
        }
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
    assert_eq!(sheet.matches("| ").count(), between + said, "{sheet}");
}

#[test]
fn nobody_feeds_on_a_partners_sheet_and_no_look_is_right() {
    let sheet = rehearsal::text(&Asked::of("partner", 60).session(), 80, Units::Metric);
    assert!(!sheet.contains("feeder") && !sheet.contains("launcher's manual"), "{sheet}");
    assert!(!sheet.contains("is right"), "{sheet}");
    assert!(sheet.contains("the look is not"), "{sheet}");
}

#[test]
fn a_corkscrew_kicks_off_the_table_and_promises_no_side_off_the_bat() {
    let mut asked = Asked::of("partner", 40);
    asked.deck.serves[0].spin = Some(secondball::game::Spin::Corkscrew);
    let sheet = rehearsal::text(&asked.session(), 80, Units::Metric);
    let words = sheet.split("bh-short-fh (").nth(1).unwrap_or_default();
    let words = words.split("answer").next().unwrap_or_default();
    assert!(words.contains("kicks") && words.contains("off the table"), "{words}");
    assert!(!words.contains("still bat"), "{words}");
}
