//! Putting things in order by a number, those that are alike in the order they had.

/// Orders by a number, the largest first; what is not a number stands outside of all others.
pub fn largest_first<T>(items: &mut Vec<T>, number: impl Fn(&T) -> f64) {
    let numbers: Vec<f64> = items.iter().map(number).collect();
    // Places are sorted, whatever the things are: a sort is compiled again for every type, and is long.
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by(|&a, &b| numbers[b].total_cmp(&numbers[a]));
    let mut taken: Vec<Option<T>> = std::mem::take(items).into_iter().map(Some).collect();
    items.extend(order.into_iter().filter_map(|place| taken[place].take()));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_stands_first_and_those_alike_keep_their_order() {
        let mut items =
            vec![("a", 1.0), ("b", 3.0), ("c", 1.0), ("d", f64::NEG_INFINITY), ("e", 3.0)];
        largest_first(&mut items, |item| item.1);
        assert_eq!(items.iter().map(|item| item.0).collect::<String>(), "beacd");
    }
}
