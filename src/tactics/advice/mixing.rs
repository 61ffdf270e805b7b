//! The mix for one serve: the duel among the receives the player holds, rounded and put in order.

use serde::Serialize;

use super::choices::Choice;
use crate::base::Dice;
use crate::game::{Receive, Serve};
use crate::tactics::drops::ReadDrop;
use crate::tactics::duel::{ReceiveRates, always_read, payoffs};
use crate::tactics::mix::{MOST_TOTAL, Ratio};
use crate::tactics::question::Question;
use crate::tactics::verdict::FEWEST_POINTS;

/// Drops tried beside the assumed one.
const DROPS_TRIED: [ReadDrop; 3] = [ReadDrop::SMALL, ReadDrop::ASSUMED, ReadDrop::LARGE];
/// Balls of a mix handed out in advance.
const ORDER_LENGTH: usize = 20;

/// A mix of two or more receives.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Mix {
    /// Parts of each choice, in the order of the choices.
    pub parts: Vec<u32>,
    /// The exact shares the ratio rounds.
    pub exact: Vec<f64>,
    /// Chance of the point the ratio secures, whatever he waits for.
    pub secures: f64,
    /// What rounding costs.
    pub rounding_costs: f64,
    /// What the best single receive secures when he always waits for it.
    pub alone: f64,
    /// Certificate: how far the two sides of the exact solution are apart.
    pub gap: f64,
    /// An order in advance: places among the choices.
    pub order: Vec<usize>,
    /// One of its receives has hardly any points: only an illustration.
    pub is_illustration: bool,
}

impl Mix {
    /// One receive alone secures the most.
    pub fn is_single(&self) -> bool {
        self.parts.iter().filter(|part| **part > 0).count() == 1
    }
}

/// The ratio under another drop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OtherDrop {
    /// The drop assumed for every receive.
    pub drop: f64,
    /// Parts of each choice.
    pub parts: Vec<u32>,
    /// Chance of the point secured.
    pub secures: f64,
}

/// How alike two receives are to a server who waits: the same ball 1, the same place or the same
/// stroke a half.
fn alike(a: &Receive, b: &Receive) -> f64 {
    if a.text() == b.text() {
        1.0
    } else if a.to == b.to && !a.to.is_open() || a.stroke == b.stroke && a.to.depth == b.to.depth {
        0.5
    } else {
        0.0
    }
}

/// A mix is weighed only among receives held ready for this serve: planned, in reserve or played. A
/// stroke that is only listed in the repertoire has to be learnt as an answer first.
fn is_held(choice: &Choice) -> bool {
    choice.in_plan || choice.in_switch.is_some() || choice.points > 0.0
}

/// Solves the duel over the held choices, with another drop for all of them if given; none for
/// fewer than two.
fn solve(
    question: &Question<'_>,
    serve: &Serve,
    choices: &[Choice],
    drop: Option<ReadDrop>,
) -> Option<Mix> {
    let held: Vec<usize> = (0..choices.len()).filter(|at| is_held(&choices[*at])).collect();
    if held.len() < 2 {
        return None;
    }
    let rates = held.iter().map(|at| &choices[*at]).map(|choice| ReceiveRates {
        unread: choice.rates.unread,
        // A measured drop stays what it is.
        drop: match drop {
            Some(drop) if choice.drop_is_assumed => drop.within(choice.rates.unread),
            _ => choice.rates.drop,
        },
    });
    let rates: Vec<ReceiveRates> = rates.collect();
    let receive = |place: usize| &choices[held[place]].receive;
    let game = payoffs(&rates, |r, g| alike(receive(r), receive(g)));
    let solution = game.solve();
    let used: Vec<usize> = (0..held.len()).filter(|at| solution.row[*at] > 1e-9).collect();
    let small = Ratio::best(&game, solution.value, &used, MOST_TOTAL);
    let mut parts = vec![0; choices.len()];
    let mut exact = vec![0.0; choices.len()];
    for (place, at) in held.iter().enumerate() {
        parts[*at] = small.parts[place];
        exact[*at] = solution.row[place];
    }
    let ratio = Ratio { parts, ..small };
    let mut dice = Dice::for_part(question.seed, serve.id.as_str());
    let mut used = choices.iter().zip(&ratio.parts).filter(|(_, part)| **part > 0);
    Some(Mix {
        is_illustration: used.any(|(choice, _)| choice.behind < FEWEST_POINTS),
        order: ratio.order(ORDER_LENGTH, |below| dice.below(below)),
        secures: ratio.guarantee,
        rounding_costs: ratio.cost,
        alone: always_read(&rates),
        gap: solution.gap,
        exact,
        parts: ratio.parts,
    })
}

/// The mix, and how it would be under other drops.
pub(super) fn mix(
    question: &Question<'_>,
    serve: &Serve,
    choices: &[Choice],
) -> (Option<Mix>, Vec<OtherDrop>) {
    let mix = solve(question, serve, choices, None);
    let is_assumed = mix.as_ref().is_some_and(|mix| {
        choices.iter().zip(&mix.parts).any(|(choice, part)| *part > 0 && choice.drop_is_assumed)
    });
    let other = |drop: ReadDrop| {
        let Mix { parts, secures, .. } = solve(question, serve, choices, Some(drop))?;
        Some(OtherDrop { drop: drop.share(), parts, secures })
    };
    let drops = DROPS_TRIED.into_iter().filter(|_| is_assumed);
    (mix, drops.filter_map(other).collect())
}
