//! A match: best of three, five or seven games, from any state.
//!
//! The player who served first in a game receives first in the next; with independent points the first
//! server does not change a game's chance before its first ball, so only the running game remembers it.

use super::{Chances, GameLaw};
use crate::game::{End, Match, MatchLength};
use crate::tactics::fault::TacticsError;

/// Chance of the match when every game is won with chance `game`, from a score in games.
pub fn win_from_games(length: MatchLength, game: f64, me: u32, them: u32) -> f64 {
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
pub fn win(length: MatchLength, chances: Chances) -> f64 {
    win_from_games(length, GameLaw::ELEVEN.win(chances), 0, 0)
}

/// Chance of the match from a score; certain when it is over.
///
/// # Errors
/// A game score the laws cannot produce.
pub fn win_from(chances: Chances, at: &Match) -> Result<f64, TacticsError> {
    if let Some(winner) = at.winner() {
        return Ok(if winner == End::Me { 1.0 } else { 0.0 });
    }
    let game = GameLaw::ELEVEN.win(chances);
    let this = GameLaw::ELEVEN.win_from(chances, at.game)?;
    Ok(this * win_from_games(at.length, game, at.games_me + 1, at.games_them)
        + (1.0 - this) * win_from_games(at.length, game, at.games_me, at.games_them + 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_match_from_its_start_is_the_match() {
        let chances = Chances::new(0.53, 0.49).unwrap();
        for games in [3, 5, 7] {
            let length = MatchLength::best_of(games).unwrap();
            let start = win_from(chances, &Match::start(length, End::Them)).unwrap();
            assert!((start - win(length, chances)).abs() < 1e-13);
        }
    }

    #[test]
    fn a_match_that_is_over_is_certain() {
        let chances = Chances::new(0.5, 0.5).unwrap();
        let mut lost = Match::start(MatchLength::best_of(3).unwrap(), End::Me);
        for _ in 0..22 {
            lost = lost.after(End::Them);
        }
        assert_eq!(win_from(chances, &lost), Ok(0.0));
    }
}
