//! A match: best of three, five or seven games, from any state.
//!
//! The player who served first in a game receives first in the next; with independent points the first
//! server does not change a game's chance before its first ball, so only the running game remembers it.

use super::{Chances, GameLaw, GameScore};
use crate::tactics::fault::TacticsError;

/// How many games a match has at most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BestOf {
    /// Two games win.
    Three,
    /// Three games win.
    Five,
    /// Four games win.
    Seven,
}

impl BestOf {
    /// From the number of games, 3, 5 or 7.
    ///
    /// # Errors
    /// Any other number.
    pub fn from_games(games: u32) -> Result<Self, TacticsError> {
        match games {
            3 => Ok(Self::Three),
            5 => Ok(Self::Five),
            7 => Ok(Self::Seven),
            other => Err(TacticsError::OutOfRange {
                what: "best_of",
                value: f64::from(other),
                least: 3.0,
                most: 7.0,
            }),
        }
    }

    /// Games needed to win the match.
    pub fn needed(self) -> u32 {
        match self {
            Self::Three => 2,
            Self::Five => 3,
            Self::Seven => 4,
        }
    }

    /// Games at most.
    pub fn games(self) -> u32 {
        2 * self.needed() - 1
    }

    /// Chance of the match when every game is won with chance `game`.
    pub fn win_from_game(self, game: f64, own: u32, theirs: u32) -> f64 {
        let needed = self.needed();
        if own >= needed {
            return 1.0;
        }
        if theirs >= needed {
            return 0.0;
        }
        game * self.win_from_game(game, own + 1, theirs)
            + (1.0 - game) * self.win_from_game(game, own, theirs + 1)
    }

    /// Chance of the match before its first ball.
    pub fn win(self, chances: Chances) -> f64 {
        self.win_from_game(GameLaw::ELEVEN.win(chances), 0, 0)
    }

    /// Chance of the match from a state.
    ///
    /// # Errors
    /// A state the laws cannot produce.
    pub fn win_from(self, chances: Chances, state: MatchState) -> Result<f64, TacticsError> {
        let (own, theirs) = state.games;
        self.checked(state)?;
        let game = GameLaw::ELEVEN.win(chances);
        let this = GameLaw::ELEVEN.win_from(chances, state.score)?;
        Ok(this * self.win_from_game(game, own + 1, theirs)
            + (1.0 - this) * self.win_from_game(game, own, theirs + 1))
    }

    /// Refuses a match that is already over.
    pub(crate) fn checked(self, state: MatchState) -> Result<(), TacticsError> {
        let (own, theirs) = state.games;
        if own >= self.needed() || theirs >= self.needed() {
            return Err(TacticsError::NoSuchScore {
                own,
                theirs,
                unit: format!("best of {} that goes on", self.games()),
            });
        }
        Ok(())
    }
}

/// Where a match stands: games, and the score of the running game.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct MatchState {
    /// Games won, own first.
    pub games: (u32, u32),
    /// The running game.
    pub score: GameScore,
}

impl MatchState {
    /// Before the first ball.
    pub fn start(i_serve_first: bool) -> Self {
        Self { games: (0, 0), score: GameScore::start(i_serve_first) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_match_from_its_start_is_the_match() {
        let chances = Chances::new(0.53, 0.49).unwrap();
        for best_of in [BestOf::Three, BestOf::Five, BestOf::Seven] {
            let start = best_of.win_from(chances, MatchState::start(false)).unwrap();
            assert!((start - best_of.win(chances)).abs() < 1e-13);
        }
    }

    #[test]
    fn a_match_that_is_over_is_refused() {
        let chances = Chances::new(0.5, 0.5).unwrap();
        let state = MatchState { games: (3, 1), score: GameScore::start(true) };
        let error = BestOf::Five.win_from(chances, state).unwrap_err();
        assert_eq!(error.to_string(), "`3-1` cannot be reached in a best of 5 that goes on");
    }
}
