//! The advice: per serve, which receive or mix, how far that can be trusted, why, and what it is worth.
//!
//! A document without any layout; the page and the command render it. Beliefs come from
//! [`crate::tactics::history`], the duel from [`crate::tactics::duel`], the chance from
//! [`crate::tactics::chance`]. Every assumption that went in is in the document.

mod choices;
mod document;
mod mixing;

pub use choices::{LEVEL, belief, choices};
pub(crate) use choices::{prior, read_side};
pub use document::{Advice, ChangeWorth, Choice, Mix, OtherDrop, ServeAdvice};

use crate::deck::{Deck, Player};
use crate::game::{MatchLength, ServeId};
use crate::tactics::chance::{Chances, matches, slope::Slope};
use crate::tactics::families::{Families, RECEIVER_WINS};
use crate::tactics::fault::TacticsError;
use crate::tactics::history::History;
use crate::tactics::rates::{Belief, Knowledge, STRENGTH, Tally};
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
}

/// Chance of a point on the opponent's serve under the plan: every serve by its share.
///
/// A serve without a plan counts with the safe receive's prior, or the overall share.
///
/// # Errors
/// None for a history of less than a million points.
pub fn receive_chance(question: &Question<'_>) -> Result<f64, TacticsError> {
    let (mut sum, mut shares) = (0.0, 0.0);
    for serve in question.deck.active() {
        let share = question.deck.share(&serve.id);
        let rate = match question.deck.plan.get(&serve.id).or(question.deck.safe.as_ref()) {
            Some(receive) => belief(question, &serve.id, receive)?.mean(),
            None => match question.history.serves.get(&serve.id) {
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
    let prior = Belief::from_mean(SERVER_WINS, 2.0 * STRENGTH)?;
    Ok(history.own_serve.belief(prior)?.mean())
}

/// What the better receive adds, and what is left open by both rates being uncertain.
fn change_worth(
    question: &Question<'_>,
    chances: Chances,
    (better, plan): (&Choice, &Choice),
    serve: &ServeId,
    share: f64,
) -> Result<ChangeWorth, TacticsError> {
    let sd = |choice: &Choice| Ok(belief(question, serve, &choice.receive)?.sd());
    let spread = f64::hypot(sd(better)?, sd(plan)?) * EIGHT_IN_TEN;
    let now = matches::win(question.length, chances);
    let gain = |difference: f64| {
        let receive = (chances.receive() + share * difference).clamp(0.0, 1.0);
        Ok(matches::win(question.length, chances.with_receive(receive)?) - now)
    };
    let difference = better.rate - plan.rate;
    Ok(ChangeWorth {
        expected: gain(difference)?,
        range: (gain(difference - spread)?, gain(difference + spread)?),
    })
}

/// Weighs every active serve of a deck.
///
/// # Errors
/// A drop outside 0 to 0.6.
pub fn advise(question: &Question<'_>) -> Result<Advice, TacticsError> {
    let chances = Chances::new(serve_chance(question.history)?, receive_chance(question)?)?;
    let match_chance = matches::win(question.length, chances);
    let slope = Slope::of_match(question.length, chances);
    let mut serves = Vec::new();
    for serve in question.deck.active() {
        let share = question.deck.share(&serve.id);
        let choices = choices(question, serve)?;
        let (mix, other_drops) = mixing::mix(question, serve, &choices)?;
        let planned = choices.iter().find(|choice| choice.in_plan);
        let worth = match (choices.first(), planned) {
            (Some(first), Some(plan)) if !first.in_plan => {
                Some(change_worth(question, chances, (first, plan), &serve.id, share)?)
            }
            _ => None,
        };
        let says = words::serve_says(&choices, mix.as_ref(), &other_drops, worth);
        serves.push(ServeAdvice {
            serve: serve.id.clone(),
            shown: serve.shown(),
            share,
            choices,
            mix,
            other_drops,
            worth,
            says,
        });
    }
    serves.sort_by(|a, b| b.share.total_cmp(&a.share));
    let known = |tally: Tally| Knowledge::from_points(tally.played).word();
    Ok(Advice {
        opponent: question.deck.opponent.clone(),
        matches: question.history.matches.len(),
        receiving_points: question.history.receiving.played,
        chances: (chances.serve(), chances.receive()),
        known: (known(question.history.own_serve), known(question.history.receiving)),
        best_of: question.length.games(),
        match_chance,
        one_in_a_hundred: slope.receive * 0.01,
        notes: words::notes(question, &serves),
        serves,
    })
}
