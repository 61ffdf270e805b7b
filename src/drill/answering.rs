//! From a key to an answer: what it meant, what it comes to, what is written down about it.
//!
//! The rules of results are `memory`'s, read from the fact that goes into the journal, so that
//! the drill and the journal can never judge an answer differently. Here a key is told from a
//! guess before contact, the right receive from the old answer, a spill and any other.
//!
//! A shadow stroke cannot be timed: the player's own word is written as a time, `right` as
//! exactly the window, `late` one millisecond after it, `wrong` as an answer that names no
//! receive.

use super::machine::{Before, Machine, Play};
use super::palette::cell_of_key;
use super::picture::Said;
use super::script::{RoundPart, ScriptBall};
use super::taken::{Gave, Taken};
use crate::game::ReceiveKey;
use crate::journal::{Answer, How, Stage, Switched};
use crate::memory::fold::behaviour;
use crate::memory::result::Behind;
use crate::memory::{Grade, Outcome};

/// The keys of menus, in order.
pub(super) const MENU: [char; 9] = ['1', '2', '3', '4', '5', '6', '7', '8', '9'];

/// The keys after a shadow stroke: right, late, wrong.
pub const SHADOW_KEYS: [(char, &str); 3] = [('r', "right"), ('l', "late"), ('w', "wrong")];

/// An answer before it is judged.
#[derive(Debug, Clone, Copy)]
struct Pressed {
    how: How,
    gave: Gave,
    choice: Option<usize>,
    /// The stroke and the cell it is put together from.
    built: Option<(usize, usize)>,
    raw_ms: i64,
    window_ms: u32,
    is_recognised: Option<bool>,
}

/// The place in a menu of so many lines that a key names.
fn menu_place(key: char, lines: usize) -> Option<usize> {
    MENU.iter().take(lines).position(|&menu| menu == key)
}

impl Machine {
    /// What giving this choice means for the ball in play.
    fn gave(&self, choice: usize) -> Gave {
        let Some(ball) = &self.current else { return Gave::Other };
        if choice == self.script.right(ball.serve, ball.part) {
            Gave::Right
        } else if self.script.old(ball.serve, ball.part) == Some(choice) {
            Gave::OldAnswer
        } else if self.spills(ball.serve, ball.part).contains(&choice) {
            Gave::Spill
        } else {
            Gave::Other
        }
    }

    /// The choices that would be a spill: what the call brought in for another serve.
    pub(super) fn spills(&self, serve: usize, part: RoundPart) -> Vec<usize> {
        if self.script.serves[serve].changed.is_some() {
            return Vec::new();
        }
        let right = self.script.right(serve, part);
        let brought_in = self.script.serves.iter().filter_map(|cue| match part {
            RoundPart::After => cue.changed,
            RoundPart::Back => cue.changed.map(|_| cue.right),
            RoundPart::Plain | RoundPart::Gate | RoundPart::Before => None,
        });
        brought_in.filter(|&choice| choice != right).collect()
    }

    /// An answer at this moment to what is in play.
    fn pressed(&self, how: How, now_ms: u64, gave: Gave) -> Pressed {
        let window_ms = match how {
            How::Snap => self.window_ms(),
            How::Shadow => self.script.durations.shadow_ms,
            How::Think | How::Read => 0,
        };
        let raw_ms = now_ms.cast_signed() - self.at_ms.cast_signed();
        Pressed { how, gave, choice: None, built: None, raw_ms, window_ms, is_recognised: None }
    }

    pub(super) fn palette_key(&mut self, now_ms: u64, key: char) {
        let choice = cell_of_key(key).and_then(|cell| self.script.palette.place_in_cell(cell));
        // A key that means nothing is no answer: the ball is still there to be answered.
        let Some(place) = choice else { return };
        let (how, is_recognised) = match self.play {
            Play::Do(is_recognised) => (How::Think, Some(is_recognised)),
            _ => (How::Snap, None),
        };
        let pressed = self.pressed(how, now_ms, self.gave(place));
        self.take(now_ms, Pressed { choice, is_recognised, ..pressed });
    }

    pub(super) fn no_answer(&mut self, now_ms: u64) {
        self.take(now_ms, self.pressed(How::Snap, now_ms, Gave::Nothing));
    }

    pub(super) fn stroke_key(&mut self, key: char) {
        if let Some(stroke) = menu_place(key, self.script.palette.strokes.len()) {
            self.play = Play::Target(stroke);
        }
    }

    pub(super) fn target_key(&mut self, now_ms: u64, stroke: usize, key: char) {
        let (Some(cell), Some(ball)) = (cell_of_key(key), &self.current) else { return };
        let choices = &self.script.palette.choices;
        // What is right is meant first, then what was right before, then any choice that agrees.
        let meant = [
            Some(self.script.right(ball.serve, ball.part)),
            self.script.old(ball.serve, ball.part),
        ];
        let choice = meant
            .into_iter()
            .flatten()
            .chain(0..choices.len())
            .find(|&place| choices[place].agrees(stroke, cell));
        let gave = choice.map_or(Gave::Other, |place| self.gave(place));
        let pressed = self.pressed(How::Think, now_ms, gave);
        self.take(now_ms, Pressed { choice, built: Some((stroke, cell)), ..pressed });
    }

    pub(super) fn what_key(&mut self, now_ms: u64, key: char) {
        let named = menu_place(key, self.script.serves.len());
        let (Some(named), Some(ball)) = (named, &self.current) else { return };
        let is_recognised = named == ball.serve;
        let pressed = self.pressed(How::Read, now_ms, Gave::Other);
        if pressed.raw_ms < i64::from(self.script.durations.least_ms) {
            self.take(now_ms, pressed);
            return;
        }
        let taken_for =
            (!is_recognised).then(|| format!("taken for {}", self.script.serves[named].serve));
        self.said.extend(self.fact(pressed, taken_for).map(Said::Answer));
        self.show(Play::Do(is_recognised), now_ms);
    }

    pub(super) fn own_key(&mut self, now_ms: u64, key: char) {
        let (gave, late_ms) = match key {
            'r' | '1' => (Gave::Right, 0),
            'l' | '2' => (Gave::Right, 1),
            'w' | '3' => (Gave::Other, 0),
            _ => return,
        };
        let pressed = self.pressed(How::Shadow, now_ms, gave);
        self.take(now_ms, Pressed { raw_ms: i64::from(pressed.window_ms) + late_ms, ..pressed });
    }

    /// Judges an answer, remembers it, and reports its fact.
    fn take(&mut self, now_ms: u64, pressed: Pressed) {
        let Some(ball) = self.current.clone() else { return };
        let given = (pressed.gave != Gave::Right).then(|| self.given(pressed));
        let Some(mut fact) = self.fact(pressed, given.flatten()) else { return };
        let cue = &self.script.serves[ball.serve];
        let behind =
            Behind { counted_days: cue.counted_days, recent_old_answer: cue.has_recent_old_answer };
        // A key for the serve that comes too early is no receive, and no answer.
        let outcome = behaviour(&fact).map_or(Outcome::Let, |done| done.outcome(behind));
        let is_let = outcome == Outcome::Let;
        fact.is_let = is_let;
        let taken = Taken {
            serve: ball.serve,
            part: ball.part,
            gave: pressed.gave,
            given: pressed.choice,
            built: pressed.built,
            ms: fact.ms,
            window_ms: pressed.window_ms,
            outcome,
            is_recognised: pressed.is_recognised,
        };
        self.said.push(Said::Answer(fact));
        if is_let {
            self.before = None;
            self.play_again();
        } else {
            self.answered(&ball, &taken);
        }
        let is_short = taken.is_clean() || is_let;
        let durations = &self.script.durations;
        let lasts_ms = if is_short { durations.feedback_ms } else { durations.long_feedback_ms };
        self.taken.push(taken);
        self.show(Play::Feedback, now_ms + u64::from(lasts_ms));
    }

    /// What an answer that was no let changes: the tempo, and whether its serve is asked once
    /// more.
    fn answered(&mut self, ball: &ScriptBall, taken: &Taken) {
        self.before = Some(Before {
            ball: ball.clone(),
            tempo: self.tempo.clone(),
            queue: self.queue.clone(),
            repaired: self.repaired.clone(),
            // A reading answer was reported in two halves.
            reports: if taken.is_recognised.is_some() { 2 } else { 1 },
        });
        if self.script.how == How::Snap {
            self.tempo.answered(taken.is_clean());
        }
        let is_wrong = !taken.grade().is_some_and(Grade::is_recalled);
        let may_repair = self.script.repair_after > 0 && ball.part == RoundPart::Plain;
        if is_wrong && may_repair && !self.repaired.contains(&ball.serve) {
            self.repaired.push(ball.serve);
            self.insert_later(ball, self.script.repair_after as usize);
        }
    }

    /// What was given, as it is written down; none for a key that stands for no receive.
    fn given(&self, pressed: Pressed) -> Option<String> {
        let palette = &self.script.palette;
        if pressed.gave == Gave::Nothing || pressed.how == How::Shadow {
            return Some(String::new());
        }
        let built = pressed.built.map(|(stroke, cell)| palette.built(stroke, cell));
        let receive = built.or_else(|| Some(palette.choices[pressed.choice?].receive.clone()))?;
        Some(receive.as_str().to_owned())
    }

    /// The fact of an answer to the ball in play.
    fn fact(&self, pressed: Pressed, given: Option<String>) -> Option<Answer> {
        let ball = self.current.as_ref()?;
        let receive =
            |choice: usize| -> ReceiveKey { self.script.palette.choices[choice].receive.clone() };
        let stage = match ball.part {
            RoundPart::Before => Some(Stage::Before),
            RoundPart::After => Some(Stage::After),
            RoundPart::Back => Some(Stage::Back),
            RoundPart::Plain | RoundPart::Gate => None,
        };
        let switch = stage.zip(self.script.switch.as_ref()).map(|(stage, switch)| Switched {
            name: switch.name.clone(),
            stage,
            old: self.script.old(ball.serve, ball.part).map(receive),
        });
        Some(Answer {
            deck: self.script.deck.clone(),
            serve: self.script.serves[ball.serve].serve.clone(),
            right: receive(self.script.right(ball.serve, ball.part)),
            given,
            how: pressed.how,
            ms: u32::try_from(pressed.raw_ms.max(0)).unwrap_or(u32::MAX),
            window: pressed.window_ms,
            motor: if pressed.how == How::Snap { self.script.key_ms } else { 0 },
            input: self.input,
            is_let: false,
            switch,
        })
    }
}
