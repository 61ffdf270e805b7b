//! Zero-sum games in matrix form: the row player wins `a[i][j]`, the column player loses it.
//!
//! A dense tableau simplex on the payoffs brought to 1..2, with Bland's rule once a pivot stalls, then the
//! two mixes are solved again on the final support. Nothing is believed until the certificate holds:
//! the best reply to each mix differs from the other's guarantee by at most 1e-9 of the payoff range.
//!
//! # Source
//! Dantzig 1951 (games as linear programmes); Bland, Math. Oper. Res. 2 (1977) 103 (no cycling).

use crate::tactics::fault::TacticsError;

/// The gap accepted, as a part of the payoff range.
pub const CERTIFICATE: f64 = 1e-9;
/// How the simplex is run, in turn until a certificate holds: what counts as zero on the 1..2 scale, and
/// after how many pivots without progress Bland's rule takes over.
///
/// The first is enough for payoffs of one size; the others are for payoffs many powers of ten apart.
const ATTEMPTS: [Attempt; 4] = [
    Attempt { zero: 1e-11, patience: 2 },
    Attempt { zero: 1e-13, patience: 2 },
    Attempt { zero: 1e-13, patience: 0 },
    Attempt { zero: 1e-9, patience: 2 },
];

#[derive(Clone, Copy)]
struct Attempt {
    zero: f64,
    patience: u32,
}

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
    /// What the column player's mix concedes at most, less what the row player's mix secures at least.
    pub gap: f64,
}

impl Matrix {
    /// From rows of equal length.
    ///
    /// # Errors
    /// No rows, ragged rows, or a payoff that is not finite.
    pub fn from_rows(rows: &[Vec<f64>]) -> Result<Self, TacticsError> {
        let columns = rows.first().map_or(0, Vec::len);
        if columns == 0 {
            return Err(TacticsError::Length { what: "rows", wanted: 1, given: 0 });
        }
        for row in rows {
            if row.len() != columns {
                return Err(TacticsError::Length {
                    what: "row",
                    wanted: columns,
                    given: row.len(),
                });
            }
            if let Some(bad) = row.iter().find(|payoff| payoff.is_nan() || payoff.abs() > 1e12) {
                let (least, most) = (-1e12, 1e12);
                return Err(TacticsError::OutOfRange { what: "payoff", value: *bad, least, most });
            }
        }
        Ok(Self { rows: rows.len(), columns, payoffs: rows.concat() })
    }

    /// Number of the row player's choices.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Number of the column player's choices.
    pub fn columns(&self) -> usize {
        self.columns
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
    ///
    /// # Errors
    /// When no certificate better than 1e-9 of the payoff range is reached.
    pub fn solve(&self) -> Result<Solution, TacticsError> {
        let low = self.payoffs.iter().copied().fold(f64::INFINITY, f64::min);
        let high = self.payoffs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let range = high - low;
        if range == 0.0 {
            return Ok(self.certified(corner(self.rows), corner(self.columns)));
        }
        let mut best: Option<Solution> = None;
        for attempt in ATTEMPTS {
            let mut tableau = Tableau::new(self, low, range, attempt);
            tableau.run();
            let mut found = vec![(tableau.row_mix(), tableau.column_mix())];
            found.extend(tableau.refined(self));
            for (row, column) in found {
                let solution = self.certified(row, column);
                if best.as_ref().is_none_or(|known| solution.gap < known.gap) {
                    best = Some(solution);
                }
            }
            if best.as_ref().is_some_and(|known| known.gap <= CERTIFICATE * range) {
                break;
            }
        }
        let best = best.ok_or(TacticsError::NoCertificate { gap: 1.0 })?;
        if best.gap > CERTIFICATE * range {
            return Err(TacticsError::NoCertificate { gap: best.gap / range });
        }
        Ok(best)
    }

    fn certified(&self, row: Vec<f64>, column: Vec<f64>) -> Solution {
        let (secure, concede) = (self.guarantee(&row), self.concession(&column));
        Solution { value: 0.5 * (secure + concede), row, column, gap: (concede - secure).max(0.0) }
    }
}

fn corner(n: usize) -> Vec<f64> {
    let mut mix = vec![0.0; n];
    mix[0] = 1.0;
    mix
}

/// Removes rounding below zero and makes the parts sum to one.
fn cleaned(mut mix: Vec<f64>) -> Vec<f64> {
    for part in &mut mix {
        *part = part.max(0.0);
    }
    let sum: f64 = mix.iter().sum();
    if sum > 0.0 {
        for part in &mut mix {
            *part /= sum;
        }
        mix
    } else {
        corner(mix.len())
    }
}

/// `max sum y` subject to `A y <= 1`, `y >= 0`, A on the scale 1..2; the duals are the row player's mix.
struct Tableau {
    rows: usize,
    columns: usize,
    /// Rows of constraints, then the objective; columns y, slacks, right-hand side.
    cells: Vec<Vec<f64>>,
    basis: Vec<usize>,
    attempt: Attempt,
}

impl Tableau {
    fn new(game: &Matrix, low: f64, range: f64, attempt: Attempt) -> Self {
        let (m, n) = (game.rows, game.columns);
        let mut cells = vec![vec![0.0; n + m + 1]; m + 1];
        for (i, row) in cells.iter_mut().enumerate().take(m) {
            for (j, cell) in row.iter_mut().enumerate().take(n) {
                *cell = (game.at(i, j) - low) / range + 1.0;
            }
            row[n + i] = 1.0;
            row[n + m] = 1.0;
        }
        for cost in cells[m].iter_mut().take(n) {
            *cost = -1.0;
        }
        Self { rows: m, columns: n, cells, basis: (n..n + m).collect(), attempt }
    }

    fn run(&mut self) {
        let most_pivots = 60 * (self.rows + self.columns);
        let mut stalled = 0;
        for _ in 0..most_pivots {
            let Some(enter) = self.entering(stalled > self.attempt.patience) else { return };
            let Some(leave) = self.leaving(enter) else { return };
            let before = self.objective();
            self.pivot(leave, enter);
            stalled = if self.objective() > before + self.attempt.zero { 0 } else { stalled + 1 };
        }
    }

    fn objective(&self) -> f64 {
        self.cells[self.rows][self.rows + self.columns]
    }

    /// The most promising column, or after a stall the first one (Bland).
    fn entering(&self, first: bool) -> Option<usize> {
        let costs = &self.cells[self.rows][..self.rows + self.columns];
        if first {
            return costs.iter().position(|cost| *cost < -self.attempt.zero);
        }
        let (column, cost) = costs.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1))?;
        (*cost < -self.attempt.zero).then_some(column)
    }

    /// The tightest row; among equals the one whose basic variable comes first (Bland).
    fn leaving(&self, enter: usize) -> Option<usize> {
        let last = self.rows + self.columns;
        let mut best: Option<(usize, f64)> = None;
        for i in 0..self.rows {
            let lever = self.cells[i][enter];
            if lever <= self.attempt.zero {
                continue;
            }
            let ratio = self.cells[i][last].max(0.0) / lever;
            let better = best.is_none_or(|(row, least)| {
                ratio < least || (ratio == least && self.basis[i] < self.basis[row])
            });
            if better {
                best = Some((i, ratio));
            }
        }
        best.map(|(row, _)| row)
    }

    fn pivot(&mut self, leave: usize, enter: usize) {
        let lever = self.cells[leave][enter];
        for cell in &mut self.cells[leave] {
            *cell /= lever;
        }
        let pivot_row = self.cells[leave].clone();
        for (i, row) in self.cells.iter_mut().enumerate() {
            let factor = row[enter];
            if i != leave && factor != 0.0 {
                for (cell, pivot) in row.iter_mut().zip(&pivot_row) {
                    *cell -= factor * pivot;
                }
                row[enter] = 0.0;
            }
        }
        self.basis[leave] = enter;
    }

    fn row_mix(&self) -> Vec<f64> {
        let objective = &self.cells[self.rows];
        cleaned(objective[self.columns..self.columns + self.rows].to_vec())
    }

    fn column_mix(&self) -> Vec<f64> {
        let last = self.rows + self.columns;
        let mut mix = vec![0.0; self.columns];
        for (row, &variable) in self.basis.iter().enumerate() {
            if variable < self.columns {
                mix[variable] = self.cells[row][last];
            }
        }
        cleaned(mix)
    }

    /// Both mixes solved afresh from the payoffs on the final support, as pairs to be certified.
    fn refined(&self, game: &Matrix) -> Vec<(Vec<f64>, Vec<f64>)> {
        let columns: Vec<usize> =
            self.basis.iter().copied().filter(|variable| *variable < self.columns).collect();
        let rows: Vec<usize> =
            (0..self.rows).filter(|row| !self.basis.contains(&(self.columns + row))).collect();
        if rows.len() != columns.len() || rows.is_empty() {
            return Vec::new();
        }
        // Equalise over the support: sum_i x_i a_ij = v for every j used, sum x = 1; likewise y.
        let row = equalised(rows.len(), |k, l| game.at(rows[l], columns[k]));
        let column = equalised(rows.len(), |k, l| game.at(rows[k], columns[l]));
        let (Some(row), Some(column)) = (row, column) else { return Vec::new() };
        let spread = |parts: &[f64], places: &[usize], n: usize| {
            let mut mix = vec![0.0; n];
            for (part, place) in parts.iter().zip(places) {
                mix[*place] = *part;
            }
            cleaned(mix)
        };
        vec![(spread(&row, &rows, self.rows), spread(&column, &columns, self.columns))]
    }
}

/// Solves `sum_l c(k,l) x_l - v = 0` for all k with `sum x = 1`; none when singular.
fn equalised(n: usize, coefficient: impl Fn(usize, usize) -> f64) -> Option<Vec<f64>> {
    let size = n + 1;
    let mut system = vec![vec![0.0; size + 1]; size];
    for (k, row) in system.iter_mut().enumerate() {
        for (l, cell) in row.iter_mut().enumerate().take(n) {
            *cell = if k < n { coefficient(k, l) } else { 1.0 };
        }
        if k < n {
            row[n] = -1.0;
        } else {
            row[size] = 1.0;
        }
    }
    for column in 0..size {
        let pivot = (column..size)
            .max_by(|a, b| system[*a][column].abs().total_cmp(&system[*b][column].abs()))?;
        if system[pivot][column].abs() < 1e-13 {
            return None;
        }
        system.swap(column, pivot);
        let pivot_row = system[column].clone();
        for (k, row) in system.iter_mut().enumerate() {
            if k != column {
                let factor = row[column] / pivot_row[column];
                for (cell, pivot) in row.iter_mut().zip(&pivot_row) {
                    *cell -= factor * pivot;
                }
            }
        }
    }
    Some((0..n).map(|k| system[k][size] / system[k][k]).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ragged_or_endless_matrix_is_refused() {
        assert!(Matrix::from_rows(&[]).is_err());
        assert!(Matrix::from_rows(&[vec![1.0, 2.0], vec![1.0]]).is_err());
        assert!(Matrix::from_rows(&[vec![f64::NAN]]).is_err());
    }

    #[test]
    fn the_certificate_is_computed_from_the_payoffs_not_from_the_tableau() {
        let game = Matrix::from_rows(&[vec![3.0, 2.0], vec![0.0, 4.0]]).unwrap();
        assert!((game.guarantee(&[0.8, 0.2]) - 2.4).abs() < 1e-15);
        assert!(game.guarantee(&[0.5, 0.5]) < 2.4);
        assert!((game.concession(&[0.4, 0.6]) - 2.4).abs() < 1e-15);
    }
}
