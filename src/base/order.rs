//! Putting things in order, those that are alike in the order they had.
//!
//! A sort is long and compiled again for every type and every order. Here places are sorted,
//! whatever the things are: one sort for all of them. What is sorted on a hot path, or by the
//! million, takes the standard library's own.

use std::cmp::Ordering;

/// Orders by comparing two at a time.
pub fn by<T>(items: &mut Vec<T>, compare: impl Fn(&T, &T) -> Ordering) {
    let order = places(items.len(), &|a, b| compare(&items[a], &items[b]));
    arrange(items, &order);
}

/// Orders by a key, the smallest first.
pub fn by_key<T, K: Ord>(items: &mut Vec<T>, key: impl Fn(&T) -> K) {
    by(items, |a, b| key(a).cmp(&key(b)));
}

/// Orders by a number, the largest first; what is not a number stands outside of all others.
pub fn largest_first<T>(items: &mut Vec<T>, number: impl Fn(&T) -> f64) {
    let numbers: Vec<f64> = items.iter().map(number).collect();
    arrange(items, &largest(&numbers));
}

/// The places of these numbers, the largest first.
fn largest(numbers: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..numbers.len()).collect();
    order.sort_by(|&a, &b| numbers[b].total_cmp(&numbers[a]));
    order
}

/// The places of `length` things in their order.
fn places(length: usize, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    let mut order: Vec<usize> = (0..length).collect();
    order.sort_by(|&a, &b| compare(a, b));
    order
}

/// Puts the things at these places one after the other.
fn arrange<T>(items: &mut Vec<T>, order: &[usize]) {
    let mut taken: Vec<Option<T>> = std::mem::take(items).into_iter().map(Some).collect();
    items.extend(order.iter().filter_map(|&place| taken[place].take()));
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

    #[test]
    fn any_order_is_the_one_a_stable_sort_gives() {
        let items: Vec<(u32, u32)> = (0..200).map(|n| (n * 7919 % 13, n)).collect();
        let (mut keyed, mut compared, mut stable) = (items.clone(), items.clone(), items);
        by_key(&mut keyed, |item| item.0);
        stable.sort_by_key(|item| item.0);
        assert_eq!(keyed, stable);
        by(&mut compared, |a, b| b.0.cmp(&a.0));
        stable.sort_by_key(|item| std::cmp::Reverse(item.0));
        assert_eq!(compared, stable);
    }
}
