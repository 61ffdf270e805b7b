//! The page's logic beside the machine at home: the same acts at the same times must give the same
//! reports and show the same picture, at every boundary of a result and through whole switch rounds.

use proptest::prelude::*;
use secondball::drill::{
    Act, Feedback, GO, LETTERS, Machine, Phase, Picture, SHOW, Said, Script, SimulatedHabits,
    SimulatedPlayer, Summary, UNDO,
};
use secondball::journal::{Fact, How, Input};
use secondball::page::drill::{reasons, verdict_words};
use secondball::page::phone::Packer;
use serde_json::{Value, json};

use super::decks::script;
use super::engine::Engine;

/// The machine at home and the page's, side by side.
struct Pair<'e> {
    engine: &'e Engine,
    machine: Machine,
    now_ms: u64,
}

impl<'e> Pair<'e> {
    fn new(engine: &'e Engine, script: Script) -> Self {
        // The page gets the script the way a page does: packed.
        let mut packer = Packer::default();
        let place = packer.add(&script);
        let tables = serde_json::to_value(packer.finish()).unwrap();
        let unpacked = engine.call("unpack", &json!([tables, place]));
        let mut plain = unpacked.clone();
        plain.as_object_mut().unwrap().remove("built");
        assert_eq!(plain, serde_json::to_value(&script).unwrap(), "packing loses nothing");
        engine.call("start", &json!([unpacked, "tap"]));
        let pair = Self { engine, machine: Machine::new(script, Input::Tap), now_ms: 1000 };
        pair.same_picture();
        pair
    }

    /// Does the same on both sides and compares everything.
    fn act(&mut self, at_ms: u64, act: Act) {
        self.now_ms = self.now_ms.max(at_ms);
        let said = self.machine.act(self.now_ms, act);
        let (what, key) = match act {
            Act::Key(key) => ("key", json!(key)),
            Act::Choice(choice) => ("choice", json!(choice)),
            Act::Tick => ("tick", Value::Null),
            Act::Pause => ("pause", Value::Null),
            Act::Interrupt => ("interrupt", Value::Null),
        };
        let theirs = self.engine.call("act", &json!([self.now_ms, what, key]));
        let theirs = theirs.as_array().unwrap();
        assert_eq!(theirs.len(), said.len(), "{said:?} {theirs:?}");
        for (ours, theirs) in said.iter().zip(theirs) {
            match ours {
                Said::Answer(answer) => {
                    let fact: Fact = serde_json::from_value(theirs["answer"].clone()).unwrap();
                    assert_eq!(fact, Fact::Answer(answer.clone()));
                }
                Said::Undo => assert_eq!(theirs["undo"], json!(true)),
                Said::Done => {
                    let summary = self.machine.summary();
                    assert_eq!(theirs["done"], json!(true));
                    assert_eq!(self.engine.call("summary", &json!([])), summary_json(&summary));
                }
            }
        }
        assert_eq!(self.engine.call("next", &json!([])), json!(self.machine.next_ms()));
        self.same_picture();
    }

    fn same_picture(&self) {
        let theirs = self.engine.call("picture", &json!([self.now_ms]));
        assert_eq!(theirs, picture_json(&self.machine.picture(self.now_ms)), "{}", self.now_ms);
    }
}

fn picture_json(picture: &Picture) -> Value {
    let mut json = serde_json::to_value(picture).unwrap();
    let fields = json.as_object_mut().unwrap();
    // The page draws no path, says that the square means targets, and has the verdict in words.
    fields.remove("path");
    fields.insert("asks_target".to_owned(), json!(picture.phase == Phase::Target));
    fields.insert("feedback".to_owned(), json!(picture.feedback.as_ref().map(feedback_json)));
    json
}

fn feedback_json(feedback: &Feedback) -> Value {
    json!({
        "verdict": verdict_words(feedback.verdict),
        "is_right": feedback.verdict.is_right(),
        "is_let": feedback.verdict.is_let(),
        "right": feedback.right,
        "given": feedback.given,
        "wrong_bat": feedback.wrong_bat,
        "reasons": reasons(&feedback.reason),
        "ms": feedback.ms,
        "window_ms": feedback.window_ms,
        "was": feedback.was,
        "can_undo": feedback.can_undo,
    })
}

fn summary_json(summary: &Summary) -> Value {
    let serves: Vec<Value> = summary
        .serves
        .iter()
        .map(|serve| {
            json!({
                "serve": serve.serve, "words": serve.words, "receive": serve.receive,
                "asked": serve.asked, "right": serve.right, "in_window": serve.in_window,
                "middle_ms": serve.middle_ms,
            })
        })
        .collect();
    json!({
        "answers": summary.answers,
        "right": summary.right,
        "in_window": summary.in_window,
        "lets": summary.lets,
        "old_answers": summary.old_answers,
        "spills": summary.spills,
        "serves": serves,
        "tempo_permille": summary.tempo_permille,
        "gate": summary.gate,
        "is_interrupted": summary.is_interrupted,
    })
}

/// A way to act that depends on where the machine is: times at the boundaries of results, keys that are
/// right, old, a spill, any other, or mean nothing.
fn wild(pair: &mut Pair<'_>, when: u8, which: u8) {
    let asked = pair.machine.asked(pair.now_ms);
    let window_ms = asked.as_ref().map_or(0, |asked| u64::from(asked.window_ms));
    let from_ms = asked.as_ref().map_or(pair.now_ms, |asked| asked.from_ms);
    let after = |ms: u64| from_ms + ms;
    let at_ms = match when % 14 {
        0 => from_ms.saturating_sub(80),
        1 => from_ms,
        2 => after(149),
        3 => after(150),
        4 => after(window_ms * 6 / 10),
        5 => after(window_ms * 6 / 10 + 1),
        6 => after(window_ms),
        7 => after(window_ms + 1),
        8 => after(2 * window_ms),
        9 => after(2 * window_ms + 1),
        10 => after(2 * window_ms + 2),
        11 => pair.machine.next_ms().unwrap_or(pair.now_ms),
        12 => pair.now_ms + u64::from(when) * 7,
        _ => pair.now_ms,
    };
    let key_of = |place: u8, keys: &[char]| keys[usize::from(place) % keys.len().max(1)];
    let act = match (which % 16, &asked) {
        (0..=3, Some(asked)) => asked.right,
        // By its keys, the first of which opens a place that several share.
        (4, Some(_)) => match pair.machine.picture(pair.now_ms).palette.as_slice() {
            [] => Act::Key(GO),
            pad => {
                let keys = &pad[usize::from(which / 16) % pad.len()].keys;
                let mut keys = keys.chars();
                if let (Some(first), Some(_)) = (keys.next(), keys.clone().next()) {
                    pair.act(at_ms, Act::Key(first));
                }
                return pair.act(at_ms + u64::from(when), Act::Key(keys.next().unwrap_or('q')));
            }
        },
        (5, Some(asked)) => asked.old.unwrap_or(asked.right),
        (6, Some(asked)) => asked.spills.first().copied().unwrap_or(asked.right),
        (7 | 8, Some(asked)) => asked.acts[usize::from(which / 16) % asked.acts.len()],
        (9, _) => Act::Key(key_of(which / 16, &LETTERS).to_ascii_uppercase()),
        (10, _) => Act::Key(key_of(which / 16, &['1', '5', '9', 'y', 'p', 'n', 'l', 'w', '\n'])),
        (11, _) => Act::Key(UNDO),
        (12, _) if when.is_multiple_of(5) => Act::Pause,
        (13, _) if when == 255 => Act::Interrupt,
        (14, _) => Act::Tick,
        _ => Act::Key(GO),
    };
    pair.act(at_ms, act);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn wild_acts_at_the_boundaries_of_results_come_to_the_same(
        seed in 0_u64..100_000,
        how in 0_usize..5,
        acts in proptest::collection::vec((any::<u8>(), any::<u8>()), 1..120),
    ) {
        let hows = [How::Snap, How::Think, How::Read, How::Shadow, How::Snap];
        if let Some(script) = script(seed, hows[how], how == 4) {
            let engine = Engine::new();
            let mut pair = Pair::new(&engine, script);
            if seed % 4 == 0 {
                pair.act(900, Act::Key(SHOW));
            }
            pair.act(1000, Act::Key(GO));
            for (when, which) in acts {
                wild(&mut pair, when, which);
            }
        }
    }
}

#[test]
fn whole_rounds_of_every_kind_end_the_same() {
    let engine = Engine::new();
    let (mut switched, mut closed) = (0, 0);
    for seed in 0..12 {
        let kinds = [
            (How::Snap, true),
            (How::Snap, false),
            (How::Think, false),
            (How::Read, false),
            (How::Shadow, false),
        ];
        for (how, is_switch) in kinds {
            let Some(script) = script(seed, how, is_switch) else { continue };
            let mut pair = Pair::new(&engine, script);
            // Every third player is quick enough for the gate whatever the window is.
            let habits = SimulatedHabits {
                middle_ms: if seed % 3 == 0 { 400.0 } else { 800.0 },
                wrong: 0.08,
                // Untimed questions wait for ever for somebody who says nothing.
                silent: if how == How::Snap { SimulatedHabits::default().silent } else { 0.0 },
                ..SimulatedHabits::default()
            };
            let mut player = SimulatedPlayer::new(habits, seed);
            let mut steps = 0;
            while !pair.machine.is_done() {
                steps += 1;
                assert!(steps < 2_000, "{how}, seed {seed}: the round does not end");
                let (at_ms, act) = player.next(&pair.machine, pair.now_ms);
                pair.act(at_ms, act);
            }
            let summary = pair.machine.summary();
            switched += usize::from(summary.switch.is_some());
            closed += usize::from(summary.gate.is_some_and(|gate| !gate.is_open));
        }
    }
    // The test must have seen rounds that were called and gates that stayed shut.
    assert!(switched >= 1 && closed >= 1, "{switched} switched, {closed} shut");
}
