//! The duel behind one serve: the receiver picks a receive, the server anticipates one.
//!
//! Receive r wins `u_r` unread and `u_r - d_r` when the server waited for it. Closed form for any number of
//! receives that are read one at a time; receives that look alike need a matrix ([`Duel::matrix`]).
//! Where the rates come from, and that the drop `d` is an assumption until "was he waiting" has been
//! recorded often enough, is the caller's to say ([`drop_from_reads`]).
//!
//! # Source
//! Penalty-kick and tennis-serve games, Palacios-Huerta 2003, Walker & Wooders 2001; here with one drop per
//! receive, which gives the own mix proportional to `1/d`.

use crate::base::order;
use crate::tactics::fault::{TacticsError, chance, within};
use crate::tactics::matrix::Matrix;
use crate::tactics::rates::{Belief, Tally};

/// One receive of a duel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// Chance of the point when the server does not wait for it (u).
    pub unread: f64,
    /// What is lost when he does (d), at most `unread`.
    pub drop: f64,
}

/// The duel over one serve.
#[derive(Clone, Debug, PartialEq)]
pub struct Duel {
    sides: Vec<Side>,
}

/// A solved duel.
#[derive(Clone, Debug, PartialEq)]
pub struct Balance {
    /// Chance of the point that the mix secures against any anticipation.
    pub value: f64,
    /// Own share of each receive.
    pub mix: Vec<f64>,
    /// The server's best anticipation.
    pub anticipation: Vec<f64>,
}

/// The best mix against a server who waits for each receive as often as it has come.
#[derive(Clone, Debug, PartialEq)]
pub struct AgainstHabit {
    /// Own share of each receive.
    pub mix: Vec<f64>,
    /// Chance of the point against that server.
    pub value: f64,
    /// Chance of the point of the same mix against the worst anticipation.
    pub worst: f64,
    /// The level every used receive is brought to at the margin.
    pub margin: f64,
}

impl Duel {
    /// From at least one receive.
    ///
    /// # Errors
    /// No receives, or rates that are not chances.
    pub fn new(sides: Vec<Side>) -> Result<Self, TacticsError> {
        if sides.is_empty() {
            return Err(TacticsError::Length { what: "receives", wanted: 1, given: 0 });
        }
        for side in &sides {
            chance("unread", side.unread)?;
            within("drop", side.drop, 0.0, side.unread)?;
        }
        Ok(Self { sides })
    }

    /// The receives, in the order given.
    pub fn sides(&self) -> &[Side] {
        &self.sides
    }

    /// The closed form.
    ///
    /// Sort by u, add while `u_r > v`; `v = (sum u/d - 1) / (sum 1/d)`; own mix proportional to `1/d_r` on the
    /// support, anticipation `(u_r - v) / d_r`. A receive that loses nothing when read is a floor under v.
    pub fn balance(&self) -> Balance {
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
                let used = |side: &Side| side.drop > 0.0 && side.unread > water;
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
    pub fn against_habit(&self) -> AgainstHabit {
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
    pub fn guarantee(&self, mix: &[f64]) -> f64 {
        let plain: f64 = mix.iter().zip(&self.sides).map(|(x, s)| x * s.unread).sum();
        let most = mix.iter().zip(&self.sides).map(|(x, s)| x * s.drop).fold(0.0, f64::max);
        plain - most
    }

    /// The best single receive for a server who always waits for it: `max_r (u_r - d_r)`.
    pub fn always_read(&self) -> f64 {
        self.sides.iter().map(|side| side.unread - side.drop).fold(0.0, f64::max)
    }

    /// Payoffs when receives look alike: waiting for g costs receive r the share `similarity[r][g]` of its drop.
    ///
    /// # Errors
    /// A similarity table of another size or outside zero to one.
    pub fn matrix(&self, similarity: &[Vec<f64>]) -> Result<Matrix, TacticsError> {
        let n = self.sides.len();
        if similarity.len() != n {
            return Err(TacticsError::Length {
                what: "similarity",
                wanted: n,
                given: similarity.len(),
            });
        }
        let mut rows = Vec::with_capacity(n);
        for (side, alike) in self.sides.iter().zip(similarity) {
            let mut row = Vec::with_capacity(n);
            for share in alike {
                row.push(side.unread - side.drop * chance("similarity", *share)?);
            }
            rows.push(row);
        }
        Matrix::from_rows(&rows)
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
        let mut order: Vec<&Side> = self.sides.iter().filter(|side| side.drop > 0.0).collect();
        order::by(&mut order, |a, b| b.unread.total_cmp(&a.unread));
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
/// The same duel seen from the server's side. `mix` is the server's, `anticipation` the own readiness.
///
/// # Errors
/// Lists of different length, or numbers that are not chances.
pub fn readiness(ready: &[f64], unready_cost: &[f64]) -> Result<Balance, TacticsError> {
    if ready.len() != unready_cost.len() {
        return Err(TacticsError::Length {
            what: "unready_cost",
            wanted: ready.len(),
            given: unready_cost.len(),
        });
    }
    let mut sides = Vec::with_capacity(ready.len());
    for (&v, &cost) in ready.iter().zip(unready_cost) {
        chance("ready", v)?;
        within("unready_cost", cost, 0.0, v)?;
        sides.push(Side { unread: 1.0 - v + cost, drop: cost });
    }
    let theirs = Duel::new(sides)?.balance();
    Ok(Balance { value: 1.0 - theirs.value, ..theirs })
}

/// The two rates of a receive, from points where it is known whether the server was waiting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadRates {
    /// Rate when he was not waiting.
    pub unread: Belief,
    /// Rate when he was.
    pub read: Belief,
}

impl ReadRates {
    /// The drop, as the difference of the two means; negative when the points say so.
    pub fn drop(self) -> f64 {
        self.unread.mean() - self.read.mean()
    }
}

/// Fewest points waited for, and fewest not waited for, before the measured drop replaces the assumed one.
pub const READS_NEEDED: f64 = 8.0;

/// Splits a receive's points by whether the server was waiting; each half starts from the same prior.
///
/// # Errors
/// A tally beyond a million points.
pub fn drop_from_reads(
    prior: Belief,
    not_read: Tally,
    read: Tally,
) -> Result<ReadRates, TacticsError> {
    Ok(ReadRates { unread: not_read.belief(prior)?, read: read.belief(prior)? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_better_receive_comes_less_often_when_it_loses_more() {
        let sides = vec![Side { unread: 0.56, drop: 0.18 }, Side { unread: 0.5, drop: 0.12 }];
        let balance = Duel::new(sides).unwrap().balance();
        assert!(balance.mix[0] < balance.mix[1]);
    }

    #[test]
    fn a_drop_larger_than_the_rate_is_refused() {
        let error = Duel::new(vec![Side { unread: 0.3, drop: 0.4 }]).unwrap_err();
        assert_eq!(error.to_string(), "`drop` is 0.4, allowed is 0 to 0.3");
    }
}
