//! The duel behind one serve: the receiver picks a receive, the server anticipates one.
//!
//! Receive r wins `u_r` unread and `u_r - d_r` when the server waited for it; receives that look
//! alike share a part of the drop. Where the rates come from, and whether the drop `d` is measured
//! or assumed, is the caller's to say.
//!
//! # Source
//! Penalty-kick and tennis-serve games, Palacios-Huerta 2003, Walker & Wooders 2001; here with one
//! drop per receive, which gives the own mix proportional to `1/d`.

use crate::tactics::matrix::Matrix;

/// The rates of one receive in a duel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReceiveRates {
    /// Chance of the point when the server does not wait for it (u).
    pub unread: f64,
    /// What is lost when they do (d), at most `unread`.
    pub drop: f64,
}

/// Payoffs of a duel: waiting for g costs receive r the share `alike(r, g)`, zero to one, of its
/// drop.
pub fn payoffs(rates: &[ReceiveRates], alike: impl Fn(usize, usize) -> f64) -> Matrix {
    Matrix::from_fn(rates.len(), rates.len(), |r, g| rates[r].unread - rates[r].drop * alike(r, g))
}

/// The best single receive for a server who always waits for it: `max_r (u_r - d_r)`.
pub fn always_read(rates: &[ReceiveRates]) -> f64 {
    rates.iter().map(|of| of.unread - of.drop).fold(0.0, f64::max)
}
