//! The scales of the progress pictures: shares and values upwards, with the labels beside them.

use crate::page::numbers::of_hundred;

/// The heights of a share: 0 to 100 in quarters.
pub(super) fn shares() -> Vec<(f64, String)> {
    [0.0, 0.25, 0.5, 0.75, 1.0].map(|share| (share, of_hundred(share))).into()
}

/// Least and most of some values with a little room, zero among them.
pub(super) fn around_zero(
    values: impl Iterator<Item = f64> + Clone,
    least_room: f64,
) -> (f64, f64) {
    let low = values.clone().fold(0.0, f64::min);
    let high = values.fold(0.0, f64::max);
    let room = ((high - low) * 0.2).max(least_room);
    (if low < 0.0 { low - room } else { 0.0 }, high + room)
}

/// A number of a few heights: zero, the ends, rounded to a step that suits the reach.
pub(super) fn heights(up: (f64, f64), unit: f64) -> Vec<(f64, String)> {
    let reach = (up.1 - up.0) / unit;
    let step = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0]
        .into_iter()
        .find(|step| reach / step <= 5.0)
        .unwrap_or(1000.0);
    (-20..=20)
        .map(|nth| f64::from(nth) * step)
        .filter(|at| (up.0..=up.1).contains(&(at * unit)))
        .map(|at| (at * unit, format!("{at:+.0}").replace("+0", "0")))
        .collect()
}
