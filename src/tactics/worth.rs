//! What an improvement is worth in chance of winning the match.
//!
//! "This receive wins six more of a hundred" against a serve that is a third of all is two points of a hundred on
//! the opponent's serve; the exact chance says what that does to a game and to a match.

use serde::Serialize;

use crate::game::{Match, ServeId};
use crate::tactics::advice::{Question, Standing};
use crate::tactics::chance::slope::Slope;
use crate::tactics::chance::{GameLaw, matches};
use crate::tactics::fault::{TacticsError, within};
use crate::tactics::verdict::judge;

/// The worth of one improvement.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Worth {
    /// The serve it is about; none for every serve alike.
    pub serve: Option<ServeId>,
    /// Share of the opponent's serves.
    pub share: f64,
    /// More points won of one, against that serve.
    pub improvement: f64,
    /// Chance of a point on the own serve.
    pub serving: f64,
    /// Chance of a point on the opponent's serve, before and after.
    pub receiving: (f64, f64),
    /// Chance of a game from its start, before and after.
    pub game: (f64, f64),
    /// Chance of the match from the score asked for, before and after.
    pub match_chance: (f64, f64),
    /// Where the chances of a point lie before, on the own and on the opponent's serve, eight times in ten.
    pub ranges: ((f64, f64), (f64, f64)),
    /// Where the chance of the match lies before.
    pub match_range: (f64, f64),
    /// How many of this serve come in a game, on average.
    pub seen_a_game: f64,
}

/// What winning `improvement` more against one serve (or against all) is worth from a score.
///
/// # Errors
/// An improvement to less than no point or more than every one, a score the laws cannot produce.
pub fn worth(
    question: &Question<'_>,
    serve: Option<&ServeId>,
    improvement: f64,
    at: &Match,
) -> Result<Worth, TacticsError> {
    let share = serve.map_or(1.0, |id| question.deck.share(id));
    let standing = Standing::of(question)?;
    let now = standing.chances;
    let rate = match serve.and_then(|id| question.deck.serve(id)) {
        Some(serve) => match question.deck.plan.get(&serve.id) {
            Some(receive) => judge(question, serve, receive)?.now,
            None => now.receive(),
        },
        None => now.receive(),
    };
    // No receive wins more than every point, or less than none; said in whole points of a hundred.
    let whole = |room: f64| (room * 100.0).floor() / 100.0;
    let improvement = within("improvement", improvement, -whole(rate), whole(1.0 - rate))?;
    let then = now.with_receive((now.receive() + share * improvement).clamp(0.0, 1.0))?;
    let law = GameLaw::ELEVEN;
    // The first server changes the number of receives in a game by less than one: take the middle.
    let receives = crate::game::End::Me;
    let seen = [receives, receives.other()].map(|end| law.expected_points(now, end).receives);
    Ok(Worth {
        serve: serve.cloned(),
        share,
        improvement,
        serving: now.serve(),
        receiving: (now.receive(), then.receive()),
        game: (law.win(now), law.win(then)),
        match_chance: (matches::win_from(now, at)?, matches::win_from(then, at)?),
        ranges: standing.ranges(),
        match_range: standing.range_of(Slope::of_match(question.length, now), |chances| {
            matches::win_from(chances, at)
        })?,
        seen_a_game: share * 0.5 * (seen[0] + seen[1]),
    })
}
