//! How long advice and switch timing take.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use secondball::game::{End, MatchLength};
use secondball::tactics::duel::{Duel, Side};
use secondball::tactics::mix::{MOST_TOTAL, Ratio};
use secondball::tactics::switch::Story;

/// Twelve serves with eight receives each: matrix, certificate, ratio.
fn mixes(criterion: &mut Criterion) {
    let part = |number: usize| (number * 37 % 101) as f64 / 101.0;
    criterion.bench_function("mixes for 12 serves x 8 receives", |bench| {
        bench.iter(|| {
            for serve in 0..12 {
                let sides: Vec<Side> = (0..8)
                    .map(|receive| {
                        let unread = 0.4 + 0.2 * part(serve * 8 + receive);
                        Side { unread, drop: 0.05 + 0.2 * part(serve + 11 * receive) }
                    })
                    .collect();
                let Ok(duel) = Duel::new(sides) else { return };
                let alike: Vec<Vec<f64>> = (0..8)
                    .map(|r| (0..8).map(|g| if r == g { 1.0 } else { 0.3 }).collect())
                    .collect();
                let Ok(game) = duel.matrix(&alike) else { return };
                let Ok(solution) = game.solve() else { return };
                black_box(Ratio::best(&game, solution.value, &[], MOST_TOTAL));
            }
        });
    });
}

fn timing(criterion: &mut Criterion) {
    let story = Story {
        serve: 0.55,
        frequency: 0.4,
        rest: 0.47,
        fresh: 0.5,
        read: 0.38,
        read_after: 6,
        new_fresh: 0.54,
        new_read: 0.43,
        new_read_after: 5,
        slip: 0.05,
        spill: 0.005,
    };
    criterion.bench_function("switch timing table, best of 7", |bench| {
        let Ok(seven) = MatchLength::best_of(7) else { return };
        bench.iter(|| black_box(story.table(seven, End::Me)));
    });
}

criterion_group!(benches, mixes, timing);
criterion_main!(benches);
