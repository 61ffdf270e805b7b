//! The orders in which serves come: blocked, serial, mixed and random without repeats, match-like.
//!
//! An order is a list of places among the serves of a round; which serves those are, and how long
//! the list is, is chosen by the caller. Mixed practice holds better than blocked practice
//! although it feels worse (common practice); a new serve may still begin in a block.

use crate::base::{Dice, words};

words! {
    /// In which order the serves of a round come.
    pub enum ServeOrder : "order" {
        /// One serve after the other, each in a block of its own.
        Blocked = "blocked" "blocked",
        /// Round and round in the same order.
        Serial = "serial" "serial",
        /// Random, never twice the same in a row, as often as the opponent serves them.
        Mixed = "mixed" "mixed",
        /// Random, never twice the same in a row, all equally often.
        Random = "random" "random",
        /// Two serves at a time, drawn as often as the opponent serves them.
        MatchLike = "match_like" "match-like",
    }
}

impl ServeOrder {
    /// `balls` places among `weights.len()` serves. The weights say how often each serve comes, to
    /// the mixed order, where the rarest comes too, and to the match-like one, where a serve may
    /// well come twice in a row.
    pub fn places(self, weights: &[f64], balls: usize, dice: &mut Dice) -> Vec<usize> {
        let serves = weights.len();
        if serves == 0 {
            return Vec::new();
        }
        match self {
            Self::Blocked => (0..balls).map(|ball| ball * serves / balls).collect(),
            Self::Serial => (0..balls).map(|ball| ball % serves).collect(),
            Self::Mixed => mixed(weights, balls, dice),
            Self::Random => without_repeats(&vec![balls.div_ceil(serves); serves], dice)
                .into_iter()
                .take(balls)
                .collect(),
            Self::MatchLike => {
                (0..balls).map(|ball| dice.weighted(weights).unwrap_or(ball % serves)).collect()
            }
        }
    }
}

/// Drawn one by one: none twice in a row, and none so seldom as half of an even share.
fn mixed(weights: &[f64], balls: usize, dice: &mut Dice) -> Vec<usize> {
    let floor = weights.iter().sum::<f64>() / weights.len() as f64 / 2.0;
    let mut places: Vec<usize> = Vec::new();
    for _ in 0..balls {
        let last = places.last().copied().filter(|_| weights.len() > 1);
        let weighed = |(place, weight): (usize, &f64)| {
            if Some(place) == last { 0.0 } else { weight.max(floor).max(f64::MIN_POSITIVE) }
        };
        let weights: Vec<f64> = weights.iter().enumerate().map(weighed).collect();
        places.push(dice.weighted(&weights).unwrap_or_default());
    }
    places
}

/// Every place as often as `times` says, in random order, in bags so that none is bunched, and
/// never twice the same in a row unless nothing else is left.
pub fn without_repeats(times: &[usize], dice: &mut Dice) -> Vec<usize> {
    let mut left = times.to_vec();
    let mut order: Vec<usize> = Vec::new();
    let mut bag: Vec<usize> = Vec::new();
    while left.iter().any(|&count| count > 0) || !bag.is_empty() {
        if bag.is_empty() {
            // A bag holds each serve in proportion to what is left of it, at least once.
            let least = left.iter().copied().filter(|&count| count > 0).min().unwrap_or(1);
            for (place, count) in left.iter_mut().enumerate() {
                let share = (*count / least).min(*count);
                bag.extend(std::iter::repeat_n(place, share));
                *count -= share;
            }
            dice.shuffle(&mut bag);
        }
        let last = order.last().copied();
        // The most frequent of the bag first when it could otherwise not be kept apart.
        let crowded = crowded(&bag, last);
        let pick = crowded
            .or_else(|| bag.iter().position(|&place| Some(place) != last))
            .unwrap_or_default();
        order.push(bag.remove(pick));
    }
    order
}

/// Where in the bag the serve stands that must come now to be kept apart, if there is one.
fn crowded(bag: &[usize], last: Option<usize>) -> Option<usize> {
    bag.iter().position(|&place| {
        let count = bag.iter().filter(|&&other| other == place).count();
        Some(place) != last && count * 2 > bag.len()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const EVEN: [f64; 4] = [1.0; 4];

    #[test]
    fn a_random_order_never_repeats_a_serve_and_is_fair() {
        for seed in 0..200 {
            for serves in 2..6 {
                let weights = vec![1.0; serves];
                let order = ServeOrder::Random.places(&weights, 23, &mut Dice::from_seed(seed));
                assert_eq!(order.len(), 23);
                assert!(order.windows(2).all(|pair| pair[0] != pair[1]), "{order:?}");
                let counts: Vec<_> =
                    (0..serves).map(|s| order.iter().filter(|&&p| p == s).count()).collect();
                let spread = counts.iter().max().unwrap() - counts.iter().min().unwrap();
                assert!(spread <= 1, "{counts:?}");
            }
        }
    }

    #[test]
    fn a_mixed_order_follows_the_opponent_and_leaves_no_serve_out() {
        let order = ServeOrder::Mixed.places(&[6.0, 3.0, 0.0], 3000, &mut Dice::from_seed(1));
        assert!(order.windows(2).all(|pair| pair[0] != pair[1]));
        let count = |place| order.iter().filter(|&&one| one == place).count();
        assert!(count(0) > count(1) && count(1) > count(2) && count(2) > 300, "{}", count(2));
        assert_eq!(ServeOrder::Mixed.places(&[1.0], 3, &mut Dice::from_seed(1)), [0, 0, 0]);
    }

    #[test]
    fn blocked_and_serial_are_what_they_say() {
        let mut dice = Dice::from_seed(1);
        assert_eq!(ServeOrder::Blocked.places(&EVEN, 8, &mut dice), [0, 0, 1, 1, 2, 2, 3, 3]);
        assert_eq!(ServeOrder::Serial.places(&EVEN, 6, &mut dice), [0, 1, 2, 3, 0, 1]);
    }

    #[test]
    fn a_match_like_order_follows_how_often_the_opponent_serves_what() {
        let order = ServeOrder::MatchLike.places(&[4.0, 1.0], 2000, &mut Dice::from_seed(3));
        let often = order.iter().filter(|&&place| place == 0).count();
        // 1600 expected, standard deviation 18.
        assert!((1540..=1660).contains(&often), "{often}");
        assert!(order.windows(2).any(|pair| pair[0] == pair[1]));
    }

    #[test]
    fn unequal_counts_are_kept_and_kept_apart_where_that_is_possible() {
        for seed in 0..200 {
            let order = without_repeats(&[8, 4, 4, 4, 4], &mut Dice::from_seed(seed));
            assert_eq!(order.iter().filter(|&&place| place == 0).count(), 8);
            let twice = order.windows(2).filter(|pair| pair[0] == pair[1]).count();
            assert_eq!(twice, 0, "{order:?}");
        }
        assert_eq!(without_repeats(&[3], &mut Dice::from_seed(1)), [0, 0, 0]);
    }

    #[test]
    fn no_serves_or_no_balls_is_an_empty_order() {
        for &order in ServeOrder::ALL {
            assert!(order.places(&[], 5, &mut Dice::from_seed(1)).is_empty());
            assert!(order.places(&EVEN, 0, &mut Dice::from_seed(1)).is_empty());
        }
    }
}
