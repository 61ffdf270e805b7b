//! Recall and not recognition: what is hidden, what fades, what comes back.

use secondball::drill::{
    Act, Asked, GO, Machine, Mark, Phase, Picture, RoundRequest, SHOW, Said, build,
};
use secondball::game::Hand;
use secondball::journal::{Answer, How, Input};
use secondball::memory::Memories;

use super::decks::{Round, deck, flight};

/// Plays a round: `given` says what is answered; every picture while a ball can be answered, and
/// every answer.
fn played(
    mut machine: Machine,
    given: impl Fn(usize, &Asked) -> Act,
) -> (Vec<(usize, Picture)>, Vec<Answer>) {
    let (mut now_ms, mut pictures, mut answers) = (0, Vec::new(), Vec::new());
    machine.act(now_ms, Act::Key(GO));
    while !machine.is_done() {
        let act = match machine.asked(now_ms) {
            Some(asked) => {
                now_ms = asked.from_ms.max(now_ms) + 400;
                machine.act(now_ms, Act::Tick);
                pictures.push((asked.serve, machine.picture(now_ms)));
                given(pictures.len() - 1, &asked)
            }
            None => Act::Key(GO),
        };
        for said in machine.act(now_ms, act) {
            if let Said::Answer(answer) = said {
                answers.push(answer);
            }
        }
    }
    (pictures, answers)
}

#[test]
fn the_answers_are_shown_only_on_a_key_and_then_do_not_count() {
    for is_shown in [false, true] {
        let mut machine = Machine::new(Round::default().script(), Input::Keys);
        let receives = |machine: &Machine| -> Vec<String> {
            machine.picture(0).serves.into_iter().map(|(_, receive)| receive).collect()
        };
        assert!(receives(&machine).iter().all(String::is_empty));
        if is_shown {
            machine.act(0, Act::Key(SHOW));
            assert!(receives(&machine).iter().all(|receive| receive.contains(", ")));
        }
        let (_, answers) = played(machine, |_, asked| asked.right);
        assert!(answers.iter().all(|answer| answer.shown == is_shown));
    }
}

#[test]
fn words_and_labels_fade_from_day_to_day_and_come_back_after_a_wrong_answer() {
    for (days, words, is_labelled) in [
        (0, Some("long to the wide forehand"), true),
        (1, Some("long wide FH"), true),
        (2, None, false),
    ] {
        let mut script = Round { balls: 40, ..Round::default() }.script();
        for cue in &mut script.serves {
            (cue.right_days, cue.is_alike) = (days, false);
        }
        // The first ball of the fourth serve is answered wrongly, all others are right.
        let first = script.balls.iter().position(|ball| ball.serve == 3).unwrap();
        let (pictures, _) = played(Machine::new(script, Input::Keys), |nth, asked| {
            if nth == first {
                *asked.acts.iter().find(|&&act| act != asked.right).unwrap()
            } else {
                asked.right
            }
        });
        let own: Vec<&Picture> =
            pictures.iter().filter(|(serve, _)| *serve == 3).map(|(_, picture)| picture).collect();
        let words_of = |nth: usize| own[nth].words.as_deref();
        let labels = |nth: usize| own[nth].palette.iter().all(|cell| !cell.label.is_empty());
        assert_eq!((words_of(0), labels(0)), (words, is_labelled), "{days} days");
        assert_eq!((words_of(1), labels(1)), (Some("long to the wide forehand"), true), "wrong");
        assert_eq!((words_of(3), labels(3)), (words, is_labelled), "right twice since");
        assert!(
            own.iter().all(|picture| picture.palette.iter().all(|cell| !cell.words.is_empty()))
        );
    }
}

#[test]
fn where_the_flight_does_not_tell_it_the_tell_is_shown_or_else_the_short_word() {
    for tell in [None, Some("bat finishes high")] {
        let mut script = Round::default().script();
        for cue in &mut script.serves {
            (cue.right_days, cue.is_alike) = (5, true);
            cue.tell = tell.map(str::to_owned);
        }
        let shorts: Vec<String> = script.serves.iter().map(|cue| cue.short.clone()).collect();
        let (pictures, _) = played(Machine::new(script, Input::Keys), |_, asked| asked.right);
        for (serve, picture) in pictures {
            assert_eq!(picture.words.as_deref(), Some(tell.unwrap_or(&shorts[serve])));
        }
    }
}

#[test]
fn two_receives_at_one_place_keep_their_words_and_what_was_given_is_named() {
    let mut deck = deck();
    let same = "backhand push to backhand long".parse().unwrap();
    deck.plan.insert("long-fh".parse().unwrap(), same);
    let memories = Memories::default();
    let today = "2026-01-01".parse().unwrap();
    let request =
        RoundRequest { balls: 4, ..RoundRequest::plain(&deck, Hand::Right, &memories, today) };
    let mut script = build(&request).unwrap().script;
    for cue in &mut script.serves {
        (cue.right_days, cue.frames) = (5, flight());
    }
    let shared: Vec<usize> =
        script.palette.choices.iter().filter(|one| one.parts > 1).map(|one| one.cell).collect();
    assert!(!shared.is_empty());
    let mut machine = Machine::new(script, Input::Keys);
    machine.act(0, Act::Key(GO));
    let asked = machine.asked(0).unwrap();
    let at_ms = asked.from_ms + 400;
    for cell in machine.picture(at_ms).palette {
        assert_eq!(cell.label.is_empty(), !shared.contains(&cell.cell), "{}", cell.words);
    }
    machine.act(at_ms, asked.right);
    let told = machine.picture(at_ms).palette;
    assert!(told.iter().all(|cell| cell.mark == Mark::Plain || !cell.label.is_empty()));
}

#[test]
fn a_reading_round_never_prints_what_it_asks_for_and_begins_with_the_tells() {
    let mut deck = deck();
    for (serve, tell) in deck.serves.iter_mut().zip(["drops the shoulder", "bat finishes high"]) {
        serve.tells.push(tell.to_owned());
    }
    let memories = Memories::default();
    let today = "2026-01-01".parse().unwrap();
    let plain = RoundRequest::plain(&deck, Hand::Right, &memories, today);
    let mut steps = Vec::new();
    for has_tells_only in [false, true] {
        let request = RoundRequest { how: How::Read, balls: 16, has_tells_only, ..plain };
        let script = build(&request).unwrap().script;
        let cues = script.serves.clone();
        let (pictures, _) = played(Machine::new(script, Input::Keys), |_, asked| asked.right);
        let mut seen = Vec::new();
        for (serve, picture) in pictures.into_iter().filter(|(_, seen)| seen.phase == Phase::What) {
            let step = picture.reading.unwrap();
            assert_eq!(picture.words, cues[serve].tell.clone().filter(|_| step == "by the tell"));
            assert!(step != "by the tell" || picture.ball.is_none() && picture.path.is_empty());
            seen.push(step);
        }
        seen.dedup();
        steps.push(seen);
    }
    let all = ["by the tell", "the whole flight", "flight cut off", "twins mixed"];
    assert_eq!(steps, [&all[..], &all[..1]]);
    deck.serves[1].tells.clear();
    let none = RoundRequest {
        how: How::Read,
        has_tells_only: true,
        balls: 4,
        ..RoundRequest::plain(&deck, Hand::Right, &memories, today)
    };
    assert!(build(&none).unwrap_err().to_string().contains("gives them away"));
}
