//! The machine, act by act.

use secondball::deck::Deck;
use secondball::drill::{
    Act, Asked, Call, Called, GO, Gave, MORE, Machine, Mark, Phase, RoundRequest, Said, Script,
    ServeOrder, Summary, UNDO, build, flights,
};
use secondball::flight::Constants;
use secondball::flight::bat::BallEnd;
use secondball::game::{Depth, Hand, Lane, Serve, Spin, Weight};
use secondball::journal::{Answer, How, Input, Stage};
use secondball::memory::{Grade, Memories, Outcome};
use secondball::page::drill::{reasons, verdict_words};

use super::decks::Round;

/// A machine with a clock that the test moves.
struct Table {
    machine: Machine,
    now_ms: u64,
    answers: Vec<Answer>,
    undone: usize,
    summary: Option<Summary>,
}

impl Table {
    fn begin(script: Script) -> Self {
        let machine = Machine::new(script, Input::Script);
        let mut table =
            Self { machine, now_ms: 10_000, answers: Vec::new(), undone: 0, summary: None };
        table.act(Act::Key(GO));
        table
    }

    fn act(&mut self, act: Act) {
        for said in self.machine.act(self.now_ms, act) {
            match said {
                Said::Answer(answer) => self.answers.push(answer),
                Said::Undo => self.undone += 1,
                Said::Done => self.summary = Some(self.machine.summary()),
            }
        }
    }

    #[track_caller]
    fn asked(&self) -> Asked {
        self.machine.asked(self.now_ms).expect("a question")
    }

    /// Answers so many milliseconds after contact, and waits for the next ball.
    fn answer(&mut self, after_ms: u64, act: impl Fn(&Asked) -> Act) {
        let asked = self.asked();
        self.now_ms = asked.from_ms + after_ms;
        self.act(act(&asked));
    }

    fn go(&mut self) {
        self.now_ms += 500;
        self.act(Act::Key(GO));
    }

    fn phase(&self) -> Phase {
        self.machine.phase(self.now_ms)
    }

    fn last(&self) -> secondball::drill::Taken {
        *self.machine.taken().last().expect("an answer")
    }
}

fn wrong(asked: &Asked) -> Act {
    *asked.acts.iter().find(|&&act| act != asked.right).expect("another answer")
}

#[test]
fn a_right_key_in_the_window_is_in_time_and_is_told_with_the_players_own_reason() {
    let mut table = Table::begin(Round::default().script());
    assert_eq!(table.phase(), Phase::Toss);
    table.answer(500, |asked| asked.right);
    assert_eq!(table.last().grade(), Some(Grade::InTime));
    let picture = table.machine.picture(table.now_ms);
    let feedback = picture.feedback.unwrap();
    assert_eq!((verdict_words(feedback.verdict).as_str(), feedback.ms), ("in time", Some(500)));
    assert!(reasons(&feedback.reason)[0].1.starts_with("the reason for"), "{feedback:?}");
    let answer = &table.answers[0];
    assert_eq!((answer.ms, answer.given.as_deref(), answer.is_let), (500, None, false));
    // Flight 670 less body 300 or 350, at 2.5 of match speed, and the keys.
    let thinking = answer.window - answer.motor;
    assert!(thinking == 925 || thinking == 800, "{thinking}");
}

#[test]
fn a_key_before_contact_is_a_let_and_the_ball_comes_again() {
    let mut table = Table::begin(Round::default().script());
    let asked = table.asked();
    let balls = table.machine.picture(table.now_ms).balls;
    table.now_ms = asked.from_ms - 10;
    table.act(asked.right);
    assert_eq!(table.last().outcome, Outcome::Let);
    assert!(table.answers[0].is_let);
    let picture = table.machine.picture(table.now_ms);
    let verdict = picture.feedback.unwrap().verdict;
    assert_eq!(verdict_words(verdict), "let: a key before contact is a guess");
    assert_eq!((picture.answers, picture.balls), (0, balls));
    table.go();
    // Too early to have been seen, although after contact.
    table.answer(149, |asked| asked.right);
    assert_eq!(table.last().outcome, Outcome::Let);
    table.go();
    table.answer(150, |asked| asked.right);
    assert_eq!(table.last().grade(), Some(Grade::InTime));
}

#[test]
fn after_twice_the_window_the_ball_counts_as_wrong_and_a_late_key_answers_nothing() {
    let mut table = Table::begin(Round::default().script());
    let asked = table.asked();
    let deadline_ms = asked.from_ms + 2 * u64::from(asked.window_ms);
    table.now_ms = deadline_ms;
    table.act(asked.right);
    assert_eq!(table.last().grade(), Some(Grade::Late));
    table.go();
    let asked = table.asked();
    table.now_ms = asked.from_ms + 2 * u64::from(asked.window_ms) + 1;
    table.act(asked.right);
    assert_eq!(table.last().grade(), Some(Grade::Wrong));
    assert_eq!(table.answers.last().unwrap().given.as_deref(), Some(""));
    assert_eq!(table.phase(), Phase::Feedback);
}

#[test]
fn a_slip_is_taken_back_and_its_ball_comes_again() {
    let mut table = Table::begin(Round::default().script());
    let slipped = table.asked();
    table.answer(400, wrong);
    assert_eq!(table.last().grade(), Some(Grade::Wrong));
    let tempo = table.machine.summary().tempo_permille;
    table.now_ms += 300;
    table.act(Act::Key(UNDO));
    assert_eq!((table.undone, table.machine.taken().len()), (1, 0));
    assert!(table.machine.summary().tempo_permille < tempo, "the tempo is taken back too");
    // Once only.
    table.act(Act::Key(UNDO));
    assert_eq!(table.undone, 1);
    let mut seen = Vec::new();
    for _ in 0..3 {
        seen.push(table.asked().serve);
        table.answer(400, |asked| asked.right);
        table.go();
    }
    assert!(seen.contains(&slipped.serve), "{seen:?}");
}

#[test]
fn a_slip_can_be_taken_back_until_the_next_contact() {
    let mut table = Table::begin(Round::default().script());
    table.answer(400, wrong);
    table.go();
    let contact_ms = table.asked().from_ms;
    let balls = table.machine.picture(table.now_ms).balls;
    table.now_ms = contact_ms - 1;
    table.act(Act::Key(UNDO));
    assert_eq!(table.undone, 1);
    // The repair that was planned is not needed any more.
    assert_eq!(table.machine.picture(table.now_ms).balls, balls - 1);
    table.answer(400, |asked| asked.right);
    table.go();
    let contact_ms = table.asked().from_ms;
    table.now_ms = contact_ms + 100;
    table.act(Act::Key(UNDO));
    assert_eq!(table.undone, 1, "after contact it is too late");
}

#[test]
fn a_wrong_answer_comes_once_more_and_not_again() {
    let mut table = Table::begin(Round { balls: 8, ..Round::default() }.script());
    let mut asked = Vec::new();
    while table.summary.is_none() {
        asked.push(table.asked().serve);
        table.answer(400, |asked| if asked.serve == 0 { wrong(asked) } else { asked.right });
        table.go();
    }
    assert_eq!(asked.len(), 9);
    assert_eq!(asked.iter().filter(|&&serve| serve == 0).count(), 3);
}

#[test]
fn a_pause_breaks_the_ball_off_without_an_answer_and_two_end_the_round() {
    let mut table = Table::begin(Round::default().script());
    let asked = table.asked();
    table.now_ms = asked.from_ms + 200;
    table.act(Act::Pause);
    assert_eq!(table.phase(), Phase::Paused);
    assert!(table.answers.is_empty());
    // However long the pause is, nothing is missed.
    table.now_ms += 600_000;
    table.act(Act::Tick);
    assert_eq!(table.phase(), Phase::Paused);
    table.act(Act::Key(GO));
    assert_eq!(table.phase(), Phase::Toss);
    table.act(Act::Pause);
    table.act(Act::Pause);
    assert!(table.summary.as_ref().unwrap().is_interrupted);
    assert_eq!(table.phase(), Phase::Done);
}

#[test]
fn the_time_limit_leaves_out_pauses() {
    let round = Round { balls: 100, limit_ms: Some(20_000), ..Round::default() };
    let mut table = Table::begin(round.script());
    table.act(Act::Pause);
    table.now_ms += 100_000;
    table.act(Act::Key(GO));
    let resumed_ms = table.now_ms;
    while table.phase() != Phase::Over {
        table.answer(500, |asked| asked.right);
        table.go();
    }
    let played_ms = table.now_ms - resumed_ms;
    assert!((20_000..24_000).contains(&played_ms), "{played_ms}");
}

#[test]
fn when_the_minutes_are_up_one_key_goes_on_for_five_more_and_another_ends() {
    let round = Round { balls: 300, limit_ms: Some(20_000), ..Round::default() };
    let mut table = Table::begin(round.script());
    let mut played_ms = Vec::new();
    for key in [MORE, GO] {
        let from_ms = table.now_ms;
        while table.phase() != Phase::Over {
            table.answer(500, |asked| asked.right);
            table.go();
        }
        played_ms.push(table.now_ms - from_ms);
        assert!(table.summary.is_none());
        // Whoever takes their time over it loses none.
        table.now_ms += 100_000;
        table.act(Act::Key(key));
    }
    assert!((320_000..324_000).contains(&(played_ms[0] + played_ms[1])), "{played_ms:?}");
    assert!(table.summary.is_some_and(|summary| !summary.is_interrupted));
}

#[test]
fn practice_begins_anew_until_the_minutes_are_up_and_what_was_due_does_not() {
    let deck = super::decks::deck();
    let due: [secondball::game::ServeId; 1] = ["long-fh".parse().unwrap()];
    let memories = Memories::default();
    let request = RoundRequest {
        serves: &[due[0].clone(), "short-fh".parse().unwrap(), "half-mid".parse().unwrap()],
        due: &due,
        balls: 5,
        limit_ms: Some(60_000),
        repeats: true,
        ..RoundRequest::plain(&deck, Hand::Right, &memories, "2026-01-01".parse().unwrap())
    };
    let script = build(&request).unwrap().script;
    let practised: Vec<_> = script.balls[1..].iter().map(|ball| ball.serve).collect();
    let mut table = Table::begin(script);
    let mut asked = Vec::new();
    while table.phase() != Phase::Over {
        asked.push(table.asked().serve);
        table.answer(500, |asked| asked.right);
        table.go();
    }
    assert!(asked.len() > 11, "{asked:?}");
    assert_eq!(asked[0], 0);
    assert_eq!((&asked[1..6], &asked[6..11]), (&practised[..], &practised[..]));
}

#[test]
fn a_days_round_asks_what_is_due_calls_the_switch_unseen_and_goes_on_with_practice() {
    let deck = super::decks::deck();
    let id = |id: &str| id.parse::<secondball::game::ServeId>().unwrap();
    let (due, memories) = ([id("long-fh"), id("short-fh")], Memories::default());
    let called =
        Called { switch: &deck.switches[0], due: vec![id("short-fh")], is_practised: true };
    let request = RoundRequest {
        due: &due,
        called: std::slice::from_ref(&called),
        balls: 40,
        order: ServeOrder::Mixed,
        ..RoundRequest::plain(&deck, Hand::Right, &memories, "2026-01-01".parse().unwrap())
    };
    let mut table = Table::begin(build(&request).unwrap().script);
    let (mut asked, mut cards) = (Vec::new(), Vec::new());
    while table.summary.is_none() {
        if let Some(card) = table.machine.picture(table.now_ms).call {
            cards.push((asked.len(), card));
        } else {
            table.answer(500, |asked| asked.right);
            asked.push(table.answers.last().unwrap().clone());
        }
        table.go();
    }
    assert_eq!(asked.len(), 2 + 1 + 40);
    let serves: Vec<&str> = asked[..3].iter().map(|answer| answer.serve.as_str()).collect();
    assert_eq!(serves, ["long-fh", "short-fh", "short-fh"]);
    assert_ne!(asked[1].right, asked[2].right, "under the switch");
    // The card of what is asked from memory names the serve and hides what is new; later it shows.
    assert_eq!((cards[0].0, cards[0].1.call), (2, Call::Switch));
    assert_eq!(cards[0].1.changes[0].2, "");
    assert_eq!((cards[1].0, cards[1].1.call), (3, Call::Back));
    let calls: Vec<Call> = cards.iter().map(|(_, card)| card.call).collect();
    let by_turns = [Call::Switch, Call::Back, Call::Switch, Call::Back, Call::Switch];
    assert_eq!(calls, by_turns[..calls.len()]);
    assert!(cards[2].1.changes[0].2.contains("heavy"), "{:?}", cards[2]);
    // While the switch stands its serve is answered by it, among the first three balls.
    let under = &asked[cards[2].0..cards[3].0];
    assert!(under[..3].iter().any(|answer| answer.right == asked[2].right));
    assert!(under.iter().all(|answer| answer.right != asked[1].right));
}

#[test]
fn an_interruption_ends_the_round_at_once_with_what_was_answered() {
    let mut table = Table::begin(Round::default().script());
    table.answer(400, |asked| asked.right);
    table.go();
    table.act(Act::Interrupt);
    let summary = table.summary.unwrap();
    assert_eq!((summary.answers, summary.is_interrupted), (1, true));
    assert!(table.machine.act(table.now_ms, Act::Interrupt).is_empty());
}

#[test]
fn thinking_asks_for_the_stroke_and_then_for_the_target_and_has_no_clock() {
    let mut table = Table::begin(Round { how: How::Think, ..Round::default() }.script());
    assert_eq!(table.phase(), Phase::Stroke);
    table.now_ms += 60_000;
    table.act(Act::Tick);
    table.answer(60_000, |asked| asked.right);
    assert_eq!(table.phase(), Phase::Target);
    table.answer(61_000, |asked| asked.right);
    assert_eq!(table.last().grade(), Some(Grade::InTime));
    let answer = &table.answers[0];
    assert_eq!((answer.how, answer.window, answer.motor, answer.ms), (How::Think, 0, 0, 61_000));
    table.go();
    table.answer(1000, |asked| Act::Key(if asked.right == Act::Key('1') { '2' } else { '1' }));
    // A slip of the stroke is taken back alone, and nothing is written down.
    assert!(table.machine.picture(table.now_ms).stroke.is_some());
    table.act(Act::Key(UNDO));
    assert_eq!((table.phase(), table.undone, table.answers.len()), (Phase::Stroke, 0, 1));
    table.answer(1000, |asked| asked.right);
    table.answer(2000, wrong);
    assert_eq!(table.last().grade(), Some(Grade::Wrong));
    let given = table.answers[1].given.clone().unwrap();
    assert!(secondball::game::Receive::from_text(&given).is_ok(), "{given}");
    // What was put together is shown beside what is right, also when it is no receive of the plan.
    let feedback = table.machine.picture(table.now_ms).feedback.unwrap();
    let shown = secondball::game::Receive::from_text(&given).unwrap().shown();
    assert_eq!(feedback.given.as_deref(), Some(shown.as_str()));
    assert_ne!(feedback.given.as_deref(), Some(feedback.right.as_str()));
}

#[test]
fn a_reading_round_asks_what_it_was_before_what_to_do() {
    let mut table = Table::begin(Round { how: How::Read, balls: 9, ..Round::default() }.script());
    let asked = table.asked();
    table.now_ms = asked.from_ms + 100;
    let picture = table.machine.picture(table.now_ms);
    assert_eq!((picture.phase, picture.reading), (Phase::What, Some("the whole flight")));
    assert!(picture.words.is_none() && picture.ball.is_some());
    table.answer(900, |asked| asked.right);
    assert_eq!(table.phase(), Phase::Do);
    table.answer(700, |asked| asked.right);
    assert_eq!(table.answers.len(), 2);
    assert_eq!((table.answers[0].how, table.answers[0].given.as_deref()), (How::Read, None));
    assert_eq!((table.answers[1].how, table.answers[1].given.as_deref()), (How::Think, None));
    // Taking it back takes both halves back.
    table.act(Act::Key(UNDO));
    assert_eq!(table.undone, 2);
    for _ in 0..3 {
        table.answer(900, |asked| asked.right);
        table.answer(700, |asked| asked.right);
        table.go();
    }
    let asked = table.asked();
    let seen = |ms: u64| table.machine.picture(asked.from_ms + ms);
    assert_eq!(seen(100).reading, Some("flight cut off"));
    assert!(seen(200).ball.is_some() && seen(201).ball.is_none());
    assert!(seen(100).words.is_none());
    table.answer(900, wrong);
    let taken_for = table.answers.last().unwrap().given.clone().unwrap();
    assert!(taken_for.starts_with("taken for "), "{taken_for}");
}

#[test]
fn twins_are_mixed_last_and_alone() {
    let script = Round { how: How::Read, balls: 12, ..Round::default() }.script();
    let twins: Vec<_> = script.balls[8..].iter().map(|ball| ball.serve).collect();
    assert!(twins.iter().all(|&serve| serve < 2), "{twins:?}");
}

#[test]
fn a_shadow_stroke_takes_the_players_own_word() {
    let mut table = Table::begin(Round { how: How::Shadow, ..Round::default() }.script());
    assert_eq!(table.phase(), Phase::Shadow);
    table.now_ms += 2500;
    table.act(Act::Tick);
    assert_eq!(table.phase(), Phase::Own);
    assert!(table.machine.picture(table.now_ms).shadow_answer.is_some());
    for (key, grade) in [('y', Grade::InTime), ('l', Grade::Late), ('n', Grade::Wrong)] {
        table.act(Act::Key(key));
        assert_eq!(table.last().grade(), Some(grade));
        // The journal's own reading of the fact says the same.
        let behaviour = secondball::memory::fold::behaviour(table.answers.last().unwrap()).unwrap();
        assert_eq!(
            behaviour.outcome(secondball::memory::result::Behind::default()).grade(),
            Some(grade)
        );
        table.go();
        table.now_ms += 2500;
        table.act(Act::Tick);
    }
}

#[test]
fn the_call_shows_old_and_new_and_the_old_answer_is_told_apart_from_a_spill() {
    let script = Round { switches: true, ..Round::default() }.script();
    let mut table = Table::begin(script);
    let mut calls = Vec::new();
    let mut has_slipped = [false; 2];
    while table.summary.is_none() {
        if table.phase() == Phase::Call {
            let card = table.machine.picture(table.now_ms).call.unwrap();
            calls.push((card.call.word(), card.changes.len()));
            table.go();
            continue;
        }
        let asked = table.asked();
        let is_after = asked.part == secondball::drill::RoundPart::After;
        if is_after && !has_slipped[0] && asked.old.is_some() {
            has_slipped[0] = true;
            table.answer(400, |asked| asked.old.unwrap());
            assert_eq!(table.last().gave, secondball::drill::Gave::OldAnswer);
            let switched = table.answers.last().unwrap().switch.clone().unwrap();
            assert_eq!(switched.stage, Stage::After);
            assert_eq!(
                switched.old.unwrap().as_str(),
                table.answers.last().unwrap().given.clone().unwrap()
            );
        } else if is_after && !has_slipped[1] && !asked.spills.is_empty() {
            has_slipped[1] = true;
            table.answer(400, |asked| asked.spills[0]);
            assert_eq!(table.last().gave, secondball::drill::Gave::Spill);
        } else {
            table.answer(400, |asked| asked.right);
        }
        table.go();
    }
    let summary = table.summary.unwrap();
    assert!(summary.gate.unwrap().is_open);
    assert_eq!((summary.old_answers, summary.spills), (1, 1));
    assert_eq!(calls.iter().filter(|call| **call == ("switch", 1)).count(), 1);
    assert!(calls.contains(&("stay", 0)), "{calls:?}");
    let measures = summary.switch.unwrap();
    assert_eq!(measures.cost_ms.value, Some(0.0));
    assert_eq!(measures.balls_until_clean, Some(4));
}

#[test]
fn a_gate_that_stays_shut_leaves_the_plan_alone() {
    let mut table = Table::begin(Round { switches: true, ..Round::default() }.script());
    while table.summary.is_none() {
        assert_ne!(table.phase(), Phase::Call);
        let is_past = table.machine.taken().len() >= 4 && table.phase() == Phase::Toss;
        if is_past {
            let part = table.machine.picture(table.now_ms).part;
            assert_eq!(part, Some("no switch yet: the plan first"));
        }
        table.answer(400, |asked| if asked.serve == 1 { wrong(asked) } else { asked.right });
        table.go();
    }
    let summary = table.summary.unwrap();
    let gate = summary.gate.unwrap();
    assert_eq!((gate.in_window, gate.of, gate.is_open), (3, 4, false));
    assert!(summary.switch.is_none());
    assert_eq!(summary.answers, 4 + 18);
    assert!(table.answers.iter().all(|answer| answer.switch.is_none()));
}

#[test]
fn the_same_acts_at_the_same_times_say_the_same() {
    let play = || {
        let mut table = Table::begin(Round::default().script());
        let mut ms = 300;
        while table.summary.is_none() {
            ms = 200 + (ms * 7 + 131) % 1400;
            table.answer(ms, |asked| if ms % 5 == 0 { wrong(asked) } else { asked.right });
            table.go();
        }
        (table.answers, table.summary)
    };
    assert_eq!(play(), play());
}

#[test]
fn a_wrong_answer_and_none_wait_for_the_player_and_a_right_one_does_when_it_is_held() {
    let mut table = Table::begin(Round::default().script());
    let wait = |table: &mut Table| {
        table.now_ms += 3_600_000;
        table.act(Act::Tick);
        table.phase()
    };
    let asked = table.asked();
    table.now_ms = asked.from_ms + 2 * u64::from(asked.window_ms) + 1;
    table.act(Act::Tick);
    assert_eq!((table.last().gave, wait(&mut table)), (Gave::Nothing, Phase::Feedback));
    table.go();
    table.answer(400, wrong);
    assert_eq!(wait(&mut table), Phase::Feedback);
    table.go();
    table.answer(400, |asked| asked.right);
    table.act(Act::Key('h'));
    assert_eq!(wait(&mut table), Phase::Feedback);
    table.go();
    table.answer(400, |asked| asked.right);
    table.now_ms += 1400;
    table.act(Act::Tick);
    assert_eq!(table.phase(), Phase::Toss);
}

#[test]
fn a_serve_taken_for_its_twin_shows_where_the_ball_goes() {
    // Common practice: what is right for a dead ball puts a heavy one into the net.
    let mut deck = Deck::new("Invented", "abc234".to_owned());
    deck.hand = Some(Hand::Right);
    for (id, spin, receive) in [
        ("heavy", Spin::Backspin, "backhand push heavy to middle long"),
        ("dead", Spin::Dead, "backhand flick to backhand long"),
    ] {
        let mut serve = Serve::unknown(id.parse().unwrap());
        (serve.lane, serve.depth) = (Some(Lane::Middle), Some(Depth::Short));
        (serve.spin, serve.weight) = (Some(spin), Some(Weight::Heavy));
        deck.serves.push(serve);
        deck.plan.insert(id.parse().unwrap(), receive.parse().unwrap());
    }
    deck.serves[0].looks_like = Some("dead".parse().unwrap());
    let ids: Vec<_> = deck.serves.iter().map(|serve| serve.id.clone()).collect();
    let flown = flights(&deck, &ids, Hand::Right, &Constants::default());
    let (memories, today) = (Memories::default(), "2026-01-01".parse().unwrap());
    let plain = RoundRequest::plain(&deck, Hand::Right, &memories, today);
    let built = build(&RoundRequest { balls: 8, flights: Some(&flown), ..plain }).unwrap();
    let heavy = built.script.serves.iter().position(|cue| cue.serve.as_str() == "heavy").unwrap();
    let mut table = Table::begin(built.script);
    while table.asked().serve != heavy {
        table.answer(400, |asked| asked.right);
        table.go();
    }
    let pad = table.machine.picture(table.now_ms).palette;
    let of_dead = pad.iter().position(|cell| cell.words.contains("flick, long to the backhand"));
    table.answer(400, |_| Act::Choice(of_dead.unwrap()));
    let picture = table.machine.picture(table.now_ms);
    let taken = picture.feedback.as_ref().unwrap().wrong_bat.as_ref().expect("the twin's bat");
    assert_eq!(taken.end, BallEnd::Net);
    // From the receiver's half to the net, and not over it.
    let [first, last] = [taken.frames.first(), taken.frames.last()].map(Option::unwrap);
    assert!(first.x_mm > 1900 && (1300..2100).contains(&last.x_mm), "{first:?} {last:?}");
    let said = secondball::page::drill::picture_lines(&picture, false, false, 80);
    assert!(said.contains("Taken for its twin: the ball goes into the net."), "{said}");
    table.go();
    while table.asked().serve != heavy {
        table.answer(400, |asked| asked.right);
        table.go();
    }
    table.answer(400, |asked| asked.right);
    let told = table.machine.picture(table.now_ms).feedback.unwrap();
    assert_eq!(told.wrong_bat, None, "a right answer needs no picture");
}

#[test]
fn of_two_receives_at_one_place_a_second_key_chooses_and_typing_it_costs_no_time() {
    // The plan's banana flick and the switch's push both go long to the backhand.
    let script = Round { balls: 40, ..Round::default() }.script();
    let key_ms = u64::from(script.key_ms);
    let mut table = Table::begin(script);
    for (second_ms, counted_ms) in [(key_ms / 2, 300), (key_ms + 70, 370)] {
        let keys = loop {
            let pad = table.machine.picture(table.now_ms).palette;
            let Act::Choice(right) = table.asked().right else { panic!("a field is asked for") };
            if pad[right].parts == 2 {
                break pad[right].keys.clone();
            }
            table.answer(400, |asked| asked.right);
            table.go();
        };
        let asked = table.asked();
        let answered = table.machine.taken().len();
        let [first, second] = [0, 1].map(|nth| Act::Key(keys.chars().nth(nth).unwrap()));
        table.now_ms = asked.from_ms + 300;
        table.act(first);
        let pad = table.machine.picture(table.now_ms).palette;
        assert_eq!(pad.iter().filter(|cell| cell.mark == Mark::Open).count(), 2);
        assert_eq!(table.machine.taken().len(), answered, "nothing is answered yet");
        table.now_ms += second_ms;
        table.act(second);
        assert_eq!((table.last().gave, u64::from(table.last().ms)), (Gave::Right, counted_ms));
        table.go();
    }
    // Before contact it is a let like any other key.
    table.now_ms = table.asked().from_ms - 10;
    table.act(Act::Key('q'));
    assert_eq!(table.last().outcome, Outcome::Let);
}
