//! The exact chance of winning a game and a match, and what a little more point chance is worth.
//!
//! Points are taken as independent given who serves: `serve` is the chance of a point on one's own
//! serve, `receive` on the opponent's. What a serve or a receive wins is decided elsewhere
//! ([`crate::tactics::rates`]); nothing here rounds or samples. A tie at which two points clear are
//! needed is one state, so every table is finite and exact.
//!
//! # Source
//! ITTF Laws of Table Tennis 2.11 (a game), 2.12 (a match), 2.13 (order of serving). The model of
//! two point chances: Dominicy, Ley & Swan, Braz. J. Probab. Stat. 27 (2013).

use crate::game::{End, Game, Match, MatchLength};

/// How far a chance is kept from certainty: with 1 on the own serve and 0 on the opponent's no game
/// would ever end.
const EDGE: f64 = f64::EPSILON;

/// The two point chances of one player against one opponent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chances {
    serve: f64,
    receive: f64,
}

impl Chances {
    /// Chance of a point on one's own serve and on the opponent's, each taken to be inside zero to
    /// one.
    pub fn new(serve: f64, receive: f64) -> Self {
        let inside = |rate: f64| rate.clamp(EDGE, 1.0 - EDGE);
        Self { serve: inside(serve), receive: inside(receive) }
    }

    /// Chance of a point on one's own serve.
    pub fn serve(self) -> f64 {
        self.serve
    }

    /// Chance of a point on the opponent's serve.
    pub fn receive(self) -> f64 {
        self.receive
    }

    /// Chance of the next point.
    pub fn point(self, i_serve: bool) -> f64 {
        if i_serve { self.serve } else { self.receive }
    }

    /// Chance of the game from a tie that needs two points clear, whoever serves next.
    ///
    /// `D = p_s p_r / (p_s p_r + q_s q_r)`
    pub fn deuce(self) -> f64 {
        self.serve * self.receive / self.decided()
    }

    /// Chance that two points, one on each serve, decide a tie.
    fn decided(self) -> f64 {
        self.serve * self.receive + (1.0 - self.serve) * (1.0 - self.receive)
    }
}

/// How long a game is and how often service changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GameLaw {
    /// Points that win, two clear.
    pub points: u32,
    /// Services each before the serve changes.
    pub turn: u32,
}

impl GameLaw {
    /// To 11, service changes every two points and every point from 10-10.
    pub const ELEVEN: Self = Self { points: 11, turn: 2 };

    /// Whether the player serves the next point; for 11 points the same as [`Game::server`].
    pub fn i_serve(self, score: Game) -> bool {
        let played = score.me + score.them;
        let tail = 2 * (self.points - 1);
        let turns =
            if played >= tail { tail / self.turn + played - tail } else { played / self.turn };
        (score.first_server == End::Me) == turns.is_multiple_of(2)
    }

    /// Chance of the game before its first ball, whoever serves first.
    ///
    /// `G = P(X+Y >= n) + P(X+Y = n-1) D`, X and Y binomial with n-1 trials each (n = 11).
    pub fn win(self, chances: Chances) -> f64 {
        let each = (self.points - 1) as usize;
        let sum = convolve(&binomial(each, chances.serve), &binomial(each, chances.receive));
        sum[each + 1..].iter().sum::<f64>() + sum[each] * chances.deuce()
    }

    /// Chance of the game from a score, by backward induction over the scores.
    pub fn win_from(self, chances: Chances, score: Game) -> f64 {
        // Beyond the tie only the lead counts: 13-12 is 11-10.
        let beyond = score.me.min(score.them).saturating_sub(self.points - 1);
        let (own, theirs) = (score.me - beyond, score.them - beyond);
        let side = self.points as usize + 1;
        let mut open = vec![0.0; side * side];
        let place = |own: u32, theirs: u32| own as usize * side + theirs as usize;
        let at = |open: &[f64], own: u32, theirs: u32| {
            self.settled(chances, own, theirs).unwrap_or_else(|| open[place(own, theirs)])
        };
        for me in (own..=self.points).rev() {
            for them in (theirs..=self.points).rev() {
                if self.settled(chances, me, them).is_none() {
                    let p = chances.point(self.i_serve(Game { me, them, ..score }));
                    let (won, lost) = (at(&open, me + 1, them), at(&open, me, them + 1));
                    open[place(me, them)] = p * won + (1.0 - p) * lost;
                }
            }
        }
        at(&open, own, theirs)
    }

    /// The chance at a score that is over, or level and two points clear are needed.
    fn settled(self, chances: Chances, own: u32, theirs: u32) -> Option<f64> {
        let is_over = own.max(theirs) >= self.points && own.abs_diff(theirs) >= 2;
        if is_over {
            return Some(if own > theirs { 1.0 } else { 0.0 });
        }
        (own == theirs && own + 1 >= self.points).then(|| chances.deuce())
    }

    /// Expected number of points on the opponent's serve in a game from 0-0.
    pub fn expected_receives(self, chances: Chances, first_server: End) -> f64 {
        let tie = self.points - 1;
        let mut reach = vec![vec![0.0; self.points as usize + 1]; self.points as usize + 1];
        reach[0][0] = 1.0;
        let mut receives = 0.0;
        for me in 0..=tie {
            for them in 0..=tie {
                let (own, theirs) = (me as usize, them as usize);
                let here: f64 = reach[own][theirs];
                if me == tie && them == tie {
                    // From the tie points come in pairs, one on each serve, until a pair decides.
                    receives += here / chances.decided();
                    continue;
                }
                let i_serve = self.i_serve(Game { me, them, first_server });
                let p = chances.point(i_serve);
                receives += if i_serve { 0.0 } else { here };
                reach[own + 1][theirs] += here * p;
                reach[own][theirs + 1] += here * (1.0 - p);
            }
        }
        receives
    }
}

/// Probabilities of 0..=n successes in n trials.
pub fn binomial(n: usize, p: f64) -> Vec<f64> {
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
pub fn convolve(a: &[f64], b: &[f64]) -> Vec<f64> {
    let mut sum = vec![0.0; a.len() + b.len() - 1];
    for (i, x) in a.iter().enumerate() {
        for (j, y) in b.iter().enumerate() {
            sum[i + j] += x * y;
        }
    }
    sum
}

/// Chance of the match when every game is won with chance `game`, from a score in games.
fn win_from_games(length: MatchLength, game: f64, me: u32, them: u32) -> f64 {
    if me >= length.to_win() {
        return 1.0;
    }
    if them >= length.to_win() {
        return 0.0;
    }
    game * win_from_games(length, game, me + 1, them)
        + (1.0 - game) * win_from_games(length, game, me, them + 1)
}

/// Chance of the match before its first ball.
pub fn win_match(length: MatchLength, chances: Chances) -> f64 {
    win_from_games(length, GameLaw::ELEVEN.win(chances), 0, 0)
}

/// Chance of the match from a score; certain when it is over.
///
/// With independent points the first server does not change a game's chance before its first ball,
/// so only the running game remembers who served first.
pub fn win_match_from(chances: Chances, at: &Match) -> f64 {
    if let Some(winner) = at.winner() {
        return if winner == End::Me { 1.0 } else { 0.0 };
    }
    let game = GameLaw::ELEVEN.win(chances);
    let this = GameLaw::ELEVEN.win_from(chances, at.game);
    this * win_from_games(at.length, game, at.games_me + 1, at.games_them)
        + (1.0 - this) * win_from_games(at.length, game, at.games_me, at.games_them + 1)
}

/// Derivatives with respect to the two point chances: one point in a hundred more adds a hundredth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// With respect to the chance on one's own serve.
    pub serve: f64,
    /// With respect to the chance on the opponent's serve.
    pub receive: f64,
}

impl Slope {
    /// Slope of the chance of a game before its first ball.
    ///
    /// With `Y'` binomial(n-2): `d P(X+Y >= n)/dp_r = (n-1) P(X+Y' = n-1)` and
    /// `d P(X+Y = n-1)/dp_r = (n-1) [P(X+Y' = n-2) - P(X+Y' = n-1)]`;
    /// `dD/dp_r = p_s q_s / (p_s p_r + q_s q_r)^2`.
    pub fn from_game(law: GameLaw, chances: Chances) -> Self {
        let Chances { serve, receive } = chances;
        Self { serve: along(law, receive, serve), receive: along(law, serve, receive) }
    }

    /// Slope of the chance of a match before its first ball.
    ///
    /// `dM/dG = (2k-1) C(2k-2, k-1) (G (1-G))^(k-1)`, k the games needed.
    pub fn from_match(length: MatchLength, chances: Chances) -> Self {
        let game = GameLaw::ELEVEN.win(chances);
        let k = length.to_win();
        // C(2k-2, k-1) as a product of small whole ratios.
        let ways: f64 = (1..k).map(|j| f64::from(k - 1 + j) / f64::from(j)).product();
        let both = f64::powf(game * (1.0 - game), f64::from(k - 1));
        let outer = f64::from(2 * k - 1) * ways * both;
        let inner = Self::from_game(GameLaw::ELEVEN, chances);
        Self { serve: outer * inner.serve, receive: outer * inner.receive }
    }
}

/// Derivative of the game chance along `p`, the chance on the other serve being `other`.
fn along(law: GameLaw, other: f64, p: f64) -> f64 {
    let each = (law.points - 1) as usize;
    let whole = convolve(&binomial(each, other), &binomial(each, p));
    let less = convolve(&binomial(each, other), &binomial(each - 1, p));
    let n = each as f64;
    let both = other * p + (1.0 - other) * (1.0 - p);
    let deuce = other * p / both;
    n * less[each]
        + n * (less[each - 1] - less[each]) * deuce
        + whole[each] * other * (1.0 - other) / (both * both)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pair_with_which_nobody_would_lead_by_two_is_even() {
        assert!((GameLaw::ELEVEN.win(Chances::new(1.0, 0.0)) - 0.5).abs() < 1e-12);
        assert!((Chances::new(0.0, 1.0).deuce() - 0.5).abs() < 1e-12);
    }

    #[test]
    fn closed_form_and_score_table_agree() {
        for (serve, receive) in [(0.55, 0.47), (0.3, 0.9), (0.62, 0.1), (1.0, 1.0)] {
            let chances = Chances::new(serve, receive);
            for law in [GameLaw::ELEVEN, GameLaw { points: 21, turn: 5 }] {
                for first in [End::Me, End::Them] {
                    let table = law.win_from(chances, Game::start(first));
                    assert!((table - law.win(chances)).abs() < 1e-13);
                }
            }
        }
    }

    #[test]
    fn a_finished_game_is_certain_and_only_the_lead_counts_beyond_the_tie() {
        let chances = Chances::new(0.5, 0.5);
        let at =
            |me, them| GameLaw::ELEVEN.win_from(chances, Game { me, them, first_server: End::Me });
        assert_eq!((at(11, 9), at(10, 12)), (1.0, 0.0));
        assert_eq!(at(13, 12), at(11, 10));
    }

    #[test]
    fn a_match_from_its_start_is_the_match_and_a_lost_one_is_lost() {
        let chances = Chances::new(0.53, 0.49);
        for games in [3, 5, 7] {
            let length = MatchLength::best_of(games).unwrap();
            let start = win_match_from(chances, &Match::start(length, End::Them));
            assert!((start - win_match(length, chances)).abs() < 1e-13);
        }
        let mut lost = Match::start(MatchLength::best_of(3).unwrap(), End::Me);
        for _ in 0..22 {
            lost = lost.after(End::Them);
        }
        assert_eq!(win_match_from(chances, &lost), 0.0);
    }

    #[test]
    fn slope_is_the_limit_of_differences() {
        let h = 1e-6;
        for (serve, receive) in [(0.55, 0.45), (0.7, 0.2), (0.4, 0.6)] {
            let seven = MatchLength::best_of(7).unwrap();
            let at = |s, r| win_match(seven, Chances::new(s, r));
            let slope = Slope::from_match(seven, Chances::new(serve, receive));
            let by_receive = (at(serve, receive + h) - at(serve, receive - h)) / (2.0 * h);
            let by_serve = (at(serve + h, receive) - at(serve - h, receive)) / (2.0 * h);
            assert!((slope.receive - by_receive).abs() < 1e-7);
            assert!((slope.serve - by_serve).abs() < 1e-7);
        }
    }
}
