//! The warm-up of the keys: how quickly this player finds a key when there is nothing to remember.
//!
//! Eight prompts among two keys, ten among six, the first two of each left out. What comes of it
//! is a [`KeyTime`], kept per device and kind of input.

use super::window::KeyTime;
use crate::base::Dice;

/// Prompts among two keys, and among six.
const PROMPTS: [usize; 2] = [8, 10];
/// The cells of the two and of the six keys.
const CELLS: [&[usize]; 2] = [&[3, 5], &[0, 1, 2, 6, 7, 8]];
/// Prompts of each kind that do not count.
const TO_GET_USED_TO: usize = 2;

/// A warm-up under way. A prompt shows one cell; the time to its key is told with
/// [`WarmUp::pressed`].
#[derive(Debug)]
pub struct WarmUp {
    prompts: Vec<(usize, usize)>,
    place: usize,
    times_ms: [Vec<u32>; 2],
}

impl WarmUp {
    /// A warm-up of a seed.
    pub fn new(seed: u64) -> Self {
        let mut dice = Dice::for_part(seed, "warm-up");
        let prompts = (0..2)
            .flat_map(|kind| std::iter::repeat_n(kind, PROMPTS[kind]))
            .map(|kind| (kind, CELLS[kind][dice.below(CELLS[kind].len())]))
            .collect();
        Self { prompts, place: 0, times_ms: [Vec::new(), Vec::new()] }
    }

    /// The prompts from now on: a cell to be found, with the cells it is among.
    pub fn prompts(&self) -> impl Iterator<Item = (usize, &'static [usize])> {
        self.prompts[self.place..].iter().map(|&(kind, cell)| (cell, CELLS[kind]))
    }

    /// The prompt of this moment; none at the end.
    pub fn prompt(&self) -> Option<(usize, &'static [usize])> {
        self.prompts().next()
    }

    /// How many prompts are over, of how many.
    pub fn progress(&self) -> (usize, usize) {
        (self.place, self.prompts.len())
    }

    /// The cell was pressed after so many milliseconds; whether it was the right one. A wrong key
    /// repeats the prompt.
    pub fn pressed(&mut self, cell: usize, ms: u32) -> bool {
        let Some(&(kind, wanted)) = self.prompts.get(self.place) else { return false };
        if cell != wanted {
            return false;
        }
        let nth = self.prompts[..self.place].iter().filter(|prompt| prompt.0 == kind).count();
        if nth >= TO_GET_USED_TO {
            self.times_ms[kind].push(ms);
        }
        self.place += 1;
        true
    }

    /// The key time, when the warm-up is over.
    pub fn key_time(&self) -> Option<KeyTime> {
        self.prompt().is_none().then(|| KeyTime::measured(&self.times_ms[0], &self.times_ms[1]))?
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_warm_up_finds_the_key_time_of_a_player_who_has_one() {
        let true_time = KeyTime { a_ms: 210.0, b_ms: 55.0 };
        let mut warm_up = WarmUp::new(4);
        let mut slips = 0;
        while let Some((cell, among)) = warm_up.prompt() {
            if slips < 3 {
                // A wrong key is not timed and does not count as found.
                slips += 1;
                warm_up.pressed((cell + 1) % 9, 10);
            }
            let (place, _) = warm_up.progress();
            // The first ones are slow: they do not count.
            let getting_used = if place < 2 { 900 } else { 0 };
            warm_up.pressed(cell, true_time.ms(among.len()) + getting_used);
        }
        let found = warm_up.key_time().unwrap();
        assert!((found.a_ms - 210.0).abs() < 2.0 && (found.b_ms - 55.0).abs() < 2.0, "{found:?}");
    }

    #[test]
    fn an_unfinished_warm_up_says_nothing() {
        assert_eq!(WarmUp::new(1).key_time(), None);
    }
}
