//! Balls shared out by weights, so that they add up.

use crate::base::order::largest_first;

/// Shares `total` in proportion to weights, at least `least` each while there is enough; the shares sum
/// to the total (largest remainders).
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of a u32 total, rounded down, is a u32"
)]
pub(super) fn apportion(total: u32, weights: &[f64], least: u32) -> Vec<u32> {
    let count = u32::try_from(weights.len()).unwrap_or(u32::MAX);
    let sum: f64 = weights.iter().sum();
    if count == 0 || sum <= 0.0 {
        return vec![0; weights.len()];
    }
    let least = least.min(total / count);
    let free = f64::from(total - least * count);
    let exact: Vec<f64> = weights.iter().map(|weight| free * weight / sum).collect();
    let mut shares: Vec<u32> = exact.iter().map(|share| least + share.floor() as u32).collect();
    let mut order: Vec<usize> = (0..weights.len()).collect();
    largest_first(&mut order, |&place| exact[place].fract());
    let mut missing = total - shares.iter().sum::<u32>();
    for place in order.into_iter().cycle() {
        if missing == 0 {
            break;
        }
        shares[place] += 1;
        missing -= 1;
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_add_up_and_nobody_is_forgotten() {
        for total in 0..60 {
            let shares = apportion(total, &[0.6, 0.3, 0.1, 0.0001], 4);
            assert_eq!(shares.iter().sum::<u32>(), total);
            if total >= 16 {
                assert!(shares.iter().all(|share| *share >= 4), "{shares:?}");
            }
        }
        assert_eq!(apportion(10, &[3.0, 1.0], 0), [8, 2]);
    }
}
