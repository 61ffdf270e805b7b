//! What a little more point chance is worth: exact derivatives, and the gain of a definite change.
//!
//! The derivative answers "one receive in a hundred more": `slope.receive * 0.01`. A definite change is
//! computed twice and subtracted, from any state of the match.

use super::game::{binomial, convolve};
use super::{Chances, GameLaw, matches};
use crate::game::{Match, MatchLength};
use crate::tactics::fault::TacticsError;

/// Derivatives with respect to the two point chances.
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
    /// `d P(X+Y = n-1)/dp_r = (n-1) [P(X+Y' = n-2) - P(X+Y' = n-1)]`; `dD/dp_r = p_s q_s / (p_s p_r + q_s q_r)^2`.
    pub fn of_game(law: GameLaw, chances: Chances) -> Self {
        let (serve, receive) = (chances.serve(), chances.receive());
        Self { serve: along(law, receive, serve), receive: along(law, serve, receive) }
    }

    /// Slope of the chance of a match before its first ball.
    ///
    /// `dM/dG = (2k-1) C(2k-2, k-1) (G (1-G))^(k-1)`, k the games needed.
    pub fn of_match(length: MatchLength, chances: Chances) -> Self {
        let game = GameLaw::ELEVEN.win(chances);
        let k = length.to_win();
        // C(2k-2, k-1) as a product of small whole ratios.
        let ways: f64 = (1..k).map(|j| f64::from(k - 1 + j) / f64::from(j)).product();
        let both = f64::powf(game * (1.0 - game), f64::from(k - 1));
        let outer = f64::from(2 * k - 1) * ways * both;
        let inner = Self::of_game(GameLaw::ELEVEN, chances);
        Self { serve: outer * inner.serve, receive: outer * inner.receive }
    }
}

/// Derivative of the game chance along `p`, the chance on the other serve being `other`.
fn along(law: GameLaw, other: f64, p: f64) -> f64 {
    let each = (law.points() - 1) as usize;
    let whole = convolve(&binomial(each, other), &binomial(each, p));
    let less = convolve(&binomial(each, other), &binomial(each - 1, p));
    let n = each as f64;
    let both = other * p + (1.0 - other) * (1.0 - p);
    let deuce = other * p / both;
    n * less[each]
        + n * (less[each - 1] - less[each]) * deuce
        + whole[each] * other * (1.0 - other) / (both * both)
}

/// Chance of the match before and after a change of the point chances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gain {
    /// As things are.
    pub before: f64,
    /// After the change.
    pub after: f64,
}

impl Gain {
    /// What the change adds to the chance of the match from this state.
    ///
    /// # Errors
    /// A state the laws cannot produce.
    pub fn from_state(at: &Match, now: Chances, then: Chances) -> Result<Self, TacticsError> {
        Ok(Self { before: matches::win_from(now, at)?, after: matches::win_from(then, at)? })
    }

    /// The worth: after less before.
    pub fn worth(self) -> f64 {
        self.after - self.before
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slope_is_the_limit_of_differences() {
        let h = 1e-6;
        for (serve, receive) in [(0.55, 0.45), (0.7, 0.2), (0.4, 0.6)] {
            let seven = MatchLength::best_of(7).unwrap();
            let at = |s, r| matches::win(seven, Chances::new(s, r).unwrap());
            let slope = Slope::of_match(seven, Chances::new(serve, receive).unwrap());
            let by_receive = (at(serve, receive + h) - at(serve, receive - h)) / (2.0 * h);
            let by_serve = (at(serve + h, receive) - at(serve - h, receive)) / (2.0 * h);
            assert!((slope.receive - by_receive).abs() < 1e-7);
            assert!((slope.serve - by_serve).abs() < 1e-7);
        }
    }
}
