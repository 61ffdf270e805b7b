//! Least squares by Levenberg and Marquardt for a dozen unknowns, and the small dense algebra under
//! it.
//!
//! ```text
//! (J^T J + lambda I) step = -J^T r
//! ```
//!
//! Unknowns come scaled so that one is one standard deviation of what was known before, hence the
//! plain damping.
//!
//! # Source
//! Marquardt 1963, "An Algorithm for Least-Squares Estimation of Nonlinear Parameters".

/// Rows of a matrix.
pub(super) type Matrix = Vec<Vec<f64>>;

/// Difference for the derivatives, in standard deviations.
pub(super) const DIFFERENCE: f64 = 1e-3;

/// Where the squares are least.
#[derive(Debug, Clone)]
pub(super) struct Least {
    pub(super) at: Vec<f64>,
    pub(super) residuals: Vec<f64>,
    /// Change of every residual (rows) with every unknown.
    pub(super) slopes: Matrix,
}

pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Walks from `start` downhill; none when the residuals cannot be computed there.
pub(super) fn minimise(
    start: &[f64],
    residuals_at: &dyn Fn(&[f64]) -> Option<Vec<f64>>,
    slopes_at: &dyn Fn(&[f64]) -> Option<Matrix>,
    iterations: usize,
) -> Option<Least> {
    let mut at = start.to_vec();
    let mut residuals = residuals_at(&at)?;
    let mut cost = dot(&residuals, &residuals);
    let mut lambda = 1e-2;
    let mut slopes = slopes_at(&at)?;
    for _ in 0..iterations {
        let mut gained = 0.0;
        for _ in 0..8 {
            let there = step(&slopes, &residuals, lambda).and_then(|step| {
                let tried: Vec<f64> = at.iter().zip(&step).map(|(at, step)| at + step).collect();
                let there = residuals_at(&tried)?;
                Some((dot(&there, &there), tried, there))
            });
            if let Some((cheaper, tried, there)) = there.filter(|there| there.0 < cost) {
                gained = cost - cheaper;
                (at, residuals, cost) = (tried, there, cheaper);
                lambda = (lambda * 0.1).max(1e-9);
                break;
            }
            lambda *= 10.0;
        }
        if gained <= 0.0 {
            break;
        }
        slopes = slopes_at(&at)?;
        if gained < 1e-4 * (1.0 + cost) {
            break;
        }
    }
    Some(Least { at, residuals, slopes })
}

/// J^T J; most rows hold little.
pub(super) fn normal(slopes: &Matrix) -> Matrix {
    let size = slopes.first().map_or(0, Vec::len);
    let mut normal = vec![vec![0.0; size]; size];
    for row in slopes {
        let held: Vec<(usize, f64)> =
            row.iter().copied().enumerate().filter(|x| x.1 != 0.0).collect();
        for &(i, a) in &held {
            for &(j, b) in &held {
                normal[i][j] += a * b;
            }
        }
    }
    normal
}

fn step(slopes: &Matrix, residuals: &[f64], lambda: f64) -> Option<Vec<f64>> {
    let mut normal = normal(slopes);
    for (place, row) in normal.iter_mut().enumerate() {
        row[place] += lambda;
    }
    let uphill = |at: usize| slopes.iter().zip(residuals).map(|(row, r)| row[at] * r).sum::<f64>();
    let downhill: Vec<f64> = (0..normal.len()).map(|at| -uphill(at)).collect();
    let lower = cholesky(&normal)?;
    Some(backward(&lower, &forward(&lower, &downhill)))
}

/// L of A = L L^T; none when A is not positive.
pub(super) fn cholesky(a: &Matrix) -> Option<Matrix> {
    let size = a.len();
    let mut lower = vec![vec![0.0; size]; size];
    for i in 0..size {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let rest = a[i][j] - sum;
            if i == j {
                if rest.is_nan() || rest <= 0.0 {
                    return None;
                }
                lower[i][i] = rest.sqrt();
            } else {
                lower[i][j] = rest / lower[j][j];
            }
        }
    }
    Some(lower)
}

/// The logarithm of the determinant of L L^T.
pub(super) fn log_determinant(lower: &Matrix) -> f64 {
    lower.iter().enumerate().map(|(at, row)| 2.0 * row[at].ln()).sum()
}

/// x of L x = b.
pub(super) fn forward(lower: &Matrix, b: &[f64]) -> Vec<f64> {
    let mut x: Vec<f64> = Vec::with_capacity(b.len());
    for (i, row) in lower.iter().enumerate() {
        x.push((b[i] - dot(row, &x)) / row[i]);
    }
    x
}

/// x of L^T x = b.
fn backward(lower: &Matrix, b: &[f64]) -> Vec<f64> {
    let size = b.len();
    let mut x = vec![0.0; size];
    for i in (0..size).rev() {
        let sum: f64 = (i + 1..size).map(|k| lower[k][i] * x[k]).sum();
        x[i] = (b[i] - sum) / lower[i][i];
    }
    x
}

/// The inverse of a positive matrix.
pub(super) fn inverse(a: &Matrix) -> Option<Matrix> {
    let lower = cholesky(a)?;
    let unit =
        |at: usize| (0..a.len()).map(|i| if i == at { 1.0 } else { 0.0 }).collect::<Vec<_>>();
    // Symmetric: columns are rows.
    Some((0..a.len()).map(|at| backward(&lower, &forward(&lower, &unit(at)))).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_matrix_times_its_inverse_is_one() {
        let a = vec![vec![4.0, 1.0, 0.5], vec![1.0, 3.0, -0.2], vec![0.5, -0.2, 2.0]];
        let inverse = inverse(&a).unwrap();
        for (i, row) in a.iter().enumerate() {
            for j in 0..3 {
                let product: f64 = row.iter().zip(&inverse).map(|(x, column)| x * column[j]).sum();
                let expected = if i == j { 1.0 } else { 0.0 };
                assert!((product - expected).abs() < 1e-12, "{i} {j} {product}");
            }
        }
        assert!(cholesky(&vec![vec![1.0, 2.0], vec![2.0, 1.0]]).is_none());
    }

    #[test]
    fn a_bent_curve_is_found_from_afar() {
        // y = a exp(b x) through three of its own points.
        let points = [(0.0, 2.0), (1.0, 2.0 * 0.5_f64.exp()), (2.0, 2.0 * 1.0_f64.exp())];
        let residuals = |p: &[f64]| -> Option<Vec<f64>> {
            Some(points.iter().map(|&(x, y)| p[0] * (p[1] * x).exp() - y).collect())
        };
        let slopes = |p: &[f64]| -> Option<Matrix> {
            let rise = points.map(|(x, _)| (p[1] * x).exp());
            Some(points.iter().zip(rise).map(|(&(x, _), e)| vec![e, p[0] * x * e]).collect())
        };
        let least = minimise(&[0.5, 0.0], &residuals, &slopes, 50).unwrap();
        assert!((least.at[0] - 2.0).abs() < 1e-3 && (least.at[1] - 0.5).abs() < 1e-3, "{least:?}");
    }
}
