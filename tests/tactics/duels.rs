//! The closed form of a duel, for receives that are read one at a time: the outside view on the
//! matrix.
//!
//! # Source
//! Penalty-kick and tennis-serve games, Palacios-Huerta 2003, Walker & Wooders 2001; here with one
//! drop per receive, which gives the own mix proportional to `1/d`.

use secondball::tactics::duel::{ReceiveRates, always_read, payoffs};
use secondball::tactics::matrix::Matrix;

/// A matrix of these payoffs.
pub(super) fn matrix(rows: &[Vec<f64>]) -> Matrix {
    Matrix::from_fn(rows.len(), rows[0].len(), |i, j| rows[i][j])
}

/// The duel over one serve.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Duel {
    sides: Vec<ReceiveRates>,
}

/// A solved duel.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Balance {
    /// Chance of the point that the mix secures against any anticipation.
    pub(super) value: f64,
    /// Own share of each receive.
    pub(super) mix: Vec<f64>,
    /// The server's best anticipation.
    pub(super) anticipation: Vec<f64>,
}

/// The best mix against a server who waits for each receive as often as it has come.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct AgainstHabit {
    /// Own share of each receive.
    pub(super) mix: Vec<f64>,
    /// Chance of the point against that server.
    pub(super) value: f64,
    /// Chance of the point of the same mix against the worst anticipation.
    pub(super) worst: f64,
    /// The level every used receive is brought to at the margin.
    pub(super) margin: f64,
}

impl Duel {
    /// From at least one receive.
    pub(super) fn new(sides: Vec<ReceiveRates>) -> Self {
        assert!(sides.iter().all(|side| (0.0..=side.unread).contains(&side.drop)));
        Self { sides }
    }

    /// The receives, in the order given.
    pub(super) fn sides(&self) -> &[ReceiveRates] {
        &self.sides
    }

    /// The closed form.
    ///
    /// Sort by u, add while `u_r > v`; `v = (sum u/d - 1) / (sum 1/d)`; own mix proportional to
    /// `1/d_r` on the support, anticipation `(u_r - v) / d_r`. A receive that loses nothing when
    /// read is a floor under v.
    pub(super) fn balance(&self) -> Balance {
        let floor = self.floor();
        let water = self.water(1.0);
        let mut mix = vec![0.0; self.sides.len()];
        let mut anticipation = vec![0.0; self.sides.len()];
        let (value, rest) = match floor {
            // The guard for d = 0: the closed form would divide by zero.
            Some((best, level)) if level >= water => {
                mix[best] = 1.0;
                (level, best)
            }
            _ => {
                let used = |side: &ReceiveRates| side.drop > 0.0 && side.unread > water;
                let whole: f64 = self.sides.iter().filter(|s| used(s)).map(|s| 1.0 / s.drop).sum();
                for (part, side) in mix.iter_mut().zip(&self.sides) {
                    if used(side) {
                        *part = 1.0 / side.drop / whole;
                    }
                }
                (water, 0)
            }
        };
        for (part, side) in anticipation.iter_mut().zip(&self.sides) {
            if side.drop > 0.0 && side.unread > value {
                *part = (side.unread - value) / side.drop;
            }
        }
        let left = 1.0 - anticipation.iter().sum::<f64>();
        if left > 1e-12 {
            anticipation[rest] += left;
        }
        Balance { value, mix, anticipation }
    }

    /// The best mix against a server who waits for receive r with chance `x_r`, the share it has.
    ///
    /// Maximises `sum x_r (u_r - d_r x_r)`: `x_r = (u_r - mu) / (2 d_r)`.
    pub(super) fn against_habit(&self) -> AgainstHabit {
        let floor = self.floor();
        let water = self.water(2.0);
        let margin = floor.map_or(water, |(_, level)| level.max(water));
        let mut mix: Vec<f64> =
            self.sides
                .iter()
                .map(|s| {
                    if s.drop > 0.0 { ((s.unread - margin) / (2.0 * s.drop)).max(0.0) } else { 0.0 }
                })
                .collect();
        let left = 1.0 - mix.iter().sum::<f64>();
        if let Some((best, level)) = floor
            && level >= water
        {
            mix[best] += left;
        }
        let plain: f64 = mix.iter().zip(&self.sides).map(|(x, s)| x * s.unread).sum();
        let read: f64 = mix.iter().zip(&self.sides).map(|(x, s)| x * x * s.drop).sum();
        let worst = self.guarantee(&mix);
        AgainstHabit { mix, value: plain - read, worst, margin }
    }

    /// What a mix wins against the worst anticipation: `sum x u - max_r x_r d_r`.
    pub(super) fn guarantee(&self, mix: &[f64]) -> f64 {
        let plain: f64 = mix.iter().zip(&self.sides).map(|(x, s)| x * s.unread).sum();
        let most = mix.iter().zip(&self.sides).map(|(x, s)| x * s.drop).fold(0.0, f64::max);
        plain - most
    }

    /// The best single receive for a server who always waits for it.
    pub(super) fn always_read(&self) -> f64 {
        always_read(&self.sides)
    }

    /// Payoffs when receives look alike.
    pub(super) fn matrix(&self, similarity: &[Vec<f64>]) -> Matrix {
        payoffs(&self.sides, |r, g| similarity[r][g])
    }

    /// The best receive that loses nothing when read, with its rate.
    fn floor(&self) -> Option<(usize, f64)> {
        self.sides
            .iter()
            .enumerate()
            .filter(|(_, side)| side.drop == 0.0)
            .map(|(r, side)| (r, side.unread))
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// The level v with `sum (u_r - v)+ / (k d_r) = 1` over receives that can be read.
    fn water(&self, k: f64) -> f64 {
        let mut order: Vec<&ReceiveRates> =
            self.sides.iter().filter(|side| side.drop > 0.0).collect();
        order.sort_by(|a, b| b.unread.total_cmp(&a.unread));
        let (mut weighted, mut whole) = (0.0, 0.0);
        let mut level = f64::NEG_INFINITY;
        for side in order {
            if side.unread <= level {
                break;
            }
            weighted += side.unread / (k * side.drop);
            whole += 1.0 / (k * side.drop);
            level = (weighted - 1.0) / whole;
        }
        level
    }
}

/// Which serve to be ready for: being ready for the wrong one costs serve s the amount `unready_s`.
///
/// The same duel seen from the server's side. `mix` is the server's, `anticipation` the own
/// readiness.
pub(super) fn readiness(ready: &[f64], unready_cost: &[f64]) -> Balance {
    let sides = ready.iter().zip(unready_cost);
    let sides = sides.map(|(v, &cost)| ReceiveRates { unread: 1.0 - v + cost, drop: cost });
    let theirs = Duel::new(sides.collect()).balance();
    Balance { value: 1.0 - theirs.value, ..theirs }
}

#[test]
fn the_better_receive_comes_less_often_when_it_loses_more() {
    let sides =
        vec![ReceiveRates { unread: 0.56, drop: 0.18 }, ReceiveRates { unread: 0.5, drop: 0.12 }];
    let balance = Duel::new(sides).balance();
    assert!(balance.mix[0] < balance.mix[1]);
}
