//! The exact chance of winning a game and a match.
//!
//! Points are taken as independent given who serves: `serve` is the chance of a point on one's own
//! serve, `receive` on the opponent's. [`game`] holds the laws of one game, [`mod@matches`] a match,
//! [`slope`] what a little more chance is worth. What a serve or a receive wins is decided elsewhere
//! ([`crate::tactics::rates`]); nothing here rounds or samples.
//!
//! # Source
//! ITTF Laws of Table Tennis 2.11 (a game), 2.12 (a match), 2.13 (order of serving). The model of two
//! point chances: Dominicy, Ley & Swan, Braz. J. Probab. Stat. 27 (2013).

pub mod game;
pub mod matches;
pub mod slope;

pub use game::GameLaw;

use crate::tactics::fault::{TacticsError, chance};

/// The two point chances of one player against one opponent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chances {
    serve: f64,
    receive: f64,
}

impl Chances {
    /// Point chances on one's own serve and on the opponent's, each zero to one.
    ///
    /// # Errors
    /// A number outside zero to one, or a pair with which no game would end (1 and 0).
    pub fn new(serve: f64, receive: f64) -> Result<Self, TacticsError> {
        let serve = chance("serve", serve)?;
        let receive = chance("receive", receive)?;
        // The guard for (1, 0) and (0, 1): from 10-10 nobody would ever lead by two.
        if serve * receive + (1.0 - serve) * (1.0 - receive) <= 0.0 {
            return Err(TacticsError::Endless { serve, receive });
        }
        Ok(Self { serve, receive })
    }

    /// Chance of a point on one's own serve.
    pub fn serve(self) -> f64 {
        self.serve
    }

    /// Chance of a point on the opponent's serve.
    pub fn receive(self) -> f64 {
        self.receive
    }

    /// The same player with another chance on the opponent's serve.
    ///
    /// # Errors
    /// As [`Chances::new`].
    pub fn with_receive(self, receive: f64) -> Result<Self, TacticsError> {
        Self::new(self.serve, receive)
    }

    /// Chance of the next point.
    pub fn point(self, i_serve: bool) -> f64 {
        if i_serve { self.serve } else { self.receive }
    }

    /// Chance of the game from a tie that needs two points clear, whoever serves next.
    ///
    /// `D = p_s p_r / (p_s p_r + q_s q_r)`
    pub fn deuce(self) -> f64 {
        let both = self.serve * self.receive;
        let none = (1.0 - self.serve) * (1.0 - self.receive);
        both / (both + none)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pair_that_never_ends_is_refused() {
        assert!(matches!(Chances::new(1.0, 0.0), Err(TacticsError::Endless { .. })));
        assert!(matches!(Chances::new(0.0, 1.0), Err(TacticsError::Endless { .. })));
        assert!(Chances::new(1.0, 1.0).is_ok());
    }
}
