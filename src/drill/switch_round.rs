//! The balls of a switch round: gate, before, the call, after, and back if wanted.
//!
//! Gate: each serve once. Before: 18 to 24 balls under the plan, each switched serve six times.
//! After: at least 24 balls, a switched serve at random among the first three, then a third of
//! them. Back: 18 balls. Some calls say that everything stays as it is, so that a call alone
//! gives nothing away.

use super::order::without_repeats;
use super::script::{Call, RoundPart, ScriptBall};
use crate::base::Dice;

/// Balls of each switched serve before the call, and after switching back.
const SWITCHED_BEFORE: usize = 6;
/// Kept balls before the call, when there is room.
const KEPT_BEFORE: usize = 12;
/// Fewest and most balls before the call.
const BEFORE: (usize, usize) = (18, 24);
/// Fewest balls after the call.
const AFTER: usize = 24;
/// Within so many balls after the call a switched serve comes.
const SOON: usize = 3;

/// The balls of a round in which `is_switched` says which serves change. There must be at least
/// one switched and one kept serve; else there are no balls.
pub(super) fn balls(is_switched: &[bool], has_back: bool, dice: &mut Dice) -> Vec<ScriptBall> {
    let places = |switched: bool| -> Vec<usize> {
        (0..is_switched.len()).filter(|&place| is_switched[place] == switched).collect()
    };
    let (switched, kept) = (places(true), places(false));
    if switched.is_empty() || kept.is_empty() {
        return Vec::new();
    }
    let six_each = SWITCHED_BEFORE * switched.len();
    let before = (six_each + KEPT_BEFORE).clamp(BEFORE.0, BEFORE.1.max(six_each + SWITCHED_BEFORE));
    let after = AFTER.max(3 * SWITCHED_BEFORE * switched.len());

    let gate = without_repeats(&vec![1; is_switched.len()], dice);
    let first = without_repeats(&times(&switched, six_each, &kept, before - six_each), dice);
    let second = after_call(&switched, &kept, after, dice);
    let (stays_before, stays_after) = [(true, false), (false, true), (true, true)][dice.below(3)];

    let part = |serves: Vec<usize>, part: RoundPart, calls: &[(usize, Call)]| {
        let mut balls: Vec<ScriptBall> = serves.into_iter().map(ScriptBall::plain).collect();
        for ball in &mut balls {
            ball.part = part;
        }
        for &(place, call) in calls {
            (balls[place].call, balls[place].switch) = (Some(call), Some(0));
        }
        balls
    };
    let mut balls = part(gate, RoundPart::Gate, &[]);
    let stay = stays_before.then(|| (5 + dice.below(before - 9), Call::Stay));
    balls.extend(part(first, RoundPart::Before, stay.as_slice()));
    let mut calls = vec![(0, Call::Switch)];
    calls.extend(stays_after.then(|| (9 + dice.below(after - 13), Call::Stay)));
    balls.extend(part(second, RoundPart::After, &calls));
    if has_back {
        let third = without_repeats(&times(&switched, six_each, &kept, KEPT_BEFORE), dice);
        balls.extend(part(third, RoundPart::Back, &[(0, Call::Back)]));
    }
    balls
}

/// How often each serve comes: so many switched and so many kept balls, shared out evenly.
fn times(
    switched: &[usize],
    switched_balls: usize,
    kept: &[usize],
    kept_balls: usize,
) -> Vec<usize> {
    let mut times = vec![0; switched.len() + kept.len()];
    for (group, balls) in [(switched, switched_balls), (kept, kept_balls)] {
        for (nth, &place) in group.iter().enumerate() {
            times[place] = balls / group.len() + usize::from(nth < balls % group.len());
        }
    }
    times
}

/// The serves after the call: a switched one at random among the first three, a third in all.
fn after_call(switched: &[usize], kept: &[usize], balls: usize, dice: &mut Dice) -> Vec<usize> {
    let soon = dice.below(SOON);
    let mut left = times(switched, balls / 3, kept, balls - balls / 3);
    // Among very many kept serves some come no more after the call.
    let kept: Vec<usize> = kept.iter().copied().filter(|&place| left[place] > 0).collect();
    let first_kept = dice.below(kept.len());
    let mut order: Vec<usize> = kept.iter().copied().cycle().skip(first_kept).take(soon).collect();
    let first_switched = switched[dice.below(switched.len())];
    order.push(first_switched);
    for &place in &order {
        left[place] -= 1;
    }
    // Tried again while the seam would show the same serve twice; a few tries find one if there
    // is one.
    let mut rest = without_repeats(&left, dice);
    for _ in 0..20 {
        if rest.first() != Some(&first_switched) {
            break;
        }
        rest = without_repeats(&left, dice);
    }
    order.extend(rest);
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(planned: &[ScriptBall], part: RoundPart) -> Vec<&ScriptBall> {
        planned.iter().filter(|ball| ball.part == part).collect()
    }

    #[test]
    fn a_round_has_the_balls_the_design_asks_for() {
        for seed in 0..300 {
            for serves in 2..=6 {
                let mut is_switched = vec![false; serves];
                is_switched[usize::try_from(seed).unwrap() % serves] = true;
                let planned = balls(&is_switched, true, &mut Dice::from_seed(seed));
                let switched = |balls: &[&ScriptBall]| {
                    balls.iter().filter(|ball| is_switched[ball.serve]).count()
                };
                let gate = part(&planned, RoundPart::Gate);
                assert_eq!(gate.len(), serves);
                let before = part(&planned, RoundPart::Before);
                assert!((18..=24).contains(&before.len()), "{}", before.len());
                assert!(switched(&before) >= 6);
                let after = part(&planned, RoundPart::After);
                assert!(after.len() >= 24);
                assert_eq!(switched(&after), after.len() / 3);
                assert!(after[..3].iter().any(|ball| is_switched[ball.serve]));
                assert_eq!(after[0].call, Some(Call::Switch));
                let back = part(&planned, RoundPart::Back);
                assert!(switched(&back) >= 6 && back.len() - switched(&back) >= 6);
                assert_eq!(back[0].call, Some(Call::Back));
                assert!(planned.iter().any(|ball| ball.call == Some(Call::Stay)));
            }
        }
    }

    /// Eighteen planned serves and a switch ended the program.
    #[test]
    fn a_round_of_very_many_serves_has_as_many_balls_as_its_parts() {
        for serves in [17, 18, 20, 60] {
            for (seed, switched) in [(1, 1), (2, 1), (3, 2), (4, serves - 1)] {
                let is_switched: Vec<bool> = (0..serves).map(|place| place < switched).collect();
                let planned = balls(&is_switched, true, &mut Dice::from_seed(seed));
                assert_eq!(part(&planned, RoundPart::Gate).len(), serves);
                assert_eq!(part(&planned, RoundPart::After).len(), 24.max(18 * switched));
            }
        }
    }

    #[test]
    fn the_first_switched_serve_comes_at_every_one_of_the_first_three_places() {
        let mut seen = [0; 3];
        for seed in 0..300 {
            let planned = balls(&[true, false, false], false, &mut Dice::from_seed(seed));
            let after = part(&planned, RoundPart::After);
            seen[after.iter().position(|ball| ball.serve == 0).unwrap()] += 1;
        }
        assert!(seen.iter().all(|&count| count > 60), "{seen:?}");
    }

    #[test]
    fn without_a_serve_that_is_kept_there_is_no_round() {
        assert!(balls(&[true, true], true, &mut Dice::from_seed(1)).is_empty());
        assert!(balls(&[false, false], true, &mut Dice::from_seed(1)).is_empty());
    }
}
