//! The belief against an independent sum over every hidden story, and its laws.

use std::collections::BTreeMap;

use secondball::tactics::adaptation::{Adaptation, AnswerTo, Card, Exposure};

/// Kinds of opponent as the specification lists them: chance to read a ball (none never), bad
/// spells, weight.
const KINDS: [(f64, bool, f64); 5] = [
    (0.0, false, 0.30),
    (0.0, true, 0.10),
    (0.03, false, 0.20),
    (0.08, false, 0.20),
    (0.16, false, 0.20),
];
/// How often "they waited" is noted when read and when not, as chosen, with the weight.
const NOTES: [(Option<[f64; 2]>, f64); 3] =
    [(Some([0.75, 0.25]), 0.20), (Some([0.70, 0.10]), 0.15), (None, 0.65)];
const DROPS: [(f64, f64); 3] = [(0.12, 0.3), (0.22, 0.4), (0.32, 0.3)];

/// A ball: with which of two answers, won, waiting noted.
type Ball = (usize, bool, Option<bool>);

/// For one answer in one world: every (rate now, unread rate, read now) with its weight, summed over
/// all ways the hidden flag can have gone.
fn stories(
    mean: f64,
    kind: (f64, bool, f64),
    noted: Option<[f64; 2]>,
    of: usize,
    balls: &[Ball],
) -> Vec<(f64, f64, bool, f64)> {
    let (reads, spells, _) = kind;
    let start = match kind {
        (_, true, _) => 0.06 / 0.21,
        (h, false, _) if h > 0.0 => 0.07,
        _ => 0.0,
    };
    let rates: Vec<f64> = (0..13).map(|step| 0.14 + 0.06 * f64::from(step)).collect();
    let prior = |u: f64| u.powf(24.0 * mean - 1.0) * (1.0 - u).powf(24.0 * (1.0 - mean) - 1.0);
    let whole: f64 = rates.iter().map(|u| prior(*u)).sum();
    let mut all = Vec::new();
    for u in rates {
        for (drop, of_drop) in DROPS {
            let when_read = (u - if spells { 0.20 } else { drop }).max(0.02);
            // Bit i: the flag before ball i; the last bit: now.
            for path in 0..1_u32 << (balls.len() + 1) {
                let flag = |at: usize| path >> at & 1 == 1;
                let mut weight =
                    prior(u) / whole * of_drop * if flag(0) { start } else { 1.0 - start };
                for (at, (with, won, waiting)) in balls.iter().enumerate() {
                    if *with == of {
                        let rate = if flag(at) { when_read } else { u };
                        weight *= if *won { rate } else { 1.0 - rate };
                        if let (Some(waiting), Some(yes)) = (waiting, noted) {
                            let yes = yes[usize::from(!flag(at) || spells)];
                            weight *= if *waiting { yes } else { 1.0 - yes };
                        }
                    }
                    let to_read = if spells {
                        0.06
                    } else if *with == of {
                        reads
                    } else {
                        0.0
                    };
                    let to_free = if spells {
                        0.15
                    } else if *with == of {
                        0.0
                    } else {
                        reads / 2.0
                    };
                    weight *= match (flag(at), flag(at + 1)) {
                        (false, true) => to_read,
                        (false, false) => 1.0 - to_read,
                        (true, false) => to_free,
                        (true, true) => 1.0 - to_free,
                    };
                }
                let read = flag(balls.len());
                all.push((if read { when_read } else { u }, u, read, weight));
            }
        }
    }
    all
}

/// How likely idle notes are as a whole: half "they follow the score", half "at random".
fn idle(balls: &[Ball]) -> f64 {
    let noted = || balls.iter().filter_map(|(_, won, waiting)| Some((*won, (*waiting)?)));
    let sequence = |start: &dyn Fn(bool) -> (f64, f64), is_split: bool| {
        let (mut likely, mut yes, mut seen) = (1.0, [0.0; 2], [0.0; 2]);
        for (won, waiting) in noted() {
            let group = usize::from(won && is_split);
            let (first, all) = start(won);
            let chance = (first + yes[group]) / (all + seen[group]);
            likely *= if waiting { chance } else { 1.0 - chance };
            yes[group] += f64::from(u8::from(waiting));
            seen[group] += 1.0;
        }
        likely
    };
    0.5 * sequence(&|won| if won { (1.5, 6.0) } else { (4.0, 6.0) }, true)
        + 0.5 * sequence(&|_| (1.0, 2.0), false)
}

/// Read now, what both win now, and how likely the second is better, over every story.
fn summed(mean: f64, balls: &[Ball]) -> (f64, [f64; 2], f64) {
    let (mut total, mut read, mut now, mut better) = (0.0, 0.0, [0.0; 2], 0.0);
    for kind in KINDS {
        for (noted, of_notes) in NOTES {
            let both = [0, 1].map(|of| stories(mean, kind, noted, of, balls));
            let sums = [0, 1].map(|of| both[of].iter().map(|story| story.3).sum::<f64>());
            let world = kind.2 * of_notes * if noted.is_some() { 1.0 } else { idle(balls) };
            let weight = world * sums[0] * sums[1];
            total += weight;
            if kind.0 > 0.0 {
                let flagged: f64 = both[0].iter().filter(|s| s.2).map(|s| s.3).sum();
                read += weight * flagged / sums[0];
            }
            for of in 0..2 {
                let won: f64 = both[of].iter().map(|story| story.0 * story.3).sum();
                now[of] += weight * won / sums[of];
            }
            // Rates are few: gather equal ones before comparing all with all.
            let gathered = [0, 1].map(|of| {
                let mut rates: BTreeMap<i64, f64> = BTreeMap::default();
                for (rate, free, _, weight) in &both[of] {
                    let value = if kind.1 { free } else { rate };
                    *rates.entry((value * 1e6).round() as i64).or_default() += weight / sums[of];
                }
                rates
            });
            for (second, its) in &gathered[1] {
                for (first, others) in &gathered[0] {
                    let share = match second.cmp(first) {
                        std::cmp::Ordering::Greater => 1.0,
                        std::cmp::Ordering::Equal => 0.5,
                        std::cmp::Ordering::Less => 0.0,
                    };
                    better += weight * its * others * share;
                }
            }
        }
    }
    (read / total, now.map(|of| of / total), better / total)
}

fn two_answers(mean: f64) -> Adaptation {
    Adaptation::new(vec![AnswerTo { serve: 0, mean }; 2])
}

/// The specification's formulas are forward recursions; here each hidden path is written out and
/// weighed alone, which is another computation of the same model.
#[test]
fn the_belief_is_the_sum_over_every_hidden_story() {
    let games: [(f64, &[Ball]); 3] = [
        (
            0.48,
            &[
                (0, false, None),
                (0, false, None),
                (1, true, None),
                (1, false, None),
                (0, true, None),
            ],
        ),
        (
            0.52,
            &[
                (0, false, Some(true)),
                (0, true, Some(false)),
                (0, false, Some(true)),
                (1, false, Some(true)),
            ],
        ),
        (
            0.44,
            &[
                (1, true, Some(true)),
                (0, false, None),
                (0, true, Some(true)),
                (0, false, Some(false)),
            ],
        ),
    ];
    for (mean, balls) in games {
        let mut belief = two_answers(mean);
        for (with, won, waiting) in balls {
            belief.see(*with, Exposure { won: *won, waiting: *waiting });
            belief.let_go_of_others(*with);
        }
        let (got, (read, now, better)) = (belief.outlook(0, 1), summed(mean, balls));
        for (got, wanted) in [
            (got.read, read),
            (got.now[0], now[0]),
            (got.now[1], now[1]),
            (got.other_better, better),
        ] {
            assert!((got - wanted).abs() < 1e-9, "{got} instead of {wanted} after {balls:?}");
        }
    }
}

#[test]
fn nothing_stays_read_from_match_to_match_and_rates_fade() {
    let mut belief = two_answers(0.48);
    let fresh = belief.outlook(0, 1);
    for _ in 0..12 {
        belief.see(0, Exposure { won: false, waiting: Some(true) });
    }
    let after = belief.outlook(0, 1);
    let mut next = belief.clone();
    for at in 0..2 {
        next.next_match(at, 1.0, true);
    }
    let begun = next.outlook(0, 1);
    assert!(after.read > 0.6 && begun.read < 0.08, "{after:?} {begun:?}");
    assert!(begun.now[0] < fresh.now[0] && begun.now[0] > after.now[0]);
    for at in 0..2 {
        belief.next_match(at, 0.5, true);
    }
    assert!(belief.outlook(0, 1).now[0] > begun.now[0]);
}

#[test]
fn matches_without_an_answer_pass_at_once_as_one_after_the_other() {
    let mut step_by_step = two_answers(0.44);
    for won in [false, true, false, false] {
        step_by_step.see(0, Exposure { won, waiting: None });
    }
    let mut at_once = step_by_step.clone();
    for _ in 0..3 {
        step_by_step.next_match(0, 0.8, false);
    }
    at_once.next_match(0, 0.8 * 0.8 * 0.8, false);
    let [one, other] = [step_by_step, at_once].map(|belief| belief.outlook(0, 1));
    assert!((one.read - other.read).abs() < 1e-12, "{one:?} {other:?}");
    assert!((one.now[0] - other.now[0]).abs() < 1e-12, "{one:?} {other:?}");
}

#[test]
fn notes_that_only_follow_the_score_soon_say_nothing() {
    // Sixteen balls, half of them lost; "they waited" after every lost one, or on their own.
    let read = |waiting: fn(u32) -> bool| {
        let mut belief = two_answers(0.48);
        for ball in 0..16 {
            belief.see(0, Exposure { won: ball % 2 == 0, waiting: Some(waiting(ball)) });
        }
        belief.outlook(0, 1).read
    };
    let (with_the_score, late) = (read(|ball| ball % 2 == 1), read(|ball| ball >= 8));
    assert!(late > with_the_score + 0.1, "{late} {with_the_score}");
}

#[test]
fn the_card_asks_for_more_lost_balls_the_better_the_answer_has_been() {
    let after = |won: u32, lost: u32| {
        let mut belief = two_answers(0.48);
        belief.hear(0, f64::from(won), f64::from(lost));
        belief.card(0, 1, false)
    };
    let even = Card { starts_with_other: false, change_after: Some(2), back_after: Some(2) };
    assert_eq!(after(0, 0), even);
    let wait = |card: Card| card.change_after.unwrap_or(9);
    assert!(wait(after(9, 3)) > 2, "{:?}", after(9, 3));
    assert!(wait(after(20, 4)) >= wait(after(9, 3)));
    assert_eq!(after(60, 5).change_after, None);
}
