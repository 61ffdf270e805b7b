//! What the numbers of a line may be. A line is judged when it is written and when it is read, so
//! that nothing folded later can fail or wrap: ten thousand a line, in all the lines there may be,
//! stay far below what a sum holds.

use crate::base::{Bound, Day, Moment, OutOfBounds};
use crate::journal::Fact;

const fn bound(what: &'static str, unit: &'static str, least: f64, most: f64) -> Bound {
    Bound { what, unit, least, most, source: "a journal of a player's life" }
}

/// Two centuries: a clock that was never set says 1970, a digit too many another age.
const YEAR: Bound = bound("the year", "", 2000.0, 2199.0);
/// A day ends up to 23 h late on a clock up to 14 h from UTC; and clocks have been a year off.
const FROM_NOON: Bound = bound("the instant, counted from noon of the day,", "h", -9600.0, 9600.0);
/// Whole in JSON everywhere, and never the last number there is.
const NUMBER: Bound = bound("the number `n`", "", 1.0, 1e15);
/// Of balls, serves seen, points of a game: one line is one sitting.
const COUNT: Bound = bound("a count", "", 0.0, 10_000.0);
/// A day: whoever was away from the clock for longer gave no answer.
const TIME: Bound = bound("a time", "ms", 0.0, 86_400_000.0);

/// Judges the head of a line.
///
/// # Errors
/// The number that is out of its bounds.
pub fn judge_head(n: u64, at_ms: i64, day: Day) -> Result<(), OutOfBounds> {
    NUMBER.check(n as f64)?;
    YEAR.check(f64::from(day.year()))?;
    let hours = (at_ms as f64 - Moment::noon(day).epoch_ms() as f64) / 3_600_000.0;
    FROM_NOON.check(hours).map(drop)
}

/// Judges what a line tells.
///
/// # Errors
/// The number that is out of its bounds.
pub fn judge_fact(fact: &Fact) -> Result<(), OutOfBounds> {
    let (bound, numbers) = match fact {
        Fact::Answer(answer) => {
            let cut = answer.cut.map_or(0, i32::unsigned_abs);
            (TIME, vec![answer.ms, answer.window, answer.motor, answer.tempo, cut])
        }
        Fact::Ball(ball) => (COUNT, vec![ball.made, ball.missed, ball.wrong]),
        Fact::Seen(seen) => (COUNT, vec![seen.times]),
        Fact::Debrief(told) => {
            (COUNT, told.games.iter().flat_map(|game| [game.0, game.1]).collect())
        }
        Fact::Point(_) | Fact::Undo { .. } | Fact::Forget { .. } => return Ok(()),
    };
    numbers.into_iter().try_for_each(|number| bound.check(number.into()).map(drop))
}
