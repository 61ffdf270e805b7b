//! Putting things in order by a number, those that are alike in the order they had.
//!
//! The sorting itself is compiled once, for places; what is sorted is then put where it belongs. Sorting
//! every type by itself took a twentieth of building the program.

use std::cmp::Ordering;

/// The places below `count` in the order that `compare` gives, of two alike the smaller first.
pub fn places(count: usize, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    in_order((0..count).collect(), compare)
}

/// These places in the order that `compare` gives, of two alike the one that stood first.
pub fn in_order(mut places: Vec<usize>, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    places.sort_by(|&a, &b| compare(a, b));
    places
}

/// Orders by a number, the largest first; what is not a number stands outside of all others.
pub fn largest_first<T>(items: &mut Vec<T>, number: impl Fn(&T) -> f64) {
    let numbers: Vec<f64> = items.iter().map(number).collect();
    let order = places(items.len(), &|a, b| numbers[b].total_cmp(&numbers[a]));
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

    #[test]
    fn only_the_places_given_are_ordered() {
        let letters = ["d", "a", "c", "a", "b"];
        let compare = |a: usize, b: usize| letters[a].cmp(letters[b]);
        assert_eq!(places(5, &compare), [1, 3, 4, 2, 0]);
        assert_eq!(in_order(vec![4, 3, 1, 0], &compare), [3, 1, 4, 0]);
    }
}
