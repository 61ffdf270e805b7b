//! Made and missed at the table, serve by serve, over the last eight weeks.

use serde::Serialize;

use super::advice::{Counsel, Lack, Remark};
use super::period::FEWEST;
use super::request::ProgressRequest;
use crate::agenda::todo::Todo;
use crate::base::{Day, text};
use crate::deck::Deck;
use crate::game::{Depth, Hand, Lane, ReceiveKey, Serve, ServeId};
use crate::journal::{Ball, Fact};

/// Days that are counted: what was missed long ago says little about today (an assumption).
const TABLE_DAYS: u32 = 56;
/// Share made below which a serve is rehearsed again (an assumption).
const SAFE: f64 = 0.70;

/// The balls of one serve.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct ServeBalls {
    /// The serve's id, and what it is called.
    pub serve: String,
    pub called: String,
    /// The serve in words; its id when it is not in the deck any more.
    pub words: String,
    /// The receives that were right, in words.
    pub receives: Vec<String>,
    /// The lane it comes to.
    pub lane: Option<Lane>,
    /// How deep.
    pub depth: Option<Depth>,
    /// Landed where they were meant to.
    pub made: u32,
    /// Did not.
    pub missed: u32,
    /// Answered with another receive.
    pub wrong: u32,
}

impl ServeBalls {
    /// All balls of it.
    pub const fn balls(&self) -> u32 {
        self.made.saturating_add(self.missed).saturating_add(self.wrong)
    }

    /// The share made.
    pub fn made_share(&self) -> f64 {
        f64::from(self.made) / f64::from(self.balls().max(1))
    }

    /// Where it comes down: what is not known of it is drawn in the middle. None when nothing is.
    pub fn comes_down(&self) -> Option<(Depth, Lane)> {
        let is_known = self.depth.is_some() || self.lane.is_some();
        let (depth, lane) = (self.depth.unwrap_or(Depth::HalfLong), self.lane);
        is_known.then(|| (depth, lane.unwrap_or(Lane::Middle)))
    }
}

/// One opponent's serves at the table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TableOf {
    pub deck: String,
    pub opponent: String,
    /// Serve by serve, in the order of the deck.
    pub serves: Vec<ServeBalls>,
    #[serde(rename = "advice")]
    pub counsel: Counsel,
}

/// Balls at the table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtTable {
    /// The first day counted.
    pub since: Day,
    /// The player's hand, which says where a lane lies.
    pub hand: Hand,
    /// The one with most balls first.
    pub opponents: Vec<TableOf>,
    /// What to do while there is none.
    pub none: Option<Counsel>,
}

/// Sums the balls up.
pub(super) fn at_table(asked: &ProgressRequest<'_>) -> AtTable {
    let since = asked.today.minus(TABLE_DAYS);
    let balls: Vec<&Ball> = asked
        .events
        .iter()
        .filter(|event| event.day > since)
        .filter_map(|event| match &event.fact {
            Fact::Ball(ball) => Some(ball),
            _ => None,
        })
        .collect();
    let mut opponents: Vec<TableOf> = asked
        .decks
        .iter()
        .filter_map(|(stem, deck)| {
            let serves = serves(&deck.seen_by(asked.player.hand), &balls);
            (!serves.is_empty()).then(|| TableOf {
                deck: stem.clone(),
                opponent: text::one_line(&deck.opponent),
                counsel: counsel(stem, &serves),
                serves,
            })
        })
        .collect();
    opponents.sort_by_key(|table| {
        std::cmp::Reverse(table.serves.iter().map(|serve| u64::from(serve.balls())).sum::<u64>())
    });
    let none = opponents.is_empty().then(|| {
        let lack = if asked.decks.is_empty() { Lack::BallAndOpponent } else { Lack::Ball };
        Counsel::lacks(lack, before_a_ball(asked.decks))
    });
    AtTable { since: since.plus(1), hand: asked.player.hand, opponents, none }
}

/// What comes first where no ball has been played: only a planned serve can be rehearsed.
fn before_a_ball(decks: &[(String, Deck)]) -> Todo {
    let is_planned = |deck: &Deck| deck.active().any(|serve| deck.plan.contains_key(&serve.id));
    match (decks.iter().find(|(_, deck)| is_planned(deck)), decks.first()) {
        (Some((stem, _)), _) => Todo::Rehearse(stem.clone()),
        (None, Some((stem, deck))) if deck.active().next().is_some() => {
            Todo::ChoosePlan(stem.clone())
        }
        (None, Some((stem, _))) => Todo::AddServes(stem.clone()),
        (None, None) => Todo::Scout,
    }
}

/// The balls of a deck, serve by serve in its order; those of serves that are not in it any more
/// last.
fn serves(deck: &Deck, balls: &[&Ball]) -> Vec<ServeBalls> {
    let mut serves: Vec<(&ServeId, ServeBalls)> = Vec::new();
    for ball in balls.iter().filter(|ball| ball.deck == deck.key) {
        let place = serves.iter().position(|(id, _)| **id == ball.serve).unwrap_or_else(|| {
            let known = deck.serve_now_or_once(&ball.serve);
            let sum = ServeBalls {
                serve: ball.serve.to_string(),
                called: deck.called(&ball.serve),
                words: known.map_or_else(|| ball.serve.to_string(), Serve::shown),
                lane: known.and_then(|serve| serve.lane),
                depth: known.and_then(|serve| serve.depth),
                ..ServeBalls::default()
            };
            serves.push((&ball.serve, sum));
            serves.len() - 1
        });
        let sum = &mut serves[place].1;
        sum.made = sum.made.saturating_add(ball.made);
        sum.missed = sum.missed.saturating_add(ball.missed);
        sum.wrong = sum.wrong.saturating_add(ball.wrong);
        let receive = ReceiveKey::shown(&ball.right);
        if !sum.receives.contains(&receive) {
            sum.receives.push(receive);
        }
    }
    let place = |id: &ServeId| deck.serves.iter().position(|serve| serve.id == *id);
    serves.sort_by_key(|(id, _)| place(id).unwrap_or(usize::MAX));
    serves.into_iter().map(|(_, sum)| sum).filter(|sum| sum.balls() > 0).collect()
}

fn counsel(stem: &str, serves: &[ServeBalls]) -> Counsel {
    let rehearse = Todo::Rehearse(stem.to_owned());
    let has_few = |serve: &&ServeBalls| (serve.balls() as usize) < FEWEST;
    let worst = serves
        .iter()
        .filter(|serve| !has_few(serve))
        .min_by(|a, b| a.made_share().total_cmp(&b.made_share()));
    let Some(worst) = worst else { return Counsel::lacks(Lack::SixBalls, rehearse) };
    let (serve, made, balls) = (worst.called.clone(), worst.made, worst.balls());
    if worst.made_share() < SAFE {
        return Counsel::due(Remark::OftenMissed { serve, made, balls }, rehearse);
    }
    let too_few = serves.iter().find(has_few).map(|serve| serve.called.clone());
    let todo = too_few.as_ref().map(|_| rehearse);
    Counsel { remark: Remark::MadeOften { serve, made, balls, too_few }, todo }
}
