//! The calendar beside greedy and going round, printed: every kind of deck, player and day, mean over
//! seeds, and how far the calendar is ahead of the better of the two, with its standard error.
//!
//! `cargo run --release --example recall -- [seeds] [patterns] [days] [answers a day]`

#![expect(clippy::print_stdout, reason = "an example prints")]

#[path = "../support/rivals.rs"]
mod rivals;
#[path = "../support/seasons.rs"]
#[allow(
    dead_code,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::unwrap_used,
    reason = "a test helper, of which not all is used everywhere"
)]
mod seasons;
use rivals::{Cell, Size};
use seasons::Player;

/// Seeds of tests come before: a table is never made on seeds that anything was tried on.
const FIRST_SEED: u64 = 100;
const SIZES: [Size; 3] = [(60, 7, 6), (200, 7, 20), (120, 30, 8)];

fn main() {
    let seeds = number(1).unwrap_or(40);
    let asked = number(2).zip(number(3)).zip(number(4)).map(|((n, days), a)| (n, days, a));
    for size in asked.map_or(SIZES.to_vec(), |size| vec![size]) {
        let (patterns, days, answers) = size;
        println!("\n{patterns} patterns, {days} days, {answers} answers a day, {seeds} seeds");
        println!("{:<44} greedy  round   plan   ahead     +-   bias   late", "");
        for is_untried in [true, false] {
            for late_new in [0.5, 1.0] {
                let base = Cell { late_new, ..Cell::new(size, is_untried) };
                for (words, cell) in kinds(base) {
                    let deck = if is_untried { "untried" } else { "mixed" };
                    let out = cell.run(FIRST_SEED, seeds);
                    println!(
                        "{deck:<8} {late_new:<4} {words:<30} {:.4} {:.4} {:.4} {:+.4} {:.4} {:+.3} {:+.3}{}",
                        out.greedy,
                        out.round,
                        out.calendar,
                        out.ahead,
                        out.error,
                        out.bias,
                        out.late_bias,
                        if out.holds(0.005) { "" } else { "  behind" }
                    );
                }
            }
        }
    }
}

fn number<T: std::str::FromStr>(place: usize) -> Option<T> {
    std::env::args().nth(place)?.parse().ok()
}

/// The kinds of days and of players.
fn kinds(base: Cell) -> Vec<(&'static str, Cell)> {
    let (missed, cut) = (Cell { misses: 0.3, ..base }, Cell { does: 0.7, ..base });
    let days = [
        ("3 days in 10 missed, told", missed),
        ("3 days in 10 missed, learnt", Cell { is_told: false, ..missed }),
        ("lists cut at 7 in 10, told", cut),
        ("lists cut at 7 in 10, learnt", Cell { is_told: false, ..cut }),
    ];
    let players = Player::ALL.map(|player| (player.words(), Cell { player, ..base }));
    players.into_iter().chain(days).collect()
}
