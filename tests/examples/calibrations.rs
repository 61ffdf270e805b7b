//! How often what a calibration prints holds, and what it warns of, for several invented launchers.
//!
//! `cargo run --release --example calibrations -- [seeds] [balls...]`

#![allow(clippy::unwrap_used, reason = "a broken fixture ends the table")]

#[path = "../support/throwers.rs"]
mod throwers;
use secondball::launcher::Warning;
use throwers::{Held, Kept, Thrower};

#[allow(clippy::print_stdout, reason = "a table on the terminal is what it is for")]
fn main() {
    let mut given = std::env::args().skip(1);
    let seeds: u64 = given.next().and_then(|seeds| seeds.parse().ok()).unwrap_or(40);
    let mut sizes: Vec<usize> = given.filter_map(|balls| balls.parse().ok()).collect();
    if sizes.is_empty() {
        sizes = vec![5, 8, 14, 30];
    }
    for balls in sizes {
        println!(
            "{balls} balls: of 100 held        speed  spin  side height  dir  const land  +-se |  m/s rev/s deg land cm | warned refused"
        );
        for (name, thrower) in Thrower::kinds() {
            let all: Vec<_> = std::thread::scope(|scope| {
                let halves = [0, 1].map(|odd| {
                    let thrower = &thrower;
                    scope.spawn(move || {
                        (0..seeds)
                            .filter(|seed| seed % 2 == odd)
                            .filter_map(|seed| Kept::of(thrower, balls, seed))
                            .collect::<Vec<_>>()
                    })
                });
                halves.into_iter().flat_map(|half| half.join().unwrap()).collect()
            });
            let sum = |of: &dyn Fn(&Kept) -> Held| {
                all.iter().map(|(kept, _)| of(kept)).fold(Held::default(), Held::with)
            };
            let mean = |of: &dyn Fn(&Kept) -> f64| {
                all.iter().map(|(kept, _)| of(kept)).sum::<f64>() / all.len().max(1) as f64
            };
            let Held(held, thrown) = sum(&|kept| kept.landings);
            let land = Held(held, thrown).percent();
            // Balls of one calibration are related: the error is that of so many calibrations.
            let off = |kept: &Kept| {
                100.0 * f64::from(kept.landings.0) - land * f64::from(kept.landings.1)
            };
            let squares = mean(&|kept| off(kept).powi(2)) * all.len() as f64;
            let error = squares.sqrt() / f64::from(thrown.max(1));
            print!("{name:29}");
            for at in 0..5 {
                print!(" {:5.1}", sum(&|kept| kept.numbers[at]).percent());
            }
            print!(" {:5.1} {land:5.1} {error:4.1} |", sum(&|kept| kept.constants).percent());
            for at in [0, 1, 3] {
                let numbers = f64::from(sum(&|kept| kept.numbers[at]).1.max(1));
                print!(" {:5.2}", mean(&|kept| kept.widths[at]) * all.len() as f64 / numbers);
            }
            let odd =
                |warning: &Warning| matches!(warning, Warning::Bent { .. } | Warning::Moves { .. });
            let warned = all.iter().filter(|(_, learned)| learned.warnings.iter().any(odd)).count();
            println!(
                " {:5.1} | {:5.0} {:5.0}",
                100.0 * mean(&|kept| kept.landing_m),
                100.0 * warned as f64 / all.len().max(1) as f64,
                100.0 * (1.0 - all.len() as f64 / seeds as f64)
            );
        }
    }
}
