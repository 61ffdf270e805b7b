//! From a key to an answer: what it meant, what it comes to, what is written down about it.
//!
//! The rules of results are `memory`'s; here a key is told from a guess before contact, the right
//! receive from the old answer, a spill and any other, and the fact for the journal is made.
//!
//! A shadow stroke cannot be timed: the player's own word is written as a time, `right` as exactly the
//! window, `late` one millisecond after it, `wrong` as an answer that names no receive.

use super::machine::{Before, Machine, State};
use super::palette::cell_of_key;
use super::picture::Said;
use super::script::Part;
use super::taken::{Gave, Taken};
use crate::game::ReceiveKey;
use crate::journal::{Answer, How, Stage, Switched};
use crate::memory::result::Behind;
use crate::memory::{Behaviour, Given, Kind, Outcome};

/// The keys of menus, in order.
pub(super) const MENU: [char; 9] = ['1', '2', '3', '4', '5', '6', '7', '8', '9'];

/// The keys after a shadow stroke: right, late, wrong.
pub const SHADOW_KEYS: [(char, &str); 3] = [('r', "right"), ('l', "late"), ('w', "wrong")];

/// An answer before it is judged.
struct Pressed {
    how: How,
    gave: Gave,
    choice: Option<usize>,
    built: Option<(usize, usize)>,
    text: Option<String>,
    raw_ms: i64,
    window_ms: u32,
    is_recognised: Option<bool>,
}

impl Machine {
    /// What giving this choice means for the ball in play.
    pub(super) fn gave(&self, choice: usize) -> Gave {
        let Some(ball) = &self.current else { return Gave::Other };
        let right = self.script.right(ball.serve, ball.part);
        if choice == right {
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
    pub(super) fn spills(&self, serve: usize, part: Part) -> Vec<usize> {
        if self.script.serves[serve].changed.is_some() {
            return Vec::new();
        }
        let right = self.script.right(serve, part);
        let brought_in = self.script.serves.iter().filter_map(|cue| match part {
            Part::After => cue.changed,
            Part::Back => cue.changed.map(|_| cue.right),
            Part::Plain | Part::Gate | Part::Before => None,
        });
        brought_in.filter(|&choice| choice != right).collect()
    }

    pub(super) fn snap_key(&mut self, now_ms: u64, contact_ms: u64, key: char) -> Vec<Said> {
        let choice = cell_of_key(key).and_then(|cell| self.script.palette.place_in_cell(cell));
        // A key that means nothing is no answer: the ball is still there to be answered.
        let Some(choice) = choice else { return Vec::new() };
        let given = Pressed {
            how: How::Snap,
            gave: self.gave(choice),
            choice: Some(choice),
            built: None,
            text: None,
            raw_ms: since(now_ms, contact_ms),
            window_ms: self.window_ms(),
            is_recognised: None,
        };
        self.take(now_ms, &given)
    }

    pub(super) fn no_answer(&mut self, now_ms: u64) -> Vec<Said> {
        let State::Ball { contact_ms } = self.state else { return Vec::new() };
        let given = Pressed {
            how: How::Snap,
            gave: Gave::Nothing,
            choice: None,
            built: None,
            text: Some(String::new()),
            raw_ms: since(now_ms, contact_ms),
            window_ms: self.window_ms(),
            is_recognised: None,
        };
        self.take(now_ms, &given)
    }

    pub(super) fn stroke_of_key(&self, key: char) -> Option<usize> {
        MENU.iter()
            .position(|&menu| menu == key)
            .filter(|&stroke| stroke < self.script.palette.strokes.len())
    }

    pub(super) fn target_key(
        &mut self,
        now_ms: u64,
        since_ms: u64,
        stroke: usize,
        key: char,
    ) -> Vec<Said> {
        let (Some(cell), Some(ball)) = (cell_of_key(key), &self.current) else {
            return Vec::new();
        };
        let palette = &self.script.palette;
        let agrees = |place: usize| {
            let choice = &palette.choices[place];
            choice.stroke == stroke && choice.targets.contains(&cell)
        };
        let right = self.script.right(ball.serve, ball.part);
        let choice = if agrees(right) {
            Some(right)
        } else {
            self.script
                .old(ball.serve, ball.part)
                .filter(|&old| agrees(old))
                .or_else(|| (0..palette.choices.len()).find(|&place| agrees(place)))
        };
        let given = Pressed {
            how: How::Think,
            gave: choice.map_or(Gave::Other, |place| self.gave(place)),
            choice,
            built: Some((stroke, cell)),
            text: Some(palette.built(stroke, cell).as_str().to_owned()),
            raw_ms: since(now_ms, since_ms),
            window_ms: 0,
            is_recognised: None,
        };
        self.take(now_ms, &given)
    }

    pub(super) fn what_key(&mut self, now_ms: u64, contact_ms: u64, key: char) -> Vec<Said> {
        let serve = MENU.iter().position(|&menu| menu == key);
        let Some(serve) = serve.filter(|&serve| serve < self.script.serves.len()) else {
            return Vec::new();
        };
        let Some(ball) = &self.current else { return Vec::new() };
        let raw_ms = since(now_ms, contact_ms);
        if raw_ms < i64::from(self.script.durations.least_ms) {
            let given = Pressed {
                how: How::Read,
                gave: Gave::Other,
                choice: None,
                built: None,
                text: None,
                raw_ms,
                window_ms: 0,
                is_recognised: None,
            };
            return self.take(now_ms, &given);
        }
        let is_recognised = serve == ball.serve;
        let taken_for =
            (!is_recognised).then(|| format!("taken for {}", self.script.serves[serve].serve));
        let fact = self.fact(How::Read, taken_for, raw_ms, 0, false);
        self.state = State::Do { since_ms: now_ms, is_recognised };
        fact.into_iter().map(Said::Answer).collect()
    }

    pub(super) fn do_key(
        &mut self,
        now_ms: u64,
        since_ms: u64,
        is_recognised: bool,
        key: char,
    ) -> Vec<Said> {
        let choice = cell_of_key(key).and_then(|cell| self.script.palette.place_in_cell(cell));
        let Some(choice) = choice else { return Vec::new() };
        let given = Pressed {
            how: How::Think,
            gave: self.gave(choice),
            choice: Some(choice),
            built: None,
            text: None,
            raw_ms: since(now_ms, since_ms),
            window_ms: 0,
            is_recognised: Some(is_recognised),
        };
        self.take(now_ms, &given)
    }

    pub(super) fn own_key(&mut self, now_ms: u64, key: char) -> Vec<Said> {
        let window_ms = self.script.durations.shadow_ms;
        let (gave, late_ms, text) = match key {
            'r' | '1' => (Gave::Right, 0, None),
            'l' | '2' => (Gave::Right, 1, None),
            'w' | '3' => (Gave::Other, 0, Some(String::new())),
            _ => return Vec::new(),
        };
        let given = Pressed {
            how: How::Shadow,
            gave,
            choice: None,
            built: None,
            text,
            raw_ms: i64::from(window_ms) + late_ms,
            window_ms,
            is_recognised: None,
        };
        self.take(now_ms, &given)
    }

    /// Judges an answer, remembers it, and makes its fact.
    fn take(&mut self, now_ms: u64, given: &Pressed) -> Vec<Said> {
        let Some(ball) = self.current.clone() else { return Vec::new() };
        let cue = &self.script.serves[ball.serve];
        let is_snap = given.how == How::Snap;
        let behaviour = Behaviour {
            given: match given.gave {
                Gave::Right => Given::Right,
                Gave::OldAnswer => Given::OldAnswer,
                Gave::Spill | Gave::Other | Gave::Nothing => Given::Wrong,
            },
            raw_ms: i32::try_from(given.raw_ms).unwrap_or(i32::MAX),
            window_ms: given.window_ms,
            kind: match given.how {
                How::Snap => Kind::Snap,
                How::Think | How::Read => Kind::Think,
                How::Shadow => Kind::Shadow,
            },
            interrupted: false,
        };
        let behind =
            Behind { counted_days: cue.counted_days, recent_old_answer: cue.has_recent_old_answer };
        let outcome = behaviour.outcome(behind);
        let is_let = outcome == Outcome::Let;
        let text = match given.gave {
            Gave::Right => None,
            _ => given.text.clone().or_else(|| {
                let choice = &self.script.palette.choices[given.choice?];
                Some(choice.receive.as_str().to_owned())
            }),
        };
        let fact = self.fact(given.how, text, given.raw_ms, given.window_ms, is_let);
        let taken = Taken {
            serve: ball.serve,
            part: ball.part,
            gave: given.gave,
            given: given.choice,
            built: given.built,
            ms: u32::try_from(given.raw_ms.max(0)).unwrap_or(u32::MAX),
            window_ms: given.window_ms,
            outcome,
            is_recognised: given.is_recognised,
        };
        if is_let {
            self.before = None;
            self.play_again();
        } else {
            self.before = Some(Before {
                ball: ball.clone(),
                tempo: self.tempo.clone(),
                queue: self.queue.clone(),
                repaired: self.repaired.clone(),
                // A reading answer was reported in two halves.
                reports: if given.is_recognised.is_some() { 2 } else { 1 },
            });
            if is_snap {
                self.tempo.answered(taken.is_clean());
            }
            let is_recalled = taken.grade().is_some_and(crate::memory::Grade::is_recalled);
            if !is_recalled
                && self.script.repair_after > 0
                && ball.part == Part::Plain
                && !self.repaired.contains(&ball.serve)
            {
                self.repaired.push(ball.serve);
                let later = usize::try_from(self.script.repair_after).unwrap_or(usize::MAX);
                self.insert_later(&ball, later);
            }
        }
        let is_short = taken.is_clean() || is_let;
        let durations = &self.script.durations;
        let lasts_ms = if is_short { durations.feedback_ms } else { durations.long_feedback_ms };
        self.taken.push(taken);
        self.state = State::Feedback { until_ms: now_ms + u64::from(lasts_ms) };
        fact.into_iter().map(Said::Answer).collect()
    }

    /// The fact of an answer to the ball in play.
    fn fact(
        &self,
        how: How,
        given: Option<String>,
        raw_ms: i64,
        window_ms: u32,
        is_let: bool,
    ) -> Option<Answer> {
        let ball = self.current.as_ref()?;
        let receive =
            |choice: usize| -> ReceiveKey { self.script.palette.choices[choice].receive.clone() };
        let stage = match ball.part {
            Part::Before => Some(Stage::Before),
            Part::After => Some(Stage::After),
            Part::Back => Some(Stage::Back),
            Part::Plain | Part::Gate => None,
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
            how,
            ms: u32::try_from(raw_ms.max(0)).unwrap_or(u32::MAX),
            window: window_ms,
            motor: if how == How::Snap { self.script.key_ms } else { 0 },
            input: self.input,
            is_let,
            switch,
        })
    }
}

/// Milliseconds from one time to another, negative when it lies before.
fn since(now_ms: u64, from_ms: u64) -> i64 {
    i64::try_from(now_ms).unwrap_or(i64::MAX) - i64::try_from(from_ms).unwrap_or(i64::MAX)
}
