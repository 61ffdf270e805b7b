//! A simulated player: plays any script with known times and known mistakes. It is labelled in
//! every answer it gives and in every summary; its numbers are inventions, good for tests and for
//! showing the drill where there is nobody to play.

use super::machine::{GO, Machine};
use super::picture::{Act, Asked, Phase};
use super::script::RoundPart;
use crate::base::Dice;

/// How a simulated player plays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SimulatedHabits {
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

impl Default for SimulatedHabits {
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
    habits: SimulatedHabits,
    dice: Dice,
}

impl SimulatedPlayer {
    /// A player with these habits; the same seed plays the same way.
    pub fn new(habits: SimulatedHabits, seed: u64) -> Self {
        Self { habits, dice: Dice::for_part(seed, "simulated player") }
    }

    /// The answer and when it is given; none for silence.
    pub fn answer(&mut self, asked: &Asked) -> Option<(u64, Act)> {
        let habits = self.habits;
        if asked.phase == Phase::Toss && self.dice.chance(habits.guesses) {
            return Some((asked.from_ms.saturating_sub(80), asked.right));
        }
        let is_untimed = matches!(
            asked.phase,
            Phase::Stroke | Phase::Target | Phase::Do | Phase::What | Phase::Own
        );
        if !is_untimed && self.dice.chance(habits.silent) {
            return None;
        }
        let mut time_ms = habits.middle_ms * (habits.spread * self.dice.normal()).exp();
        let draw = self.dice.unit();
        let mut slip = None;
        if matches!(asked.part, RoundPart::After | RoundPart::Back) {
            time_ms += habits.call_cost_ms;
            if asked.old.is_some() {
                time_ms += habits.switch_cost_ms;
                slip = asked.old.filter(|_| draw < habits.old_answer);
            } else {
                slip = asked.spills.first().copied().filter(|_| draw < habits.spill);
            }
        }
        let act = slip.unwrap_or_else(|| self.plain_act(asked));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "seconds")]
        let after_ms = time_ms.max(160.0).round() as u64;
        Some((asked.from_ms + after_ms, act))
    }

    /// The right answer, or now and then another that is neither old answer nor spill.
    fn plain_act(&mut self, asked: &Asked) -> Act {
        if !self.dice.chance(self.habits.wrong) {
            return asked.right;
        }
        let mut others = asked.acts.clone();
        others.retain(|act| {
            *act != asked.right && Some(*act) != asked.old && !asked.spills.contains(act)
        });
        if others.is_empty() { asked.right } else { others[self.dice.below(others.len())] }
    }

    /// What comes next from a time on, and when.
    pub fn next(&mut self, machine: &Machine, now_ms: u64) -> (u64, Act) {
        let answer = machine.asked(now_ms).and_then(|asked| self.answer(&asked));
        match (answer, machine.next_ms()) {
            (Some((at_ms, act)), _) => (at_ms.max(now_ms), act),
            (None, Some(next_ms)) => (next_ms.max(now_ms), Act::Tick),
            // A card that wants a key.
            (None, None) => (now_ms + 400, Act::Key(GO)),
        }
    }
}
