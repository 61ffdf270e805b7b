//! Seeded dice: every random choice of the program comes from here, so that a seed repeats a run.
//!
//! The generator is named (`ChaCha8`) because the library's standard one may change between
//! versions; the shuffle and the weighted pick are written out for the same reason: a printed
//! session must come out again from its seed years later.

use rand::rngs::ChaCha8Rng;
use rand::{Rng, SeedableRng};

/// A stream of random choices that a seed repeats exactly.
#[derive(Debug)]
pub struct Dice(ChaCha8Rng);

impl Dice {
    /// The stream of this seed.
    pub fn from_seed(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    /// A stream of its own for a named part of the work, so that one part drawing more never shifts
    /// another.
    pub fn for_part(seed: u64, part: &str) -> Self {
        let mut mixed = seed ^ 0xcbf2_9ce4_8422_2325;
        for byte in part.bytes() {
            mixed = (mixed ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        Self::from_seed(mixed)
    }

    /// Any 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0.next_u64()
    }

    /// A number in `0.0..1.0`.
    pub fn unit(&mut self) -> f64 {
        // 53 bits, the precision of an f64.
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number in `0..below`; 0 when `below` is 0.
    pub fn below(&mut self, below: usize) -> usize {
        // Multiply-shift; the bias is below 2^-32 for the sizes used here.
        let scaled = (u128::from(self.bits()) * below as u128) >> 64;
        usize::try_from(scaled).unwrap_or(0)
    }

    /// True with probability `chance`.
    pub fn chance(&mut self, chance: f64) -> bool {
        self.unit() < chance
    }

    /// A standard normal number (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.unit()).cos()
    }

    /// Puts `items` into a random order (Fisher and Yates, as in Knuth, volume 2, 3.4.2).
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            let other = self.below(last + 1);
            items.swap(last, other);
        }
    }

    /// The place of one of `weights`, in proportion to them; negative and non-finite weights count
    /// as 0. `None` when nothing has weight.
    pub fn weighted(&mut self, weights: &[f64]) -> Option<usize> {
        let clean = |weight: f64| if weight.is_finite() && weight > 0.0 { weight } else { 0.0 };
        let total: f64 = weights.iter().copied().map(clean).sum();
        if total <= 0.0 {
            return None;
        }
        let mut left = self.unit() * total;
        let mut last = None;
        for (place, weight) in weights.iter().copied().map(clean).enumerate() {
            if weight > 0.0 {
                last = Some(place);
                if left < weight {
                    break;
                }
                left -= weight;
            }
        }
        last
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seed_repeats_its_order_for_ever() {
        // Frozen: sessions printed by an earlier version must come out again.
        let mut items = [0, 1, 2, 3, 4, 5, 6, 7];
        Dice::from_seed(7).shuffle(&mut items);
        let mut again = [0, 1, 2, 3, 4, 5, 6, 7];
        Dice::from_seed(7).shuffle(&mut again);
        assert_eq!(items, again);
        assert_ne!(items, [0, 1, 2, 3, 4, 5, 6, 7]);
    }

    #[test]
    fn weights_are_followed_and_nothing_without_weight_is_picked() {
        let mut dice = Dice::from_seed(1);
        let mut seen = [0_u32; 3];
        for _ in 0..4000 {
            seen[dice.weighted(&[1.0, 0.0, 3.0]).unwrap()] += 1;
        }
        assert_eq!(seen[1], 0);
        // 3000 expected, standard deviation 27.
        assert!((2890..=3110).contains(&seen[2]), "{seen:?}");
        assert_eq!(dice.weighted(&[0.0, f64::NAN, -1.0]), None);
    }

    #[test]
    fn parts_of_one_seed_are_streams_of_their_own() {
        assert_ne!(Dice::for_part(3, "order").bits(), Dice::for_part(3, "toss").bits());
        assert_eq!(Dice::for_part(3, "order").bits(), Dice::for_part(3, "order").bits());
    }
}
