//! The laws of scoring: a game, a match, and who serves.
//!
//! Source: ITTF Laws of Table Tennis 2.11 (a game: 11 points, from 10 all two points' lead), 2.12
//! (a match: the best of any odd number of games), 2.13 (order of serving: two points each, from
//! 10 all one; who served first in a game receives first in the next), 2.14 (change of ends: after
//! each game, and in the last possible game when a player first reaches 5).

use serde::{Deserialize, Serialize};

/// One of the two players, seen from the tool's user.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum End {
    /// The player who uses the tool.
    Me,
    /// The opponent.
    Them,
}

impl End {
    /// The other player.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Me => Self::Them,
            Self::Them => Self::Me,
        }
    }
}

/// A score that the laws do not allow.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ScoreError {
    /// The game was over before this score: the player's points, the opponent's.
    #[error("{0}-{1} is no score of a game: it ends at 11, or two points ahead after 10-10")]
    Game(u32, u32),
    /// Not the best of an odd number of games.
    #[error("a match is the best of 3, 5 or 7 games, not of {0}")]
    Length(u32),
    /// The match was over before this score: the player's games, the opponent's, and how many win.
    #[error("{0}-{1} in games is no score of a match to {2}")]
    Match(u32, u32, u32),
}

/// The score inside one game.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Game {
    /// The player's points.
    pub me: u32,
    /// The opponent's points.
    pub them: u32,
    /// Who served the first point of this game.
    pub first_server: End,
}

impl Game {
    /// A game about to start.
    pub const fn start(first_server: End) -> Self {
        Self { me: 0, them: 0, first_server }
    }

    /// A game at a score.
    ///
    /// # Errors
    /// [`ScoreError::Game`] for a score no game can have (2.11).
    pub fn at(me: u32, them: u32, first_server: End) -> Result<Self, ScoreError> {
        let (more, less) = (me.max(them), me.min(them));
        let is_possible = more <= 11 && (more < 11 || less <= 9) || less >= 10 && more - less <= 2;
        is_possible.then_some(Self { me, them, first_server }).ok_or(ScoreError::Game(me, them))
    }

    /// Who has won, when the game is over (2.11.1).
    pub fn winner(&self) -> Option<End> {
        let (more, less) = (self.me.max(self.them), self.me.min(self.them));
        let ahead = if self.me > self.them { End::Me } else { End::Them };
        (more >= 11 && more - less >= 2).then_some(ahead)
    }

    /// Who serves the next point (2.13.3); the last server stays named when the game is over.
    pub const fn server(&self) -> End {
        let played = self.me + self.them;
        let turn = if self.me >= 10 && self.them >= 10 { played } else { played / 2 };
        if turn.is_multiple_of(2) { self.first_server } else { self.first_server.other() }
    }

    /// The score after a point.
    #[must_use]
    pub const fn after(mut self, winner: End) -> Self {
        match winner {
            End::Me => self.me += 1,
            End::Them => self.them += 1,
        }
        self
    }

    /// True when the towel is allowed now: every six points (3.4.4.1.2 of the regulations).
    pub const fn is_towel_time(&self) -> bool {
        let played = self.me + self.them;
        played > 0 && played.is_multiple_of(6)
    }
}

/// How many games win the match.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct MatchLength(u32);

impl MatchLength {
    /// Best of 3, 5 or 7 (2.12).
    ///
    /// # Errors
    /// [`ScoreError::Length`] for another number.
    pub fn best_of(games: u32) -> Result<Self, ScoreError> {
        if matches!(games, 3 | 5 | 7) { Ok(Self(games)) } else { Err(ScoreError::Length(games)) }
    }

    /// The most games there can be.
    pub const fn games(self) -> u32 {
        self.0
    }

    /// Games that win the match.
    pub const fn to_win(self) -> u32 {
        self.0 / 2 + 1
    }
}

/// The score of a match.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Match {
    /// Best of how many.
    pub length: MatchLength,
    /// Games the player has won.
    pub games_me: u32,
    /// Games the opponent has won.
    pub games_them: u32,
    /// The game under way; the last one when the match is over.
    pub game: Game,
}

impl Match {
    /// A match about to start.
    pub const fn start(length: MatchLength, first_server: End) -> Self {
        Self { length, games_me: 0, games_them: 0, game: Game::start(first_server) }
    }

    /// A match at a score in games and points; `first_server` served first in *this* game.
    ///
    /// # Errors
    /// [`ScoreError`] for a score no match can have.
    pub fn at(
        length: MatchLength,
        games: (u32, u32),
        points: (u32, u32),
        first_server: End,
    ) -> Result<Self, ScoreError> {
        let to_win = length.to_win();
        if games.0 >= to_win || games.1 >= to_win {
            return Err(ScoreError::Match(games.0, games.1, to_win));
        }
        let game = Game::at(points.0, points.1, first_server)?;
        Ok(Self { length, games_me: games.0, games_them: games.1, game })
    }

    /// Who has won, when the match is over (2.12.1).
    pub fn winner(&self) -> Option<End> {
        let ahead = if self.games_me > self.games_them { End::Me } else { End::Them };
        (self.games_me.max(self.games_them) >= self.length.to_win()).then_some(ahead)
    }

    /// The score after a point. A game that ends starts the next one, with the other player serving
    /// first (2.13.5); nothing changes once the match is over.
    #[must_use]
    pub fn after(mut self, winner: End) -> Self {
        if self.winner().is_some() {
            return self;
        }
        self.game = self.game.after(winner);
        if let Some(game_winner) = self.game.winner() {
            match game_winner {
                End::Me => self.games_me += 1,
                End::Them => self.games_them += 1,
            }
            if self.winner().is_none() {
                self.game = Game::start(self.game.first_server.other());
            }
        }
        self
    }

    /// True when the players change ends just now in the decider: somebody first reaches 5
    /// (2.14.3).
    pub fn changes_ends_now(&self) -> bool {
        let Game { me, them, .. } = self.game;
        let is_decider = self.games_me + self.games_them + 1 == self.length.games();
        is_decider && me.max(them) == 5 && me.min(them) < 5
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(games: u32) -> MatchLength {
        MatchLength::best_of(games).unwrap()
    }

    #[test]
    fn service_changes_every_two_points_and_every_point_from_ten_all() {
        // Law 2.13.3, written out by hand.
        let mut game = Game::start(End::Me);
        let mut servers = String::new();
        for point in 0..24 {
            servers.push(if game.server() == End::Me { 'm' } else { 't' });
            game = game.after(if point % 2 == 0 { End::Me } else { End::Them });
        }
        assert_eq!(servers, "mmttmmttmmttmmttmmttmtmt");
    }

    #[test]
    fn a_game_ends_at_eleven_or_two_ahead() {
        let winner = |me, them| Game { me, them, first_server: End::Me }.winner();
        assert_eq!(winner(11, 9), Some(End::Me));
        assert_eq!(winner(11, 10), None);
        assert_eq!(winner(10, 12), Some(End::Them));
        assert_eq!(winner(14, 13), None);
    }

    #[test]
    fn impossible_scores_are_refused() {
        for (me, them) in [(12, 0), (12, 9), (11, 13), (14, 11), (10, 13)] {
            let is_fine = Game::at(me, them, End::Me).is_ok();
            assert_eq!(is_fine, (me, them) == (11, 13), "{me}-{them}");
        }
        assert!(MatchLength::best_of(4).is_err());
        assert!(Match::at(length(5), (3, 0), (0, 0), End::Me).is_err());
    }

    #[test]
    fn who_served_first_receives_first_in_the_next_game() {
        let mut score = Match::start(length(3), End::Them);
        for _ in 0..11 {
            score = score.after(End::Me);
        }
        assert_eq!((score.games_me, score.game), (1, Game::start(End::Me)));
        for _ in 0..11 {
            score = score.after(End::Me);
        }
        assert_eq!(score.winner(), Some(End::Me));
        assert_eq!(score.after(End::Them), score);
    }

    #[test]
    fn ends_change_at_five_in_the_decider_only() {
        let decider = Match::at(length(5), (2, 2), (5, 3), End::Me).unwrap();
        assert!(decider.changes_ends_now());
        let third = Match::at(length(5), (1, 1), (5, 3), End::Me).unwrap();
        assert!(!third.changes_ends_now());
        assert!(!decider.after(End::Them).after(End::Them).changes_ends_now());
    }
}
