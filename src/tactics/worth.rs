//! What an improvement is worth in chance of winning the match.
//!
//! "This receive wins six more of a hundred" against a serve that is a third of all is two points
//! of a hundred on the opponent's serve; the exact chance says what that does to a game and to a
//! match.

use serde::Serialize;

use crate::base::{Bound, OutOfBounds};
use crate::game::{End, Match, ServeId};
use crate::tactics::chance::{Chances, GameLaw, Slope, win_match_from};
use crate::tactics::unsure_chances::UnsureChances;
use crate::tactics::verdict::Verdicts;

/// The worth of one improvement.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ImprovementWorth {
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
    /// Where the chances of a point lie before, on the own and on the opponent's serve, eight times
    /// in ten.
    pub ranges: ((f64, f64), (f64, f64)),
    /// Where the chance of the match lies before.
    pub match_range: (f64, f64),
    /// How many of this serve come in a game, on average.
    pub seen_a_game: f64,
}

/// What winning `improvement` more against one serve (or against all) is worth from a score.
///
/// # Errors
/// [`OutOfBounds`] for an improvement to less than no point or more than every one.
pub fn worth(
    verdicts: &Verdicts<'_>,
    serve: Option<&ServeId>,
    improvement: f64,
    at: &Match,
) -> Result<ImprovementWorth, OutOfBounds> {
    let question = &verdicts.question;
    let share = serve.map_or(1.0, |id| question.deck.share(id));
    let unsure = UnsureChances::from_verdicts(verdicts);
    let now = unsure.chances;
    let lesson = serve.and_then(|id| verdicts.on(id));
    let rate = lesson.map_or(now.receive(), |lesson| lesson.now);
    // No receive wins more than every point, or less than none; said in whole points of a hundred.
    let whole = |room: f64| (room * 100.0).floor() / 100.0;
    let bound = Bound {
        what: "`improvement`",
        unit: "",
        least: -whole(rate),
        most: whole(1.0 - rate),
        source: "every point, or none",
    };
    let improvement = bound.check(improvement)?;
    let then = Chances::new(now.serve(), now.receive() + share * improvement);
    let law = GameLaw::ELEVEN;
    // The first server changes the number of receives in a game by less than one: take the middle.
    let seen = [End::Me, End::Them].map(|first| law.expected_receives(now, first));
    Ok(ImprovementWorth {
        serve: serve.cloned(),
        share,
        improvement,
        serving: now.serve(),
        receiving: (now.receive(), then.receive()),
        game: (law.win(now), law.win(then)),
        match_chance: (win_match_from(now, at), win_match_from(then, at)),
        ranges: unsure.ranges(),
        match_range: unsure.range_of(Slope::from_match(question.length, now), |chances| {
            win_match_from(chances, at)
        }),
        seen_a_game: share * 0.5 * (seen[0] + seen[1]),
    })
}
