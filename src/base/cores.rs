//! Independent pieces of work done on all cores at the same time, with the results in the order of the pieces.
//!
//! What a piece gives must hang on nothing but the piece, so that one core or many make no difference.

use std::sync::atomic::{AtomicUsize, Ordering};

/// The results of `work` on every piece, in their order.
///
/// A piece should take a tenth of a millisecond at least, or starting the threads costs more than they save.
pub fn on_all_cores<P: Sync, R: Send>(pieces: &[P], work: impl Fn(&P) -> R + Sync) -> Vec<R> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    spread(pieces, cores, work)
}

/// The same with at most so many threads, this one among them.
fn spread<P: Sync, R: Send>(pieces: &[P], threads: usize, work: impl Fn(&P) -> R + Sync) -> Vec<R> {
    // Pieces take very different times, so each thread takes the next one when it is free.
    let next = AtomicUsize::new(0);
    let take = || {
        let mut done = Vec::new();
        loop {
            let place = next.fetch_add(1, Ordering::Relaxed);
            let Some(piece) = pieces.get(place) else { return done };
            done.push((place, work(piece)));
        }
    };
    let mut results = std::thread::scope(|scope| {
        let others = threads.min(pieces.len()).saturating_sub(1);
        let others: Vec<_> = (0..others).map(|_| scope.spawn(take)).collect();
        let mut results = take();
        for other in others {
            results.extend(other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        }
        results
    });
    results.sort_unstable_by_key(|(place, _)| *place);
    results.into_iter().map(|(_, result)| result).collect()
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
