//! The chances of a point under the plan, with what is not known of them, and what a change of them
//! is worth in chance of winning the match.
//!
//! "This receive wins six more of a hundred" against a serve that is a third of all is two points
//! of a hundred on the opponent's serve; the exact chance says what that does to a game and to a
//! match.

use serde::Serialize;

use crate::base::{Bound, OutOfBounds};
use crate::game::{End, Match, MatchLength, ServeId};
use crate::tactics::chance::{Chances, GameLaw, Slope, win_match, win_match_from};
use crate::tactics::question::Question;
use crate::tactics::verdict::Verdicts;

/// Points, own serve and theirs, below which a chance of the match says nothing.
const FEWEST_FOR_A_MATCH: f64 = 40.0;
/// Standard deviations either side that hold eight in ten of a bell.
const EIGHT_IN_TEN: f64 = 1.281_551_565_544_9;

/// The chances of a point with what is not known of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnsureChances {
    /// Expected.
    pub chances: Chances,
    /// Standard deviation on the own serve, and on the opponent's under the plan.
    pub sds: (f64, f64),
    /// Points behind the own serve, and behind the plan's own receives.
    pub behind: (f64, f64),
}

impl UnsureChances {
    /// From the verdicts: every serve by its share, each as uncertain as its own receive, and an
    /// answer that looks read with what is left of it.
    pub fn from_verdicts(verdicts: &Verdicts<'_>) -> Self {
        let Question { deck, history, .. } = verdicts.question;
        let question = &verdicts.question;
        let (own, overall) = (question.serving(), question.receiving());
        let (mut sum, mut shares, mut points) = (0.0, 0.0, 0.0);
        let (mut variance, mut in_common) = (0.0, 0.0);
        for serve in deck.active() {
            let share = deck.share(&serve.id);
            let planned = deck.plan.get(&serve.id);
            points += planned.map_or(0.0, |of| history.record(&serve.id, of).behind());
            // Without a plan it counts with the safe receive's rate, or the overall share.
            let (mean, own_sd, shared_sd) =
                if let Some(receive) = planned.or_else(|| deck.safe_answer(serve)) {
                    let belief = question.shared_belief(&serve.id, receive);
                    (belief.mean, belief.own_sd, belief.shared_sd)
                } else {
                    let its = history.serves.get(&serve.id);
                    let belief = its.map_or(overall, |tally| tally.belief(overall));
                    (belief.mean(), belief.sd(), 0.0)
                };
            let now = verdicts.on(&serve.id).filter(|lesson| lesson.verdict.is_doubted());
            sum += share * now.map_or(mean, |lesson| lesson.now);
            variance += (share * own_sd).powi(2);
            in_common += share * shared_sd;
            shares += share;
        }
        let (receive, receive_sd) = if shares > 0.0 {
            (sum / shares, variance.sqrt().hypot(in_common) / shares)
        } else {
            (overall.mean(), overall.sd())
        };
        Self {
            chances: Chances::new(own.mean(), receive),
            sds: (own.sd(), receive_sd),
            behind: (f64::from(history.own_points), points),
        }
    }

    /// Whether enough points stand behind them to speak of the match.
    pub fn are_enough(&self) -> bool {
        self.behind.0 + self.behind.1 >= FEWEST_FOR_A_MATCH
    }

    /// Where the two chances lie, eight times in ten.
    pub fn ranges(&self) -> ((f64, f64), (f64, f64)) {
        let around = |mean: f64, sd: f64| {
            let spread = EIGHT_IN_TEN * sd;
            ((mean - spread).max(0.0), (mean + spread).min(1.0))
        };
        (around(self.chances.serve(), self.sds.0), around(self.chances.receive(), self.sds.1))
    }

    /// Where a chance of the match lies, eight times in ten: both chances moved along the steepest
    /// way.
    pub fn range_of(&self, slope: Slope, win: impl Fn(Chances) -> f64) -> (f64, f64) {
        let (along_serve, along_receive) =
            (slope.serve * self.sds.0.powi(2), slope.receive * self.sds.1.powi(2));
        let sd = f64::hypot(slope.serve * self.sds.0, slope.receive * self.sds.1).max(1e-12);
        let at = |z: f64| {
            let moved = |mean: f64, along: f64| (mean + z * along / sd).clamp(0.01, 0.99);
            win(Chances::new(
                moved(self.chances.serve(), along_serve),
                moved(self.chances.receive(), along_receive),
            ))
        };
        (at(-EIGHT_IN_TEN), at(EIGHT_IN_TEN))
    }
}

/// What a change of plan is worth in chance of the match, with the range its rates leave open.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ChangeWorth {
    /// Chance of the match without it.
    pub before: f64,
    /// Expected to be added.
    pub expected: f64,
    /// Low and high end of what is added, eight times in ten.
    pub range: (f64, f64),
}

impl ChangeWorth {
    /// Of winning so many more points on the opponent's serve; `sd` is what is not known of that
    /// gain.
    pub fn from_gain(length: MatchLength, before: Chances, gain: f64, sd: f64) -> Self {
        let start = win_match(length, before);
        let added = |gain: f64| {
            let then = Chances::new(before.serve(), before.receive() + gain);
            win_match(length, then) - start
        };
        let spread = sd * EIGHT_IN_TEN;
        Self {
            before: start,
            expected: added(gain),
            range: (added(gain - spread), added(gain + spread)),
        }
    }
}

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
    /// Enough points stand behind it to speak of it; what is added is exact for the rates either
    /// way.
    pub is_match_known: bool,
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
        is_match_known: unsure.are_enough(),
        seen_a_game: share * 0.5 * (seen[0] + seen[1]),
    })
}
