//! A simulated player: plays any script with known times and known mistakes. It is labelled in every
//! answer it gives and in every summary; its numbers are inventions, good for tests and for showing
//! the drill where there is nobody to play.

use super::machine::{Act, GO, Machine};
use super::picture::{Asked, Phase, Said};
use super::script::Part;
use crate::base::Dice;

/// How a simulated player plays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Habits {
    /// Middle time to an answer, milliseconds.
    pub middle_ms: f64,
    /// Spread of the logarithm of that time.
    pub spread: f64,
    /// Chance of a wrong key that is neither old answer nor spill, 0 to 1.
    pub wrong: f64,
    /// Chance of not answering at all, 0 to 1.
    pub silent: f64,
    /// Chance of a key before contact, 0 to 1.
    pub guesses: f64,
    /// Slower on switched serves after the call, milliseconds.
    pub switch_cost_ms: f64,
    /// Slower on every serve after the call, milliseconds.
    pub call_cost_ms: f64,
    /// Chance of the old answer to a switched serve after the call, 0 to 1.
    pub old_answer: f64,
    /// Chance of a spill to a kept serve after the call, 0 to 1.
    pub spill: f64,
}

impl Default for Habits {
    /// An ordinary, willing player (invented).
    fn default() -> Self {
        Self {
            middle_ms: 650.0,
            spread: 0.18,
            wrong: 0.06,
            silent: 0.01,
            guesses: 0.01,
            switch_cost_ms: 140.0,
            call_cost_ms: 20.0,
            old_answer: 0.12,
            spill: 0.04,
        }
    }
}

/// A player that is no person.
#[derive(Debug)]
pub struct SimulatedPlayer {
    habits: Habits,
    dice: Dice,
}

impl SimulatedPlayer {
    /// A player with these habits; the same seed plays the same way.
    pub fn new(habits: Habits, seed: u64) -> Self {
        Self { habits, dice: Dice::for_part(seed, "simulated player") }
    }

    /// The key and when it is pressed; none for silence.
    pub fn answer(&mut self, asked: &Asked) -> Option<(u64, char)> {
        let habits = self.habits;
        if asked.phase == Phase::Toss && self.dice.chance(habits.guesses) {
            return Some((asked.from_ms.saturating_sub(80), asked.right));
        }
        let is_untimed =
            matches!(asked.phase, Phase::Stroke | Phase::Target | Phase::Do | Phase::What);
        if !is_untimed && self.dice.chance(habits.silent) {
            return None;
        }
        let is_after = matches!(asked.part, Part::After | Part::Back);
        let mut time_ms = habits.middle_ms * (habits.spread * self.dice.normal()).exp();
        if is_after {
            time_ms += habits.call_cost_ms;
        }
        if is_after && asked.old.is_some() {
            time_ms += habits.switch_cost_ms;
        }
        let draw = self.dice.unit();
        let key = match (asked.old.filter(|_| is_after), asked.spills.first()) {
            (Some(old), _) if draw < habits.old_answer => old,
            (None, Some(&spill)) if is_after && draw < habits.spill => spill,
            _ if self.dice.chance(habits.wrong) => {
                let others: Vec<char> = asked
                    .keys
                    .iter()
                    .copied()
                    .filter(|key| {
                        *key != asked.right
                            && Some(*key) != asked.old
                            && !asked.spills.contains(key)
                    })
                    .collect();
                if others.is_empty() { asked.right } else { others[self.dice.below(others.len())] }
            }
            _ => asked.right,
        };
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "seconds")]
        let after_ms = time_ms.max(160.0).round() as u64;
        Some((asked.from_ms + after_ms, key))
    }

    /// Plays one step from a time on; answers the new time and what was said.
    pub fn step(&mut self, machine: &mut Machine, now_ms: u64) -> (u64, Vec<Said>) {
        let asked = machine.asked(now_ms);
        let answer = asked.as_ref().and_then(|asked| self.answer(asked));
        let (at_ms, act) = match (answer, machine.next_ms()) {
            (Some((at_ms, key)), _) => (at_ms.max(now_ms), Act::Key(key)),
            (None, Some(next_ms)) => (next_ms.max(now_ms), Act::Tick),
            // A card that wants a key.
            (None, None) => (now_ms + 400, Act::Key(GO)),
        };
        (at_ms, machine.act(at_ms, act))
    }

    /// Plays a machine to its end, beginning at a time; answers everything it said with its time.
    pub fn play(&mut self, machine: &mut Machine, start_ms: u64) -> Vec<(u64, Said)> {
        let mut now_ms = start_ms;
        let mut all = Vec::new();
        while !machine.is_done() {
            let (at_ms, said) = self.step(machine, now_ms);
            now_ms = at_ms;
            all.extend(said.into_iter().map(|one| (now_ms, one)));
        }
        all
    }
}
