//! From a key to an answer: what it meant, what it comes to, what is written down about it.
//!
//! The rules of results are `memory`'s, read from the fact that goes into the journal, so that
//! the drill and the journal can never judge an answer differently. Here a key is told from a
//! guess before contact, the right receive from the old answer, a spill and any other.
//!
//! A shadow stroke cannot be timed: the player's own word is written as a time, `played it` as
//! exactly the window, `late` one millisecond after it, `no` as an answer that names no
//! receive.

use super::machine::{Before, Machine, STAYS};
use super::palette::cell_of_key;
use super::picture::{Phase, Said};
use super::script::RoundPart;
use super::taken::{Gave, Taken};
use crate::journal::{Answer, How, Stage, Switched};
use crate::memory::fold::behaviour;
use crate::memory::result::Behind;
use crate::memory::{Grade, Outcome};

/// The keys of menus, in order.
pub(super) const MENU: [char; 9] = ['1', '2', '3', '4', '5', '6', '7', '8', '9'];

/// The keys after a shadow stroke.
pub const SHADOW_KEYS: [(char, &str); 3] = [('y', "played it"), ('l', "late"), ('n', "no")];

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

    /// An answer at this moment to the ball in play, not judged yet.
    fn pressed(&self, how: How, now_ms: u64, gave: Gave) -> Option<Taken> {
        let ball = self.current.as_ref()?;
        Some(Taken {
            serve: ball.serve,
            part: ball.part,
            gave,
            given: None,
            built: None,
            ms: u32::try_from(now_ms.saturating_sub(self.at_ms)).unwrap_or(u32::MAX),
            window_ms: match how {
                How::Snap | How::Film => self.window_ms(),
                How::Shadow => self.script.durations.shadow_ms,
                How::Think | How::Read => 0,
            },
            outcome: Outcome::Let,
            is_recognised: None,
        })
    }

    /// A key of the square gives its receive. Where several lie at one place it opens the place,
    /// and the next key of that row chooses; typing that one is not counted as time to decide.
    pub(super) fn palette_key(&mut self, now_ms: u64, key: char) {
        // A key that means nothing is no answer: the ball is still there to be answered.
        let Some(cell) = cell_of_key(key) else { return };
        let palette = &self.script.palette;
        if let Some((open, since_ms)) = self.open
            && let Some(choice) = palette.within(open, cell)
        {
            let typed_ms = (now_ms - since_ms).min(u64::from(self.script.key_ms));
            self.give(now_ms, choice, typed_ms);
        } else if let Some(choice) = palette.first_in(cell) {
            // So early it is a let, whichever is meant.
            let is_let = now_ms < self.at_ms + u64::from(self.script.durations.least_ms);
            if palette.choices[choice].parts == 1 || is_let {
                self.give(now_ms, choice, 0);
            } else {
                self.open = Some((cell, now_ms));
            }
        }
    }

    /// Gives a choice of the palette, `typed_ms` after it was decided.
    pub(super) fn give(&mut self, now_ms: u64, choice: usize, typed_ms: u64) {
        let Some(receive) = self.script.palette.choices.get(choice) else { return };
        let receive = Some(receive.receive.as_str().to_owned());
        let is_read = self.play == Phase::Do;
        let how = if is_read { How::Think } else { How::Snap };
        let gave = self.gave(choice);
        let Some(pressed) = self.pressed(how, now_ms - typed_ms, gave) else { return };
        let is_recognised = is_read.then_some(self.is_recognised);
        self.take(now_ms, how, Taken { given: Some(choice), is_recognised, ..pressed }, receive);
    }

    pub(super) fn no_answer(&mut self, now_ms: u64) {
        let Some(pressed) = self.pressed(How::Snap, now_ms, Gave::Nothing) else { return };
        self.take(now_ms, How::Snap, pressed, Some(String::new()));
    }

    pub(super) fn stroke_key(&mut self, key: char) {
        if let Some(stroke) = menu_place(key, self.script.palette.strokes.len()) {
            self.stroke = stroke;
            self.play = Phase::Target;
        }
    }

    pub(super) fn target_key(&mut self, now_ms: u64, key: char) {
        let (Some(cell), Some(ball)) = (cell_of_key(key), &self.current) else { return };
        let palette = &self.script.palette;
        // What is right is meant first, then what was right before, then any choice that agrees.
        let right = self.script.right(ball.serve, ball.part);
        let given = std::iter::once(right)
            .chain(self.script.old(ball.serve, ball.part))
            .chain(0..palette.choices.len())
            .find(|&place| palette.choices[place].agrees(self.stroke, cell));
        let receive = Some(palette.built(self.stroke, cell).as_str().to_owned());
        let gave = given.map_or(Gave::Other, |place| self.gave(place));
        let Some(pressed) = self.pressed(How::Think, now_ms, gave) else { return };
        let built = Some((self.stroke, cell));
        self.take(now_ms, How::Think, Taken { given, built, ..pressed }, receive);
    }

    pub(super) fn what_key(&mut self, now_ms: u64, key: char) {
        let Some(named) = menu_place(key, self.script.serves.len()) else { return };
        let Some(pressed) = self.pressed(How::Read, now_ms, Gave::Other) else { return };
        if pressed.ms < self.script.durations.least_ms {
            self.take(now_ms, How::Read, pressed, None);
            return;
        }
        self.is_recognised = named == pressed.serve;
        let named = &self.script.serves[named].serve;
        let taken_for = (!self.is_recognised).then(|| format!("taken for {named}"));
        self.said.push(Said::Answer(self.fact(How::Read, &pressed, taken_for)));
        self.show(Phase::Do, now_ms);
    }

    pub(super) fn own_key(&mut self, now_ms: u64, key: char) {
        let (gave, late_ms) = match key {
            'y' | '1' => (Gave::Right, 0),
            'l' | '2' => (Gave::Right, 1),
            'n' | '3' => (Gave::Other, 0),
            _ => return,
        };
        let Some(pressed) = self.pressed(How::Shadow, now_ms, gave) else { return };
        let ms = pressed.window_ms + late_ms;
        self.take(now_ms, How::Shadow, Taken { ms, ..pressed }, Some(String::new()));
    }

    /// Judges an answer, remembers it, and reports its fact; the receive that was `given` is
    /// written down where it is wrong.
    fn take(&mut self, now_ms: u64, how: How, pressed: Taken, given: Option<String>) {
        let fact = self.fact(how, &pressed, given.filter(|_| pressed.gave != Gave::Right));
        let cue = &self.script.serves[pressed.serve];
        let behind =
            Behind { counted_days: cue.counted_days, recent_old_answer: cue.has_recent_old_answer };
        // A key for the serve that comes too early is no receive, and no answer.
        let outcome = behaviour(&fact).map_or(Outcome::Let, |done| done.outcome(behind));
        let is_let = outcome == Outcome::Let;
        let taken = Taken { outcome, ..pressed };
        self.said.push(Said::Answer(Answer { is_let, ..fact }));
        if is_let {
            self.before = None;
            self.play_again();
        } else {
            self.answered(&taken);
        }
        let durations = &self.script.durations;
        let is_recalled = taken.grade().is_some_and(Grade::is_recalled);
        let until_ms = match (taken.is_clean() || is_let, is_recalled) {
            (true, _) => now_ms + u64::from(durations.feedback_ms),
            (false, true) => now_ms + u64::from(durations.long_feedback_ms),
            // What was wrong is read, however long that takes.
            (false, false) => STAYS,
        };
        self.taken.push(taken);
        self.show(Phase::Feedback, until_ms);
    }

    /// What an answer that was no let changes: the tempo, and whether its serve is asked once
    /// more.
    fn answered(&mut self, taken: &Taken) {
        let Some(ball) = self.current.clone() else { return };
        self.before = Some(Before {
            ball: ball.clone(),
            tempo: self.tempo.clone(),
            queue: self.queue.clone(),
            repaired: self.repaired.clone(),
        });
        if self.script.how == How::Snap {
            self.tempo.answered(taken.is_clean());
        }
        let is_wrong = !taken.grade().is_some_and(Grade::is_recalled);
        let may_repair = self.script.repair_after > 0;
        if is_wrong && may_repair && !self.repaired.contains(&ball.serve) {
            self.repaired.push(ball.serve);
            self.insert_later(&ball, self.script.repair_after as usize);
        }
    }

    /// The fact of an answer to the ball in play.
    fn fact(&self, how: How, pressed: &Taken, given: Option<String>) -> Answer {
        let Taken { serve, part, .. } = *pressed;
        let script = &self.script;
        let receive = |choice: usize| script.palette.choices[choice].receive.clone();
        // The parts of a round that belong to a switch are the journal's stages.
        let stage = part.word().parse::<Stage>().ok();
        let switch = stage.zip(script.measured()).map(|(stage, switch)| Switched {
            name: switch.name.clone(),
            stage,
            old: script.old(serve, part).map(receive),
        });
        Answer {
            deck: script.deck.clone(),
            serve: script.serves[serve].serve.clone(),
            right: receive(script.right(serve, part)),
            given,
            how,
            ms: pressed.ms,
            window: pressed.window_ms,
            motor: if how == How::Snap { script.key_ms } else { 0 },
            tempo: if how == How::Snap { self.tempo.permille() } else { 0 },
            input: self.input,
            shown: self.is_shown,
            is_let: false,
            cut: None,
            switch,
        }
    }
}
