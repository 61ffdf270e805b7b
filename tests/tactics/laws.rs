//! The laws of the game played ball by ball, against the exact chances. Seeded; three standard
//! errors.

use rand::rngs::ChaCha8Rng;
use rand::{RngExt, SeedableRng};
use secondball::game::{End, Match, MatchLength};
use secondball::tactics::chance::{Chances, win_match_from};

const MATCHES: u32 = 40_000;

/// Whoever serves, written from the text of law 2.13.3 and not from the engine: two each, then one
/// each.
struct Service {
    serving: bool,
    left: u32,
}

impl Service {
    fn new(first: bool) -> Self {
        Self { serving: first, left: 2 }
    }

    /// A point has been played, and whether the score is now 10-10 or beyond.
    fn next(&mut self, at_ten_all_or_beyond: bool) {
        self.left -= 1;
        if self.left == 0 || at_ten_all_or_beyond {
            self.serving = !self.serving;
            self.left = if at_ten_all_or_beyond { 1 } else { 2 };
        }
    }
}

/// Plays a game out; `point(i_serve)` plays one point.
fn game(start: (u32, u32), first: bool, mut point: impl FnMut(bool) -> bool) -> bool {
    let (mut own, mut theirs) = (0, 0);
    let mut service = Service::new(first);
    // Bring the order of serving to the score by handing out the points played so far.
    for played in 1..=start.0 + start.1 {
        service.next(played >= 20);
    }
    own += start.0;
    theirs += start.1;
    loop {
        if point(service.serving) {
            own += 1;
        } else {
            theirs += 1;
        }
        if own.max(theirs) >= 11 && own.abs_diff(theirs) >= 2 {
            return own > theirs;
        }
        service.next(own >= 10 && theirs >= 10);
    }
}

fn near(wins: u32, exact: f64, what: &str) {
    let n = f64::from(MATCHES);
    let share = f64::from(wins) / n;
    let error = (exact * (1.0 - exact) / n).sqrt();
    assert!((share - exact).abs() <= 3.0 * error, "{what}: played {share}, exact {exact}");
}

#[test]
fn matches_played_ball_by_ball_are_won_as_often_as_computed() {
    let cases = [
        (0.55, 0.45, 5, (0, 0), (0, 0), true),
        (0.62, 0.41, 7, (2, 3), (4, 6), false),
        (0.54, 0.47, 5, (1, 2), (9, 9), true),
        (0.5, 0.52, 3, (1, 1), (10, 10), false),
        (0.7, 0.35, 5, (2, 2), (7, 10), true),
    ];
    for (number, (serve, receive, best_of, games, score, first)) in (0..).zip(cases) {
        let chances = Chances::new(serve, receive);
        let length = MatchLength::best_of(best_of).unwrap();
        let server = if first { End::Me } else { End::Them };
        let state = Match::at(length, games, score, server).unwrap();
        let mut dice = ChaCha8Rng::seed_from_u64(number);
        let wins = (0..MATCHES)
            .filter(|_| {
                let (mut own, mut theirs) = games;
                let (mut start, mut serves) = (score, first);
                while own < best_of.div_ceil(2) && theirs < best_of.div_ceil(2) {
                    let won = game(start, serves, |i_serve| {
                        dice.random_bool(if i_serve { serve } else { receive })
                    });
                    if won {
                        own += 1;
                    } else {
                        theirs += 1;
                    }
                    (start, serves) = ((0, 0), !serves);
                }
                own > theirs
            })
            .count();
        let exact = win_match_from(chances, &state);
        near(u32::try_from(wins).unwrap(), exact, &format!("case {number}"));
    }
}
