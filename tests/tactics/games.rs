//! Matrix games by the thousand: certificates always, another solver as witness.

#![expect(clippy::unwrap_used, reason = "a game without a solution is a failed test")]

use microlp::{ComparisonOp, OptimizationDirection, Problem};
use proptest::prelude::*;
use rand::rngs::ChaCha8Rng;
use rand::{RngExt, SeedableRng};
use secondball::tactics::duel::ReceiveRates;
use secondball::tactics::mix::{MOST_TOTAL, Ratio};

use super::duels::{Duel, matrix};

/// Value of the game by the linear programme of an independent solver, payoffs brought above zero.
fn witness(rows: &[Vec<f64>]) -> f64 {
    let low = rows.iter().flatten().copied().fold(f64::INFINITY, f64::min);
    let mut problem = Problem::new(OptimizationDirection::Maximize);
    let value = problem.add_var(1.0, (0.0, f64::INFINITY));
    let mix: Vec<_> = rows.iter().map(|_| problem.add_var(0.0, (0.0, 1.0))).collect();
    let whole: Vec<_> = mix.iter().map(|part| (*part, 1.0)).collect();
    problem.add_constraint(&whole, ComparisonOp::Eq, 1.0);
    for column in 0..rows[0].len() {
        let mut terms: Vec<_> =
            mix.iter().zip(rows).map(|(part, row)| (*part, row[column] - low)).collect();
        terms.push((value, -1.0));
        problem.add_constraint(&terms, ComparisonOp::Ge, 0.0);
    }
    problem.solve().unwrap().into_solution().unwrap().objective() + low
}

/// Gap of a solution, from the payoffs alone, as a part of their range.
fn gap(rows: &[Vec<f64>]) -> f64 {
    let game = matrix(rows);
    let solution = game.solve();
    for mix in [&solution.row, &solution.column] {
        assert!(mix.iter().all(|part| *part >= 0.0));
        assert!((mix.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    }
    let all = || rows.iter().flatten().copied();
    let range = all().fold(f64::NEG_INFINITY, f64::max) - all().fold(f64::INFINITY, f64::min);
    (game.concession(&solution.column) - game.guarantee(&solution.row)) / range.max(1e-300)
}

#[test]
fn twenty_thousand_games_are_solved_with_a_certificate() {
    let mut dice = ChaCha8Rng::seed_from_u64(20_000);
    let mut worst = 0.0_f64;
    for number in 0..20_000 {
        let (m, n) = (dice.random_range(1..=12), dice.random_range(1..=12));
        // Smooth payoffs, few distinct whole numbers (full of ties), and repeated rows and columns.
        let kind = number % 4;
        let mut rows: Vec<Vec<f64>> = (0..m)
            .map(|_| {
                (0..n)
                    .map(|_| match kind {
                        0 => dice.random_range(0.0..1.0),
                        1 => f64::from(dice.random_range(-2..=2)),
                        2 => f64::from(dice.random_range(0..=100)) / 100.0,
                        _ => f64::from(dice.random_range(0..=1)),
                    })
                    .collect()
            })
            .collect();
        if kind == 2 && m > 2 {
            rows[m - 1] = rows[0].clone();
            for row in &mut rows {
                row[n - 1] = row[0];
            }
        }
        worst = worst.max(gap(&rows));
    }
    assert!(worst <= 1e-9, "worst gap {worst:e}");
}

#[test]
fn payoffs_of_very_different_size_are_still_certified() {
    let mut dice = ChaCha8Rng::seed_from_u64(77);
    for _ in 0..2000 {
        let n = dice.random_range(2..=8);
        let rows: Vec<Vec<f64>> = (0..n)
            .map(|_| (0..n).map(|_| 10_f64.powi(dice.random_range(-8..=4))).collect())
            .collect();
        assert!(gap(&rows) <= 1e-9);
    }
}

#[test]
fn four_thousand_duels_agree_with_their_matrix() {
    let mut dice = ChaCha8Rng::seed_from_u64(4000);
    for number in 0..4000 {
        let n = dice.random_range(1..=8);
        let sides: Vec<ReceiveRates> = (0..n)
            .map(|_| {
                let unread = dice.random_range(0.2..0.8);
                let flat = number % 5 == 0 && dice.random_bool(0.3);
                let drop = if flat { 0.0 } else { dice.random_range(0.01..unread) };
                ReceiveRates { unread, drop }
            })
            .collect();
        let duel = Duel::new(sides);
        let alike: Vec<Vec<f64>> =
            (0..n).map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect()).collect();
        let game = duel.matrix(&alike);
        let balance = duel.balance();
        let solution = game.solve();
        assert!((balance.value - solution.value).abs() < 1e-11);
        assert!((game.guarantee(&balance.mix) - balance.value).abs() < 1e-12);
        assert!((game.concession(&balance.anticipation) - balance.value).abs() < 1e-12);
        assert!((duel.guarantee(&balance.mix) - balance.value).abs() < 1e-12);
        // Nobody does better against a server who learns from what has come.
        let habit = duel.against_habit();
        assert!((habit.mix.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        let against = |mix: &[f64]| -> f64 {
            mix.iter().zip(duel.sides()).map(|(x, s)| x * (s.unread - s.drop * x)).sum()
        };
        assert!(habit.value + 1e-12 >= against(&balance.mix));
        assert!(habit.worst <= balance.value + 1e-12);
    }
}

#[test]
fn a_small_ratio_never_promises_more_than_the_value() {
    let mut dice = ChaCha8Rng::seed_from_u64(5);
    for _ in 0..300 {
        let n = dice.random_range(1..=5);
        let rows: Vec<Vec<f64>> =
            (0..n).map(|_| (0..n).map(|_| dice.random_range(0.2..0.8)).collect()).collect();
        let game = matrix(&rows);
        let value = game.solve().value;
        let ratio = Ratio::best(&game, value, &[], MOST_TOTAL);
        assert!(ratio.guarantee <= value + 1e-12);
        assert!(ratio.total() >= 1 && ratio.total() <= MOST_TOTAL);
        assert!((ratio.cost - (value - ratio.guarantee)).abs() < 1e-12);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn another_solver_finds_the_same_value(
        rows in (1..8_usize, 1..8_usize).prop_flat_map(|(m, n)| {
            prop::collection::vec(prop::collection::vec(0.0..1.0_f64, n), m)
        })
    ) {
        let value = matrix(&rows).solve().value;
        prop_assert!((value - witness(&rows)).abs() < 1e-7);
    }

    #[test]
    fn another_solver_finds_the_same_value_of_games_full_of_ties(
        rows in (1..6_usize, 1..6_usize).prop_flat_map(|(m, n)| {
            prop::collection::vec(prop::collection::vec((-2..3_i32).prop_map(f64::from), n), m)
        })
    ) {
        let value = matrix(&rows).solve().value;
        prop_assert!((value - witness(&rows)).abs() < 1e-7);
    }
}
