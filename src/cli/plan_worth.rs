//! `plan worth`: what winning a little more against a serve is worth in matches, from any score.

use clap::Args;

use crate::cli::values::match_length;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::editing;
use crate::game::{End, Game, Match, MatchLength};
use crate::page::worth::WorthPage;
use crate::tactics::verdict::Verdicts;
use crate::tactics::worth::{UnsureChances, worth};

/// What a better receive is worth in matches
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball plan worth north --by 0.05\n\
        \x20 secondball plan worth north short-fh --by 0.1 \\\n\
        \x20   --score 1-1/8-8 --server them --best-of 5")]
pub(super) struct WorthArguments {
    #[command(flatten)]
    whom: Whom,
    /// The serve, in its short word; every serve in turn without it
    serve: Option<String>,
    /// How much more is won of one point, -1 to 1
    #[arg(long, allow_negative_numbers = true, value_parser = crate::cli::values::number, value_name = "SHARE", default_value_t = 0.05)]
    by: f64,
    /// Games and points, yours first: 1-1/8-8
    #[arg(long, value_name = "SCORE", default_value = "0-0/0-0", value_parser = read_score)]
    score: Score,
    /// Who serves the next point: me or them
    #[arg(long, value_name = "WHO", default_value = "me", value_parser = crate::cli::values::end)]
    server: End,
    /// The match is the best of 3, 5 or 7 games
    #[arg(long, value_name = "GAMES", default_value_t = 5)]
    best_of: u32,
    /// Print a document for programs
    #[arg(long)]
    json: bool,
}

/// Games and points, the player's first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Score {
    games: (u32, u32),
    points: (u32, u32),
}

/// Reads `1-1/8-8`, or `8-8` alone for the first game.
fn read_score(given: &str) -> Result<Score, String> {
    let pair = |text: &str| {
        let (me, them) = text.trim().split_once(['-', ':'])?;
        Some((me.trim().parse().ok()?, them.trim().parse().ok()?))
    };
    let read = match given.split_once('/') {
        Some((games, points)) => pair(games).zip(pair(points)),
        None => pair(given).map(|points| ((0, 0), points)),
    };
    read.map(|(games, points)| Score { games, points })
        .ok_or_else(|| "games and points, yours first, for example 1-1/8-8".to_owned())
}

/// The match at a score with this player serving next.
fn at(length: MatchLength, score: Score, server: End) -> Result<Match> {
    let (me, them) = score.points;
    let if_i_began = Game { me, them, first_server: End::Me }.server();
    let first = if if_i_began == server { End::Me } else { End::Them };
    Match::at(length, score.games, score.points, first).map_err(|error| {
        Failure::request(error.to_string(), "games and points, yours first: `--score 1-1/8-8`")
    })
}

/// Prints what it is worth.
pub(super) fn run(arguments: &WorthArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let length = match_length(arguments.best_of)?;
    let at = at(length, arguments.score, arguments.server)?;
    let dossier = desk.dossier(arguments.whom.opponent(), world)?;
    let verdicts = Verdicts::judge(dossier.question(length, None, world.seed));
    if !(-1.0..=1.0).contains(&arguments.by) {
        return Err(Failure::request(
            format!("`--by` is {}, allowed is -1 to 1", arguments.by),
            "how much more is won of one point, for example `--by 0.05`",
        ));
    }
    let mut worths = Vec::new();
    if let Some(serve) = &arguments.serve {
        let id = editing::find_serve(dossier.deck, serve)?;
        worths.push(worth(&verdicts, Some(&id), arguments.by, &at)?);
    } else {
        for serve in dossier.deck.active() {
            worths.push(worth(&verdicts, Some(&serve.id), arguments.by, &at)?);
        }
        worths.sort_by(|a, b| b.share.total_cmp(&a.share));
        worths.push(worth(&verdicts, None, arguments.by, &at)?);
    }
    let behind = UnsureChances::from_verdicts(&verdicts).behind;
    let page = WorthPage::new(dossier.deck, &at, worths, behind);
    world.print(&page, arguments.json, WorthPage::text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_score_is_games_and_points_or_points_alone() {
        let whole = Score { games: (1, 0), points: (8, 9) };
        assert_eq!(read_score("1-0/8-9"), Ok(whole));
        assert_eq!(read_score(" 1:0 / 8:9"), Ok(whole));
        assert_eq!(read_score("8-9"), Ok(Score { games: (0, 0), points: (8, 9) }));
        assert!(read_score("8").is_err());
    }

    #[test]
    fn the_server_asked_for_serves_the_next_point() {
        let length = MatchLength::best_of(5).unwrap();
        for points in [(0, 0), (3, 2), (8, 8), (10, 10), (11, 10)] {
            for server in [End::Me, End::Them] {
                let at = at(length, Score { games: (1, 1), points }, server).unwrap();
                assert_eq!(at.game.server(), server, "{points:?}");
            }
        }
        assert!(at(length, Score { games: (3, 0), points: (0, 0) }, End::Me).is_err());
    }
}
