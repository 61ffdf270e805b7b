//! Made and missed at the table, serve by serve, over the last eight weeks.

use serde::Serialize;

use super::{Advice, Asked, FEWEST};
use crate::base::{Day, order, text};
use crate::game::{Depth, Hand, Lane, ReceiveKey, Serve, ServeId};
use crate::journal::{Ball, Fact};

/// Days that are counted: what was missed long ago says little about today (an assumption).
pub const TABLE_DAYS: u32 = 56;
/// Share made below which a serve is rehearsed again (an assumption).
const SAFE: f64 = 0.70;

/// The balls of one serve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServeBalls {
    /// The serve's id.
    pub serve: String,
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
        self.made + self.missed + self.wrong
    }

    /// The share made; none without a ball.
    pub fn made_share(&self) -> Option<f64> {
        super::share(self.made as usize, self.balls() as usize)
    }
}

/// One opponent's serves at the table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TableOf {
    /// The deck's file stem.
    pub deck: String,
    /// The opponent.
    pub opponent: String,
    /// Serve by serve, in the order of the deck.
    pub serves: Vec<ServeBalls>,
    /// What to do.
    pub advice: Advice,
}

/// Balls at the table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtTable {
    /// The first day counted.
    pub since: Day,
    /// The player's hand, which says where a lane lies.
    pub hand: Hand,
    /// Opponent by opponent, the one with most balls first.
    pub opponents: Vec<TableOf>,
    /// What to do while there is none.
    pub none: Option<Advice>,
}

/// Sums the balls up.
pub(super) fn at_table(asked: &Asked<'_>) -> AtTable {
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
            let seen = deck.seen_by(asked.player.hand);
            let mut serves: Vec<(ServeId, ServeBalls, Vec<&ReceiveKey>)> = Vec::new();
            for ball in balls.iter().filter(|ball| ball.deck == deck.key) {
                let place = serves.iter().position(|(id, ..)| *id == ball.serve);
                let place = place.unwrap_or_else(|| {
                    let known = seen.serve_now_or_once(&ball.serve);
                    serves.push((
                        ball.serve.clone(),
                        ServeBalls {
                            serve: ball.serve.to_string(),
                            words: known.map_or_else(|| ball.serve.to_string(), Serve::shown),
                            receives: Vec::new(),
                            lane: known.and_then(|serve| serve.lane),
                            depth: known.and_then(|serve| serve.depth),
                            made: 0,
                            missed: 0,
                            wrong: 0,
                        },
                        Vec::new(),
                    ));
                    serves.len() - 1
                });
                let (_, sum, receives) = &mut serves[place];
                sum.made += ball.made;
                sum.missed += ball.missed;
                sum.wrong += ball.wrong;
                if !receives.contains(&&ball.right) {
                    receives.push(&ball.right);
                }
            }
            let place = |id: &ServeId| seen.serves.iter().position(|serve| serve.id == *id);
            order::by_key(&mut serves, |(id, ..)| place(id).unwrap_or(usize::MAX));
            let serves: Vec<ServeBalls> = serves
                .into_iter()
                .map(|(_, sum, receives)| ServeBalls {
                    receives: receives.into_iter().map(ReceiveKey::shown).collect(),
                    ..sum
                })
                .filter(|sum| sum.balls() > 0)
                .collect();
            (!serves.is_empty()).then(|| TableOf {
                deck: stem.clone(),
                opponent: text::one_line(&deck.opponent),
                advice: advice(stem, &serves),
                serves,
            })
        })
        .collect();
    order::by_key(&mut opponents, |table| {
        std::cmp::Reverse(table.serves.iter().map(ServeBalls::balls).sum::<u32>())
    });
    let none = opponents.is_empty().then(|| none(asked));
    AtTable { since: since.plus(1), hand: asked.player.hand, opponents, none }
}

fn rehearse(stem: &str) -> String {
    format!("secondball rehearse --opponent {}", text::typed(stem))
}

fn advice(stem: &str, serves: &[ServeBalls]) -> Advice {
    let worst = serves
        .iter()
        .filter(|serve| serve.balls() as usize >= FEWEST)
        .filter_map(|serve| Some((serve, serve.made_share()?)))
        .min_by(|(_, a), (_, b)| a.total_cmp(b));
    match worst {
        None => Advice::due("Fewer than six balls of every serve.", rehearse(stem)),
        Some((serve, share)) if share < SAFE => Advice::due(
            format!("Rehearse `{}`: {} of {} made.", serve.serve, serve.made, serve.balls()),
            rehearse(stem),
        ),
        Some((serve, _)) => {
            let made =
                format!("`{}` was made {} of {} times", serve.serve, serve.made, serve.balls());
            match serves.iter().find(|serve| (serve.balls() as usize) < FEWEST) {
                None => Advice::nothing(&format!("even {made}.")),
                Some(few) => Advice::due(
                    format!("Even {made}; of `{}` there are fewer than six balls.", few.serve),
                    rehearse(stem),
                ),
            }
        }
    }
}

fn none(asked: &Asked<'_>) -> Advice {
    match asked.decks.first() {
        None => Advice::due("No ball at the table yet, and no opponent.", "secondball scout"),
        Some((stem, _)) => Advice::due("No ball at the table in eight weeks.", rehearse(stem)),
    }
}
