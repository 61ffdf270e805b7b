//! What the verdicts say after a meeting, what the card wins, and how often the ranges hold the
//! truth, printed for several worlds.
//!
//! `cargo run --release --example meetings -- [meetings] [matches] [opponents]`; a table of 0 is
//! left out.

use secondball::tactics::verdict::Verdict;

#[path = "../support/meetings.rs"]
#[allow(clippy::unwrap_used, reason = "a test helper")]
mod worlds;
use worlds::{Noted, Played, Rule, World, meeting, play};
#[path = "../support/ranges.rs"]
#[allow(clippy::unwrap_used, reason = "a test helper")]
mod own_ranges;
use own_ranges::{Receiver, coverage};

fn main() {
    let given: Vec<u64> =
        std::env::args().skip(1).filter_map(|number| number.parse().ok()).collect();
    for (at, (print, usual)) in
        [(verdicts as fn(u64), 5000), (cards, 40_000), (ranges, 1250)].into_iter().enumerate()
    {
        let many = given.get(at).copied().unwrap_or(usual);
        if many > 0 {
            print(many);
        }
    }
}

#[allow(clippy::print_stdout, reason = "a table on the terminal is what it is for")]
fn verdicts(meetings: u64) {
    let spread = World { spread: 0.17, ..World::CALM };
    println!("of 100 serves after 12 clean balls   CHANGE  right  gain   TRY ONCE  right");
    for (name, world) in [
        ("none reads, rates differ much", spread),
        ("  notes, three in four right", World { noted: Noted::Mostly, ..spread }),
        ("  notes after lost balls", World { noted: Noted::AfterLost, ..spread }),
        ("none reads", World::CALM),
        ("  notes, three in four right", World { noted: Noted::Mostly, ..World::CALM }),
        ("  notes after lost balls", World { noted: Noted::AfterLost, ..World::CALM }),
        ("  with bad spells", World { bad_spells: true, spread: 0.09, ..World::CALM }),
        ("  a good answer, .58", World { plan: Some(0.58), ..World::CALM }),
        ("  a weak answer, .35", World { plan: Some(0.35), ..World::CALM }),
        ("60 in 100 read", World::MOST_READ),
        ("  notes, three in four right", World { noted: Noted::Mostly, ..World::MOST_READ }),
        ("  notes after lost balls", World { noted: Noted::AfterLost, ..World::MOST_READ }),
        ("  the reserve weaker by .06", World { reserve: -0.06, ..World::MOST_READ }),
        ("  80 in 100 read", World { adapts: 0.8, ..World::MOST_READ }),
        ("  40 in 100 read", World { adapts: 0.4, ..World::MOST_READ }),
        ("  half as soon", World { beyond: (0.5, 1.0), ..World::MOST_READ }),
        ("  twice as soon", World { beyond: (2.0, 1.0), ..World::MOST_READ }),
        ("  it costs half", World { beyond: (1.0, 0.5), ..World::MOST_READ }),
        ("  it costs 1.7 times", World { beyond: (1.0, 1.7), ..World::MOST_READ }),
    ] {
        let said: Vec<_> = (0..meetings).flat_map(|seed| meeting(&world, seed)).collect();
        let of = |verdict| {
            let gains: Vec<f64> =
                said.iter().filter(|(is, _)| *is == verdict).map(|(_, gain)| *gain).collect();
            let n = gains.len().max(1) as f64;
            let right = gains.iter().filter(|gain| **gain > 0.0).count() as f64;
            let share = gains.len() as f64 / said.len() as f64;
            (100.0 * share, 100.0 * right / n, 100.0 * gains.iter().sum::<f64>() / n)
        };
        let (change, once) = (of(Verdict::Change), of(Verdict::TryOnce));
        println!(
            "{name:36} {:6.1} {:6.0} {:+5.0} {:10.0} {:6.0}",
            change.0, change.1, change.2, once.0, once.1
        );
    }
}

#[allow(clippy::print_stdout, reason = "a table on the terminal is what it is for")]
fn cards(matches: u64) {
    println!(
        "\nof 100 matches more than never changing, and of 100 balls more than after two lost"
    );
    for (name, world) in [
        ("60 in 100 read", World::MOST_READ),
        ("all read", World { adapts: 1.0, ..World::MOST_READ }),
        ("none reads", World { adapts: 0.0, ..World::MOST_READ }),
        ("60 read, reserve weaker", World { reserve: -0.06, ..World::MOST_READ }),
        ("60 read, reserve stronger", World { reserve: 0.06, ..World::MOST_READ }),
        ("60 read, half as soon", World { beyond: (0.5, 1.0), ..World::MOST_READ }),
        ("60 read, twice as soon", World { beyond: (2.0, 1.0), ..World::MOST_READ }),
        ("60 read, it costs half", World { beyond: (1.0, 0.5), ..World::MOST_READ }),
        ("60 read, it costs 1.7 times", World { beyond: (1.0, 1.7), ..World::MOST_READ }),
    ] {
        let share = |rule| {
            let mut played = Played::default();
            (0..matches).for_each(|seed| play(&world, rule, seed, &mut played));
            let balls = f64::from(played.balls_won) / f64::from(played.balls);
            (100.0 * f64::from(played.matches_won) / matches as f64, 100.0 * balls)
        };
        let [never, two, once, renewed] =
            [Rule::Never, Rule::AfterTwoLost, Rule::CardOnce, Rule::CardRenewed].map(share);
        let of = |rule: (f64, f64)| format!("{:+.1} ({:+.2})", rule.0 - never.0, rule.1 - two.1);
        println!("{name:27} two lost {}  card {}  renewed {}", of(two), of(once), of(renewed));
    }
}

#[allow(clippy::print_stdout, reason = "a table on the terminal is what it is for")]
fn ranges(opponents: u64) {
    println!("\nof 100 ranges hold the truth: of a receive, of all their serves, of the match");
    for (name, spread, level) in [
        ("as assumed", 0.10, 0.0),
        ("receives differ twice as much", 0.20, 0.0),
        ("receives differ little", 0.04, 0.0),
        ("weak opponent", 0.10, 0.12),
        ("strong opponent", 0.10, -0.12),
    ] {
        print!("{name:30}");
        for balls in [5, 10, 20, 50] {
            let held = coverage(Receiver { spread, level }, balls, opponents);
            let [one, all, of_match] = held.map(|share| 100.0 * share);
            print!("  {balls:2} balls {one:3.0} {all:3.0} {of_match:3.0}");
        }
        println!();
    }
}
