//! One game: its length, who serves at which score, and the chance of winning it.
//!
//! Before the first ball a closed form; from any score backward induction over the scores. A tie at
//! which two points clear are needed is one state, so the table is finite and exact.
//!
//! # Source
//! ITTF Laws 2.11.1 and 2.13.3; the game to 21 with five services each is the law before 2001, kept for
//! the published check.

use super::Chances;
use crate::game::{End, Game};
use crate::tactics::fault::TacticsError;

/// How long a game is and how often service changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GameLaw {
    points: u32,
    turn: u32,
}

/// How many points a game is expected to have, and how many of them are receives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExpectedPoints {
    /// All points of the game.
    pub all: f64,
    /// Points on the opponent's serve.
    pub receives: f64,
}

impl GameLaw {
    /// To 11, two points clear, service changes every two points and every point from 10-10.
    pub const ELEVEN: Self = Self { points: 11, turn: 2 };
    /// To 21, five services each: the law until 2001.
    pub const TWENTY_ONE: Self = Self { points: 21, turn: 5 };

    /// Points needed to win (11).
    pub fn points(self) -> u32 {
        self.points
    }

    /// Whether the game is over at this score.
    pub fn is_over(self, own: u32, theirs: u32) -> bool {
        own.max(theirs) >= self.points && own.abs_diff(theirs) >= 2
    }

    /// Whether the player serves the next point; for 11 points the same as [`Game::server`].
    pub fn i_serve(self, score: Game) -> bool {
        let played = score.me + score.them;
        let tail = 2 * (self.points - 1);
        let turns =
            if played >= tail { tail / self.turn + played - tail } else { played / self.turn };
        (score.first_server == End::Me) == turns.is_multiple_of(2)
    }

    /// Whether play can stand at this score with a point still to come.
    pub fn is_open(self, own: u32, theirs: u32) -> bool {
        let (high, low) = (own.max(theirs), own.min(theirs));
        high < self.points || high - low <= 1
    }

    /// Chance of the game before its first ball, whoever serves first.
    ///
    /// `G = P(X+Y >= n) + P(X+Y = n-1) D`, X and Y binomial with n-1 trials each (n = 11).
    pub fn win(self, chances: Chances) -> f64 {
        let sum = self.first_points(chances);
        let tie = (self.points - 1) as usize;
        let ahead: f64 = sum[tie + 1..].iter().sum();
        ahead + sum[tie] * chances.deuce()
    }

    /// Chance that the game reaches the tie at which two points clear are needed (10-10).
    pub fn tie(self, chances: Chances) -> f64 {
        self.first_points(chances)[(self.points - 1) as usize]
    }

    /// Distribution of own points among the first 2(n-1), n-1 of them on each serve.
    fn first_points(self, chances: Chances) -> Vec<f64> {
        let each = (self.points - 1) as usize;
        convolve(&binomial(each, chances.serve()), &binomial(each, chances.receive()))
    }

    /// Chance of the game from a score.
    ///
    /// # Errors
    /// A score no game reaches with a point still to come.
    pub fn win_from(self, chances: Chances, score: Game) -> Result<f64, TacticsError> {
        if self.is_over(score.me, score.them) && self.is_reached(score) {
            return Ok(if score.me > score.them { 1.0 } else { 0.0 });
        }
        let score = self.folded(score)?;
        let table = self.table(chances, score.first_server);
        Ok(table.at(score.me, score.them))
    }

    /// What the next point decides: chance of the game after winning it less after losing it.
    ///
    /// # Errors
    /// As [`GameLaw::win_from`].
    ///
    /// # Source
    /// Morris, The most important points in tennis (1977).
    pub fn importance(self, chances: Chances, score: Game) -> Result<f64, TacticsError> {
        let score = self.folded(score)?;
        let table = self.table(chances, score.first_server);
        Ok(table.at(score.me + 1, score.them) - table.at(score.me, score.them + 1))
    }

    /// Expected points of a game from 0-0, with its receives.
    pub fn expected_points(self, chances: Chances, first_server: End) -> ExpectedPoints {
        let top = self.points as usize;
        let mut reach = vec![vec![0.0; top + 1]; top + 1];
        reach[0][0] = 1.0;
        let (mut all, mut receives) = (0.0, 0.0);
        for own in 0..top {
            for theirs in 0..top {
                let here = reach[own][theirs];
                if own + 1 == top && theirs + 1 == top {
                    // From the tie points come in pairs, one on each serve, until a pair decides.
                    let p = chances;
                    let decided = p.serve() * p.receive() + (1.0 - p.serve()) * (1.0 - p.receive());
                    all += here * 2.0 / decided;
                    receives += here / decided;
                    continue;
                }
                #[expect(clippy::cast_possible_truncation, reason = "scores are below 22")]
                let score = Game { me: own as u32, them: theirs as u32, first_server };
                let i_serve = self.i_serve(score);
                let p = chances.point(i_serve);
                all += here;
                receives += if i_serve { 0.0 } else { here };
                reach[own + 1][theirs] += here * p;
                reach[own][theirs + 1] += here * (1.0 - p);
            }
        }
        ExpectedPoints { all, receives }
    }

    /// Brings a score beyond the tie back to the equal one: 13-12 is 11-10.
    pub(crate) fn folded(self, score: Game) -> Result<Game, TacticsError> {
        if !self.is_open(score.me, score.them) {
            return Err(TacticsError::NoSuchScore {
                own: score.me,
                theirs: score.them,
                unit: format!("game to {} that goes on", self.points),
            });
        }
        let beyond = score.me.min(score.them).saturating_sub(self.points - 1);
        Ok(Game { me: score.me - beyond, them: score.them - beyond, ..score })
    }

    /// A finished score is real only when the last point ended the game.
    fn is_reached(self, score: Game) -> bool {
        let (high, low) = (score.me.max(score.them), score.me.min(score.them));
        high == self.points && low + 2 <= high || high > self.points && high - low == 2
    }

    fn table(self, chances: Chances, first_server: End) -> GameTable {
        let top = self.points as usize;
        let side = top + 2;
        let mut win = vec![0.0; side * side];
        let deuce = chances.deuce();
        for own in (0..=top).rev() {
            for theirs in (0..=top).rev() {
                win[own * side + theirs] = if own + 1 == top && theirs + 1 == top {
                    deuce
                } else if own == top && theirs + 1 < top {
                    1.0
                } else if theirs == top && own + 1 < top {
                    0.0
                } else if own == top && theirs == top {
                    deuce
                } else {
                    #[expect(clippy::cast_possible_truncation, reason = "scores are below 22")]
                    let score = Game { me: own as u32, them: theirs as u32, first_server };
                    let p = chances.point(self.i_serve(score));
                    let won = if own == top { 1.0 } else { win[(own + 1) * side + theirs] };
                    let lost = if theirs == top { 0.0 } else { win[own * side + theirs + 1] };
                    p * won + (1.0 - p) * lost
                };
            }
        }
        // One further column and row: a lead of two beyond the tie.
        for other in 0..=top {
            win[(top + 1) * side + other] = 1.0;
            win[other * side + top + 1] = 0.0;
        }
        GameTable { side, win }
    }
}

/// Chances of the game at every score, for one first server.
struct GameTable {
    side: usize,
    win: Vec<f64>,
}

impl GameTable {
    fn at(&self, own: u32, theirs: u32) -> f64 {
        self.win[own as usize * self.side + theirs as usize]
    }
}

/// Probabilities of 0..=n successes in n trials.
pub(crate) fn binomial(n: usize, p: f64) -> Vec<f64> {
    let mut mass = vec![0.0; n + 1];
    mass[0] = 1.0;
    for trial in 0..n {
        for k in (0..=trial).rev() {
            mass[k + 1] += mass[k] * p;
            mass[k] *= 1.0 - p;
        }
    }
    mass
}

/// Distribution of a sum of two independent counts.
pub(crate) fn convolve(a: &[f64], b: &[f64]) -> Vec<f64> {
    let mut sum = vec![0.0; a.len() + b.len() - 1];
    for (i, x) in a.iter().enumerate() {
        for (j, y) in b.iter().enumerate() {
            sum[i + j] += x * y;
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_form_and_score_table_agree() {
        for (serve, receive) in [(0.55, 0.47), (0.3, 0.9), (0.62, 0.1), (1.0, 1.0)] {
            let chances = Chances::new(serve, receive).unwrap();
            for law in [GameLaw::ELEVEN, GameLaw::TWENTY_ONE] {
                for first in [End::Me, End::Them] {
                    let table = law.win_from(chances, Game::start(first)).unwrap();
                    assert!((table - law.win(chances)).abs() < 1e-13);
                }
            }
        }
    }

    #[test]
    fn a_finished_game_is_certain_and_an_impossible_score_refused() {
        let chances = Chances::new(0.5, 0.5).unwrap();
        let at = |own, theirs| {
            GameLaw::ELEVEN.win_from(chances, Game { me: own, them: theirs, first_server: End::Me })
        };
        assert_eq!(at(11, 9), Ok(1.0));
        assert_eq!(at(10, 12), Ok(0.0));
        assert!(at(12, 9).is_err());
        assert!(at(15, 11).is_err());
        assert_eq!(at(13, 12), at(11, 10));
    }
}
