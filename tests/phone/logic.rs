//! The small parts of the page's logic: results, tempo, key time, keys, lists, the caller.

use secondball::base::Dice;
use secondball::drill::{KeyTime, TempoRules, cell_of_key, window};
use secondball::journal::How;
use secondball::memory::result::Behind;
use secondball::memory::{Behaviour, Given, History, Model, Outcome};
use serde_json::{Value, json};

use super::engine::Engine;

#[test]
fn every_result_boundary_is_the_same() {
    let engine = Engine::new();
    let given =
        [(Given::Right, "right"), (Given::Wrong, "wrong"), (Given::OldAnswer, "old_answer")];
    let kinds = [(How::Snap, "snap"), (How::Think, "think"), (How::Shadow, "shadow")];
    let mut seen = std::collections::BTreeSet::new();
    for window_ms in [0_u32, 1, 251, 670, 999, 1000, 2500] {
        let edges = [150, window_ms * 6 / 10, window_ms, 2 * window_ms];
        let times =
            edges.into_iter().flat_map(|edge| (i64::from(edge) - 2)..=(i64::from(edge) + 2));
        for raw_ms in times.chain([-80, 0, 100_000]) {
            for (given, given_word) in given {
                for (kind, kind_word) in kinds {
                    for (counted_days, recent_old_answer) in
                        [(0, false), (2, false), (3, false), (9, true)]
                    {
                        let behaviour = Behaviour {
                            given,
                            raw_ms: i32::try_from(raw_ms).unwrap(),
                            window_ms,
                            kind,
                            interrupted: false,
                        };
                        let ours =
                            match behaviour.outcome(Behind { counted_days, recent_old_answer }) {
                                Outcome::Let => "let",
                                Outcome::Graded(grade) => grade.word(),
                            };
                        let theirs = engine.call("outcome", &json!([
                            {"given": given_word, "raw_ms": raw_ms, "window_ms": window_ms, "kind": kind_word},
                            {"counted_days": counted_days, "recent_old_answer": recent_old_answer},
                        ]));
                        assert_eq!(theirs, json!(ours), "{behaviour:?}");
                        seen.insert(ours);
                    }
                }
            }
        }
    }
    assert_eq!(seen.len(), 5, "all of them came up: {seen:?}");
}

#[test]
fn tempo_key_time_and_windows_are_the_same() {
    let engine = Engine::new();
    let rules = TempoRules::default();
    for permille in (0..5000).step_by(13) {
        for is_new_day in [true, false] {
            let theirs = engine.call("resumed", &json!([rules, permille, is_new_day]));
            let ours = rules.resumed(permille, is_new_day);
            assert_eq!(theirs, serde_json::to_value(ours).unwrap());
        }
        let theirs = engine.call("windowMs", &json!([371, permille, 402]));
        assert_eq!(theirs, json!(window::window_ms(371, permille, 402)));
    }
    for (two, six) in [
        (vec![300, 310, 290, 900], vec![420, 430, 410]),
        (vec![400, 401, 402, 403], vec![300, 300, 300, 301]),
        (vec![1, 2, 3], vec![5000, 6000, 7000]),
        (vec![300, 310], vec![420, 430, 410]),
    ] {
        let ours = KeyTime::measured(&two, &six);
        let theirs = engine.call("keyTime", &json!([two, six]));
        assert_eq!(theirs.is_null(), ours.is_none());
        let Some(ours) = ours else { continue };
        for keys in 0..12 {
            assert_eq!(
                engine.call("keyMs", &json!([theirs, keys])),
                json!(ours.ms(keys)),
                "{keys}"
            );
        }
    }
    for key in (0_u8..128).map(char::from) {
        let key = key.to_ascii_lowercase();
        let ours = cell_of_key(key).map_or(-1, |cell| i64::try_from(cell).unwrap());
        assert_eq!(engine.call("cellOfKey", &json!([key])), json!(ours), "{key:?}");
    }
}

#[test]
fn what_a_phone_saw_since_fades_the_words_as_a_history_at_home_would() {
    let engine = Engine::new();
    let script = super::decks::script(3, How::Snap, false).unwrap();
    let cue = &script.serves[0];
    let right = &script.palette.choices[cue.right].receive;
    let (model, mut seen) = (Model::default(), std::collections::BTreeSet::new());
    for seed in 0..300 {
        let mut dice = Dice::for_part(seed, "days of a phone");
        let mut history = History::default();
        let mut answers = Vec::new();
        for day in 1..=dice.below(7) {
            for _ in 0..dice.below(3) {
                let (ms, is_right) = ([300, 900, 2100][dice.below(3)], dice.chance(0.8));
                let (is_let, is_shown) = (dice.chance(0.1), dice.chance(0.1));
                let mut fact = json!({"k": "answer", "deck": script.deck, "serve": cue.serve,
                    "right": right, "how": "snap", "ms": ms, "window": 1000});
                for (field, value) in [("let", is_let), ("shown", is_shown)] {
                    if value {
                        fact[field] = json!(true);
                    }
                }
                if !is_right {
                    fact["given"] = json!("backhand bump");
                }
                answers.push(json!({"day": format!("2026-01-0{day}"), "fact": fact}));
                if is_shown && !is_let {
                    history.show(i32::try_from(day).unwrap());
                }
                let behaviour = Behaviour {
                    given: if is_right { Given::Right } else { Given::Wrong },
                    raw_ms: ms,
                    window_ms: 1000,
                    kind: How::Snap,
                    interrupted: is_let,
                };
                history.apply(&model, i32::try_from(day).unwrap(), &behaviour);
            }
        }
        // The last day may be today, whose right answers are not of an earlier day.
        let today = 6;
        let theirs = engine.call("faded", &json!([script, answers, format!("2026-01-0{today}")]));
        let days = history.right_days(today);
        assert_eq!(theirs["serves"][0]["right_days"], json!(days), "seed {seed}");
        seen.insert(days);
    }
    assert!(seen.len() > 3, "{seen:?}");
}

fn answer(day: &str, serve: &str, is_let: bool) -> Value {
    let fact = json!({"k": "answer", "deck": "d", "serve": serve, "right": "r", "how": "snap", "let": is_let});
    json!({"sitting": "s", "n": 1, "at": 1, "day": day, "fact": fact})
}

#[test]
fn a_list_is_done_when_it_was_answered_and_what_is_left_comes_along() {
    let engine = Engine::new();
    let list = |serves: &[&str]| {
        let patterns: Vec<_> = serves.iter().map(|serve| format!("d/{serve}/r")).collect();
        json!({"opponent": 0, "under": null, "patterns": patterns, "script": 0})
    };
    let page = json!({"days": [
        {"day": "2026-11-25", "lists": [list(&["a", "b"])]},
        {"day": "2026-11-26", "lists": [list(&["c"])]},
        {"day": "2026-11-27", "lists": [list(&["a", "b", "c"])]},
    ]});
    let lists = |day: &str, answers: &[Value]| {
        let found = engine.call("listsOf", &json!([page, day, answers]));
        found
            .as_array()
            .unwrap()
            .iter()
            .map(|one| (one["day"].as_str().unwrap().to_owned(), one["left"].as_u64().unwrap()))
            .collect::<Vec<_>>()
    };
    let on = |day: &str, left: u64| (day.to_owned(), left);
    assert_eq!(lists("2026-11-25", &[]), [on("2026-11-25", 2)]);
    assert_eq!(
        lists("2026-11-25", &[answer("2026-11-25", "a", true)]),
        [on("2026-11-25", 2)],
        "a let is no answer"
    );
    let one = [answer("2026-11-25", "a", false)];
    assert_eq!(lists("2026-11-25", &one), [on("2026-11-25", 1)]);
    assert_eq!(lists("2026-11-26", &one), [on("2026-11-25", 1), on("2026-11-26", 1)]);
    // The third day asks for everything itself.
    assert_eq!(lists("2026-11-27", &one), [on("2026-11-27", 3)]);
    let both = [answer("2026-11-25", "a", false), answer("2026-11-25", "b", false)];
    assert_eq!(lists("2026-11-25", &both), [on("2026-11-25", 0)]);
    assert_eq!(lists("2026-11-26", &both), [on("2026-11-26", 1)]);
}

#[test]
fn answers_leave_as_plain_letters_and_only_those_home_has_not() {
    let engine = Engine::new();
    let event = |n: u64| json!({"sitting": "s", "n": n, "at": n, "day": "2026-11-25", "fact": {"k": "seen", "deck": "é, \u{2028}\u{1f3d3}"}});
    let away = engine.call("notAtHome", &json!([[event(1), event(2), event(3)], {"s": 2}]));
    assert_eq!(away.as_array().unwrap().len(), 1);
    let page = json!({"format": 1, "home": "h", "version": "0"});
    let text = engine.call("exported", &json!([page, away, 7]));
    let text = text.as_str().unwrap();
    assert!(text.bytes().all(|byte| byte == b'\n' || (0x21..0x7f).contains(&byte)), "{text}");
    // A terminal takes no line of more than 4096 characters.
    let many: Vec<_> = (3..99).map(event).collect();
    let long = engine.call("exported", &json!([page, many, 7]));
    assert!(long.as_str().unwrap().lines().all(|line| line.len() < 1000));
    let back: Value = serde_json::from_str(text).unwrap();
    assert_eq!(back["events"][0]["fact"]["deck"], "é, \u{2028}\u{1f3d3}");
    assert_eq!(back["count"], 1);
}

fn session(waits: bool) -> Value {
    let ball = |role: &str, cues: Value| json!({"role": role, "serve": "a", "words": "short", "receive": "push", "right": "forehand push", "score": null, "cues": cues});
    let call = json!([{"is": "switch", "says": "Switch: long push"}]);
    let block = |balls: Value| json!({"name": "one serve", "set_up": [], "notes": [], "throw_ms": 2000, "receive_every": 2, "rest_s": 45, "balls": balls});
    json!({"opponent": "o", "deck": "d", "launcher": "l", "waits": waits, "warm_up_min": 10, "cautions": [], "blocks": [
        block(json!([ball("throw_away", json!([])), ball("receive", json!([])), ball("receive", call)])),
        block(json!([ball("receive", json!([]))])),
    ]})
}

#[test]
fn the_caller_counts_at_the_rate_and_waits_for_a_skipped_ball() {
    let engine = Engine::new();
    engine.call("caller", &json!([session(false), 10_000]));
    let call = |at: u64, what: &str| engine.call("call", &json!([at, what]));
    let at = |ms: u64| engine.call("called", &json!([ms]));
    assert_eq!(at(0)["is"], "ready");
    call(0, "go");
    // The start delay, then a ball let go, one throw later one that is received every second throw.
    assert_eq!(at(0)["due_ms"], 10_000);
    assert_eq!(call(9_999, "tick"), json!([]));
    assert_eq!(call(10_000, "tick")[0]["out"]["role"], "throw_away");
    assert_eq!(at(10_000)["due_ms"], 4_000);
    // Nothing is entered for a ball let go.
    assert_eq!(call(11_000, "made"), json!([]));
    call(12_000, "skip");
    assert_eq!(at(12_000)["due_ms"], 6_000);
    assert_eq!(at(12_000)["tally"]["skipped"], 1);
    assert_eq!(call(18_000, "tick")[0]["out"]["role"], "receive");
    let fact = &call(18_500, "missed")[0]["fact"];
    assert_eq!(
        *fact,
        json!({"k": "ball", "deck": "d", "serve": "a", "right": "forehand push", "made": 0, "missed": 1})
    );
    assert_eq!(call(18_550, "missed"), json!([]), "the same again changes nothing");
    let corrected = call(18_600, "wrong");
    assert_eq!(corrected[0], json!({"undo": "0/1"}), "another result takes the place of the first");
    assert_eq!(corrected[1]["fact"]["wrong"], 1);
    assert_eq!(at(18_700)["entered"], "wrong");
    // A pause takes no time off the ball.
    call(20_000, "pause");
    assert_eq!(call(60_000, "tick"), json!([]));
    call(70_000, "go");
    assert_eq!(at(70_000)["due_ms"], 2_000);
    call(72_000, "tick");
    assert_eq!(at(72_000)["is"], "ending");
    assert_eq!(call(73_000, "made")[0]["fact"]["made"], 1);
    assert_eq!(at(73_000)["tally"], json!({"made": 1, "missed": 0, "wrong": 1, "skipped": 1}));
    call(74_000, "next");
    assert_eq!(at(74_000)["is"], "resting");
    assert_eq!(at(74_000)["due_ms"], 45_000);
    assert_eq!(call(119_000, "tick")[0]["say"], "rest over");
    assert_eq!(
        at(119_000)["tally"],
        json!({"made": 0, "missed": 0, "wrong": 0, "skipped": 0}),
        "the tally is the block's"
    );
    call(120_000, "go");
    assert_eq!(at(120_000)["tally"]["made"], 0);
    call(130_000, "tick");
    assert_eq!(call(131_000, "next")[0]["say"], "done");
}

#[test]
fn a_person_who_feeds_waits_for_the_call() {
    let engine = Engine::new();
    engine.call("caller", &json!([session(true), 5_000]));
    let call = |at: u64, what: &str| engine.call("call", &json!([at, what]));
    call(0, "go");
    call(5_000, "tick");
    let said = call(9_000, "tick");
    assert_eq!(said[1]["announce"]["cues"][0]["says"], "Switch: long push");
    assert_eq!(engine.call("called", &json!([9_000]))["is"], "waiting");
    assert_eq!(call(60_000, "tick"), json!([]));
    call(61_000, "go");
    assert_eq!(engine.call("called", &json!([61_000]))["due_ms"], 5_000);
}

#[test]
fn whatever_was_done_last_is_taken_back_first() {
    let engine = Engine::new();
    engine.call("caller", &json!([session(false), 1_000]));
    let call = |at: u64, what: &str| engine.call("call", &json!([at, what]));
    let at = |ms: u64| engine.call("called", &json!([ms]));
    assert_eq!(at(0)["can_undo"], false);
    call(0, "go");
    call(1_000, "tick");
    call(5_000, "tick");
    call(5_100, "made");
    call(5_200, "skip");
    call(5_300, "missed");
    assert_eq!(at(5_300)["due_ms"], 7_700);
    let back = call(5_400, "undo");
    assert_eq!((&back[0], &back[1]["fact"]["made"]), (&json!({"undo": "0/1"}), &json!(1)));
    assert_eq!(call(5_500, "undo"), json!([]), "a ball that came after all");
    assert_eq!((&at(5_500)["due_ms"], &at(5_500)["tally"]["skipped"]), (&json!(3_500), &json!(0)));
    assert_eq!(call(5_600, "undo"), json!([{"undo": "0/1"}]));
    assert_eq!(at(5_600)["entered"], Value::Null);
    assert_eq!(call(5_700, "undo"), json!([]), "nothing is left");
}

#[test]
fn a_session_that_was_left_is_gone_on_with_at_its_ball() {
    let engine = Engine::new();
    engine.call("caller", &json!([session(false), 1_000]));
    let call = |at: u64, what: &str| engine.call("call", &json!([at, what]));
    let at = |ms: u64| engine.call("called", &json!([ms]));
    call(0, "go");
    call(1_000, "tick");
    call(5_000, "tick");
    call(5_100, "made");
    let place = engine.call("place", &json!([]));
    // Another opening of the page has another clock.
    engine.call("from", &json!([session(false), 3_000, place]));
    assert_eq!((&at(40)["is"], &at(40)["why"]), (&json!("paused"), &json!("left")));
    assert_eq!((&at(40)["ball_number"], &at(40)["let_go"]), (&json!(1), &json!(1)));
    assert_eq!(at(40)["entered"], "made", "the last ball can still be corrected");
    call(50, "earlier");
    assert_eq!(at(50)["ball_number"], 0);
    assert_eq!(at(50)["entered"], Value::Null, "the ball before it was let go");
    call(60, "later");
    let said = call(100, "go");
    assert_eq!(said[0]["ball"], 2);
    assert_eq!(at(100)["due_ms"], 3_000, "the launcher is started once more");
    // A page that is hidden cannot count: it stops, and starts with its delay.
    call(1_000, "hidden");
    assert_eq!((&at(9_000)["is"], &at(9_000)["why"]), (&json!("paused"), &json!("hidden")));
    call(9_000, "go");
    assert_eq!(at(9_000)["due_ms"], 3_000);
}

#[test]
fn a_block_not_begun_is_left_out_without_a_rest() {
    let engine = Engine::new();
    engine.call("caller", &json!([session(false), 1_000]));
    let call = |at: u64, what: &str| engine.call("call", &json!([at, what]));
    let at = |ms: u64| engine.call("called", &json!([ms]));
    assert_eq!((&at(0)["lets_go"], &at(0)["balls"]), (&json!(1), &json!(2)));
    call(0, "next");
    assert_eq!((&at(0)["is"], &at(0)["block_number"]), (&json!("ready"), &json!(2)));
    call(10, "undo");
    assert_eq!(at(10)["block_number"], 1);
    call(20, "next");
    call(30, "next");
    assert_eq!(at(30)["is"], "done");
}

#[test]
fn an_answer_to_be_found_is_shown_when_the_ball_was_played() {
    let engine = Engine::new();
    engine.call("caller", &json!([session(false), 1_000]));
    let call = |at: u64, what: &str| engine.call("call", &json!([at, what]));
    call(0, "go");
    call(5_000, "tick");
    assert_eq!(engine.call("called", &json!([5_500]))["is_played"], false);
    assert_eq!(engine.call("called", &json!([7_000]))["is_played"], true);
}
