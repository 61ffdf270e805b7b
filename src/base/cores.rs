//! Independent pieces of work done on all cores at the same time, with the results in the order of
//! the pieces.
//!
//! What a piece gives must hang on nothing but the piece, so that one core or many make no
//! difference.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// The results of `work` on every piece, in their order.
///
/// A piece should take a tenth of a millisecond at least, or starting the threads costs more than
/// they save.
pub fn on_all_cores<P: Sync, R: Send>(pieces: &[P], work: impl Fn(&P) -> R + Sync) -> Vec<R> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    spread(pieces, cores, work)
}

/// The same with at most so many threads, this one among them.
fn spread<P: Sync, R: Send>(pieces: &[P], threads: usize, work: impl Fn(&P) -> R + Sync) -> Vec<R> {
    let results: Vec<Mutex<Option<R>>> = pieces.iter().map(|_| Mutex::new(None)).collect();
    take_turns(pieces.len(), threads, &|place| {
        let result = work(&pieces[place]);
        *results[place].lock().unwrap_or_else(PoisonError::into_inner) = Some(result);
    });
    let filled = |slot: Mutex<Option<R>>| slot.into_inner().unwrap_or_else(PoisonError::into_inner);
    results.into_iter().filter_map(filled).collect()
}

/// Calls `work` once with every number below `count`.
fn take_turns(count: usize, threads: usize, work: &(dyn Fn(usize) + Sync)) {
    // Pieces take very different times, so each thread takes the next one when it is free.
    let next = AtomicUsize::new(0);
    let take = || {
        loop {
            let place = next.fetch_add(1, Ordering::Relaxed);
            if place >= count {
                return;
            }
            work(place);
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..threads.min(count) {
            scope.spawn(take);
        }
        take();
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_the_order_of_the_pieces_whoever_did_them() {
        let pieces: Vec<u64> = (0..500).collect();
        let expected: Vec<u64> = pieces.iter().map(|piece| piece * piece).collect();
        for threads in [0, 1, 2, 7, 1000] {
            assert_eq!(spread(&pieces, threads, |piece| piece * piece), expected, "{threads}");
        }
        assert!(spread(&[], 3, |piece: &u64| *piece).is_empty());
    }
}
