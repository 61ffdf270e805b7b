//! Zero-sum games in matrix form: the row player wins `a[i][j]`, the column player loses it.
//!
//! A dense tableau simplex on the payoffs brought to 1..2. What it finds is judged from the payoffs
//! alone: [`Solution::gap`], at most 1e-9 of the payoff range in everything that is tested.
//!
//! # Source
//! Dantzig 1951 (games as linear programmes); Bland, Math. Oper. Res. 2 (1977) 103 (no cycling).

/// A matrix of payoffs to the row player.
#[derive(Clone, Debug, PartialEq)]
pub struct Matrix {
    rows: usize,
    columns: usize,
    payoffs: Vec<f64>,
}

/// A solved game: each mix guarantees the value to within `gap`.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// Value of the game to the row player.
    pub value: f64,
    /// The row player's mix.
    pub row: Vec<f64>,
    /// The column player's mix.
    pub column: Vec<f64>,
    /// What the column player's mix concedes at most, less what the row player's mix secures at
    /// least.
    pub gap: f64,
}

/// What counts as zero on the 1..2 scale.
const ZERO: f64 = 1e-12;
/// How often the simplex is run, each time from a tableau free of the rounding of the last.
const ROUNDS: usize = 2;

impl Matrix {
    /// From at least one row and column of finite payoffs.
    pub fn from_fn(rows: usize, columns: usize, payoff: impl Fn(usize, usize) -> f64) -> Self {
        let cells = (0..rows).flat_map(|i| (0..columns).map(move |j| (i, j)));
        Self { rows, columns, payoffs: cells.map(|(i, j)| payoff(i, j)).collect() }
    }

    /// Number of the row player's choices.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Payoff to the row player.
    pub fn at(&self, row: usize, column: usize) -> f64 {
        self.payoffs[row * self.columns + column]
    }

    /// What a row mix wins at least, whatever the column player does: `min_j (x'A)_j`.
    pub fn guarantee(&self, mix: &[f64]) -> f64 {
        (0..self.columns)
            .map(|j| mix.iter().enumerate().map(|(i, x)| x * self.at(i, j)).sum())
            .fold(f64::INFINITY, f64::min)
    }

    /// What a column mix concedes at most: `max_i (Ay)_i`.
    pub fn concession(&self, mix: &[f64]) -> f64 {
        (0..self.rows)
            .map(|i| mix.iter().enumerate().map(|(j, y)| y * self.at(i, j)).sum())
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Solves the game.
    pub fn solve(&self) -> Solution {
        let low = self.payoffs.iter().copied().fold(f64::INFINITY, f64::min);
        let high = self.payoffs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        // Equal payoffs have no range to scale by.
        let range = if high > low { high - low } else { 1.0 };
        let (row, column) = self.simplex(low, range);
        let (row, column) = (to_shares(row), to_shares(column));
        let (secure, concede) = (self.guarantee(&row), self.concession(&column));
        Solution { value: 0.5 * (secure + concede), row, column, gap: (concede - secure).max(0.0) }
    }

    /// `max sum y` subject to `A y <= 1`, `y >= 0`, A on the scale 1..2: y is the column player's
    /// mix,
    /// the duals are the row player's; neither sums to one yet.
    fn simplex(&self, low: f64, range: f64) -> (Vec<f64>, Vec<f64>) {
        let (m, n) = (self.rows, self.columns);
        let last = m + n;
        // Columns y, slacks, right-hand side; rows of constraints, then the objective.
        let mut fresh = vec![vec![0.0; last + 1]; m + 1];
        for (i, row) in fresh.iter_mut().enumerate().take(m) {
            for (j, cell) in row.iter_mut().enumerate().take(n) {
                *cell = (self.at(i, j) - low) / range + 1.0;
            }
            row[n + i] = 1.0;
            row[last] = 1.0;
        }
        fresh[m][..n].fill(-1.0);
        let mut tableau = Tableau { cells: fresh.clone(), basis: (n..last).collect() };
        for _ in 0..ROUNDS {
            tableau.run();
            // Rounding adds up from pivot to pivot: the same basis once more from the payoffs.
            let basis = std::mem::replace(&mut tableau.basis, (n..last).collect());
            tableau.cells.clone_from(&fresh);
            for &enter in basis.iter().filter(|variable| **variable < n) {
                let lever = |row: &usize| tableau.cells[*row][enter].abs();
                let leave = (0..m)
                    .filter(|row| tableau.basis[*row] >= n && !basis.contains(&(n + row)))
                    .max_by(|a, b| lever(a).total_cmp(&lever(b)));
                if let Some(leave) = leave {
                    tableau.pivot(leave, enter);
                }
            }
        }
        let mut column = vec![0.0; n];
        for (row, &variable) in tableau.cells.iter().zip(&tableau.basis) {
            if variable < n {
                column[variable] = row[last];
            }
        }
        (tableau.cells[m][n..last].to_vec(), column)
    }
}

struct Tableau {
    cells: Vec<Vec<f64>>,
    basis: Vec<usize>,
}

impl Tableau {
    fn run(&mut self) {
        let m = self.basis.len();
        let last = self.cells[m].len() - 1;
        for pivot in 0..60 * last {
            let costs = self.cells[m][..last].iter().enumerate().filter(|(_, cost)| **cost < -ZERO);
            // The most promising column; the first one (Bland) after so many that it may be a
            // cycle.
            let enter = if pivot < 4 * last {
                costs.min_by(|a, b| a.1.total_cmp(b.1))
            } else {
                costs.min_by_key(|(column, _)| *column)
            };
            let Some((enter, _)) = enter else { return };
            let ratio = |i: usize| self.cells[i][last].max(0.0) / self.cells[i][enter];
            let tightest = (0..m).filter(|i| self.cells[*i][enter] > ZERO).min_by(|a, b| {
                ratio(*a).total_cmp(&ratio(*b)).then(self.basis[*a].cmp(&self.basis[*b]))
            });
            let Some(leave) = tightest else { return };
            self.pivot(leave, enter);
        }
    }

    fn pivot(&mut self, leave: usize, enter: usize) {
        let lever = self.cells[leave][enter];
        self.cells[leave].iter_mut().for_each(|cell| *cell /= lever);
        let pivot_row = self.cells[leave].clone();
        for (_, row) in self.cells.iter_mut().enumerate().filter(|(i, _)| *i != leave) {
            let factor = row[enter];
            row.iter_mut().zip(&pivot_row).for_each(|(cell, pivot)| *cell -= factor * pivot);
        }
        self.basis[leave] = enter;
    }
}

/// Removes rounding below zero and makes the parts sum to one.
fn to_shares(mut mix: Vec<f64>) -> Vec<f64> {
    let sum: f64 = mix.iter().map(|part| part.max(0.0)).sum();
    for part in &mut mix {
        *part = part.max(0.0) / sum;
    }
    mix
}
#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_certificate_is_computed_from_the_payoffs_not_from_the_tableau() {
        let game = Matrix::from_fn(2, 2, |i, j| [[3.0, 2.0], [0.0, 4.0]][i][j]);
        assert!((game.guarantee(&[0.8, 0.2]) - 2.4).abs() < 1e-15);
        assert!(game.guarantee(&[0.5, 0.5]) < 2.4);
        assert!((game.concession(&[0.4, 0.6]) - 2.4).abs() < 1e-15);
    }
}
