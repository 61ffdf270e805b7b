//! The advice: per serve, which receive or mix, how far that can be trusted, why, and what it is worth.
//!
//! A document without any layout; the page and the command render it. Beliefs come from
//! [`crate::tactics::history`], the duel from [`crate::tactics::duel`], the chance from
//! [`crate::tactics::chance`]. Every assumption that went in is in the document.

mod choices;
mod document;
mod mixing;

pub use choices::{LEVEL, belief, choices};
pub(crate) use choices::{clean_prior, prior, read_side};
pub use document::{Advice, ChangeWorth, Choice, Mix, OtherDrop, ServeAdvice};

use crate::base::order::largest_first;
use crate::deck::{Deck, Player};
use crate::game::MatchLength;
use crate::tactics::chance::{Chances, matches, slope::Slope};
use crate::tactics::families::{Families, RECEIVER_WINS};
use crate::tactics::fault::TacticsError;
use crate::tactics::history::History;
use crate::tactics::rates::{Belief, Knowledge, STRENGTH};
use crate::tactics::verdict::{Lesson, Verdict, Verdicts, judge, judged_once};
use crate::tactics::words;

/// Standard deviations either side that hold eight in ten of a bell.
const EIGHT_IN_TEN: f64 = 1.281_551_565_544_9;
/// Points won on the own serve before anything is known: the other side of "receivers win slightly under half".
const SERVER_WINS: f64 = 0.52;

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// The opponent, lanes already the player's own.
    pub deck: &'a Deck,
    /// The name of its file, as a command takes it.
    pub file: &'a str,
    /// The player.
    pub player: &'a Player,
    /// What the journal says about this opponent.
    pub history: &'a History,
    /// What it says about receive families, over all opponents.
    pub families: &'a Families,
    /// Length of the match.
    pub length: MatchLength,
    /// The drop when read, instead of the assumed one.
    pub drop: Option<f64>,
    /// Seed of the order of a mix.
    pub seed: u64,
    /// The verdicts on this very question, when they are there already.
    pub judged: Option<&'a Verdicts>,
}

/// Chance of a point on the opponent's serve under the plan as it stands now: every serve by its share, an answer that
/// looks read with what is left of it.
///
/// A serve without a plan counts with the safe receive's prior, or the overall share.
///
/// # Errors
/// None for a history of less than a million points.
pub fn receive_chance(question: &Question<'_>) -> Result<f64, TacticsError> {
    let (mut sum, mut shares) = (0.0, 0.0);
    for serve in question.deck.active() {
        let share = question.deck.share(&serve.id);
        let rate = match (question.deck.plan.get(&serve.id), question.deck.safe.as_ref()) {
            (Some(receive), _) => judge(question, serve, receive)?.now,
            (None, Some(receive)) => belief(question, &serve.id, receive)?.mean(),
            (None, None) => match question.history.serves.get(&serve.id) {
                Some(tally) => tally.belief(overall(question)?)?.mean(),
                None => overall(question)?.mean(),
            },
        };
        sum += share * rate;
        shares += share;
    }
    if shares > 0.0 { Ok(sum / shares) } else { Ok(overall(question)?.mean()) }
}

fn overall(question: &Question<'_>) -> Result<Belief, TacticsError> {
    let prior = Belief::from_mean(RECEIVER_WINS, 2.0 * STRENGTH)?;
    question.history.receiving.belief(prior)
}

/// Chance of a point on the own serve.
///
/// # Errors
/// None for a history of less than a million points.
pub fn serve_chance(history: &History) -> Result<f64, TacticsError> {
    Ok(history.own_serve.belief(serving_prior()?)?.mean())
}

fn serving_prior() -> Result<Belief, TacticsError> {
    Belief::from_mean(SERVER_WINS, 2.0 * STRENGTH)
}

/// What an answer adds that wins `then` of the points where `now` are won, and what is left open by both being
/// uncertain (`spread`, one standard deviation of the difference).
pub(crate) fn change_worth(
    length: MatchLength,
    (before, share): (Chances, f64),
    (now, then): (f64, f64),
    spread: f64,
) -> Result<ChangeWorth, TacticsError> {
    let start = matches::win(length, before);
    let gain = |difference: f64| {
        let receive = (before.receive() + share * difference).clamp(0.0, 1.0);
        Ok::<_, TacticsError>(matches::win(length, before.with_receive(receive)?) - start)
    };
    let spread = spread * EIGHT_IN_TEN;
    Ok(ChangeWorth {
        before: start,
        expected: gain(then - now)?,
        range: (gain(then - now - spread)?, gain(then - now + spread)?),
    })
}

/// What the verdict's alternative would add now, when there is any suspicion.
fn worth_of(
    question: &Question<'_>,
    chances: Chances,
    lesson: &Lesson,
) -> Result<Option<ChangeWorth>, TacticsError> {
    let (Verdict::Switch | Verdict::Watch, Some(other)) = (lesson.verdict, &lesson.alternative)
    else {
        return Ok(None);
    };
    let planned = belief(question, &lesson.serve, &lesson.receive)?;
    let other = belief(question, &lesson.serve, other)?;
    let spread = f64::hypot(planned.sd(), other.sd());
    let rates = (lesson.now, other.mean());
    Ok(Some(change_worth(question.length, (chances, lesson.share), rates, spread)?))
}

/// The chances of a point with what is not known of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// Expected.
    pub chances: Chances,
    /// Standard deviation on the own serve, and on the opponent's under the plan.
    pub sds: (f64, f64),
    /// Points behind the own serve, and behind the plan's own receives.
    pub behind: (f64, f64),
}

impl Standing {
    /// From the history: every serve by its share, each as uncertain as its own receive.
    ///
    /// # Errors
    /// None for a history of less than a million points.
    pub fn of(question: &Question<'_>) -> Result<Self, TacticsError> {
        let own = question.history.own_serve.belief(serving_prior()?)?;
        let (mut variance, mut shares, mut points) = (0.0, 0.0, 0.0);
        for serve in question.deck.active() {
            let share = question.deck.share(&serve.id);
            let belief = match question.deck.plan.get(&serve.id) {
                Some(receive) => {
                    points += question.history.record(&serve.id, receive).behind();
                    belief(question, &serve.id, receive)?
                }
                None => overall(question)?,
            };
            variance += (share * belief.sd()).powi(2);
            shares += share;
        }
        let receiving =
            if shares > 0.0 { variance.sqrt() / shares } else { overall(question)?.sd() };
        Ok(Self {
            chances: Chances::new(own.mean(), receive_chance(question)?)?,
            sds: (own.sd(), receiving),
            behind: (f64::from(question.history.own_points), points),
        })
    }

    /// Where the two chances lie, eight times in ten.
    pub fn ranges(&self) -> ((f64, f64), (f64, f64)) {
        let around = |mean: f64, sd: f64| {
            let spread = EIGHT_IN_TEN * sd;
            ((mean - spread).max(0.0), (mean + spread).min(1.0))
        };
        (around(self.chances.serve(), self.sds.0), around(self.chances.receive(), self.sds.1))
    }

    /// Where a chance of the match lies, eight times in ten: both chances moved along the steepest way.
    ///
    /// # Errors
    /// As `win` says.
    pub fn range_of(
        &self,
        slope: Slope,
        win: impl Fn(Chances) -> Result<f64, TacticsError>,
    ) -> Result<(f64, f64), TacticsError> {
        let (along_serve, along_receive) =
            (slope.serve * self.sds.0.powi(2), slope.receive * self.sds.1.powi(2));
        let sd = f64::hypot(slope.serve * self.sds.0, slope.receive * self.sds.1).max(1e-12);
        let at = |z: f64| {
            let moved = |mean: f64, along: f64| (mean + z * along / sd).clamp(0.01, 0.99);
            win(Chances::new(
                moved(self.chances.serve(), along_serve),
                moved(self.chances.receive(), along_receive),
            )?)
        };
        Ok((at(-EIGHT_IN_TEN)?, at(EIGHT_IN_TEN)?))
    }
}

/// Weighs every active serve of a deck.
///
/// # Errors
/// A drop outside 0 to 0.6.
pub fn advise(question: &Question<'_>) -> Result<Advice, TacticsError> {
    judged_once(question, weighed)
}

/// The advice on a question whose serves are judged.
fn weighed(question: &Question<'_>) -> Result<Advice, TacticsError> {
    let standing = Standing::of(question)?;
    let chances = standing.chances;
    let match_chance = matches::win(question.length, chances);
    let slope = Slope::of_match(question.length, chances);
    let mut serves = Vec::new();
    for serve in question.deck.active() {
        let share = question.deck.share(&serve.id);
        let choices = choices(question, serve)?;
        let (mix, other_drops) = mixing::mix(question, serve, &choices)?;
        let planned = question.deck.plan.get(&serve.id);
        let lesson = planned.map(|receive| judge(question, serve, receive)).transpose()?;
        let worth = match &lesson {
            Some(lesson) => worth_of(question, chances, lesson)?,
            None => None,
        };
        let says =
            words::serve_says(&choices, lesson.as_ref(), (mix.as_ref(), &other_drops), worth);
        serves.push(ServeAdvice {
            serve: serve.id.clone(),
            shown: serve.shown(),
            share,
            choices,
            mix,
            other_drops,
            lesson,
            worth,
            says,
        });
    }
    largest_first(&mut serves, |serve| serve.share);
    let mut changed = chances.receive();
    for lesson in serves.iter().filter_map(|serve| serve.lesson.as_ref()) {
        if let Some(other) = lesson.alternative.as_ref().filter(|_| lesson.due_switch().is_some()) {
            changed += lesson.share * (belief(question, &lesson.serve, other)?.mean() - lesson.now);
        }
    }
    let changed = chances.with_receive(changed.clamp(0.0, 1.0))?;
    let known = |points| Knowledge::from_points(points).word();
    Ok(Advice {
        opponent: question.deck.opponent.clone(),
        matches: question.history.matches.len(),
        receiving_points: question.history.receiving.played,
        chances: (chances.serve(), chances.receive()),
        ranges: standing.ranges(),
        known: (known(standing.behind.0), known(standing.behind.1)),
        best_of: question.length.games(),
        match_chance,
        match_chance_changed: matches::win(question.length, changed),
        match_range: standing.range_of(slope, |at| Ok(matches::win(question.length, at)))?,
        one_in_a_hundred: slope.receive * 0.01,
        notes: words::notes(question, &serves),
        serves,
    })
}
