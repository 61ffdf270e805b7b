//! Balls shared out by weights, so that they add up.

/// Blocks of fewer balls are not worth a change of setting.
const LEAST_BLOCK: u32 = 6;

/// Shares `total` in proportion to weights, at least `least` each while there is enough; the shares
/// sum to the total (largest remainders).
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
    order.sort_by(|&a, &b| exact[b].fract().total_cmp(&exact[a].fract()));
    let missing = total - shares.iter().sum::<u32>();
    for place in order.into_iter().cycle().take(missing as usize) {
        shares[place] += 1;
    }
    shares
}

/// Each of these with its share of the balls, by weight; what is too few for a block goes to the
/// largest.
pub(super) fn blocks_of<T>(
    total: u32,
    items: &[T],
    weight: impl Fn(&T) -> f64,
) -> impl Iterator<Item = (&T, u32)> {
    let weights: Vec<f64> = items.iter().map(weight).collect();
    let mut shares = apportion(total, &weights, 0);
    if let Some(largest) = (0..shares.len()).max_by_key(|&place| shares[place]) {
        for place in 0..shares.len() {
            if place != largest && shares[place] < LEAST_BLOCK {
                shares[largest] += std::mem::take(&mut shares[place]);
            }
        }
    }
    items.iter().zip(shares).filter(|(_, share)| *share > 0)
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
