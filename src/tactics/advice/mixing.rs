//! The mix for one serve: the duel among the receives the player holds, rounded and put in order.

use super::Question;
use super::document::{Choice, Mix, OtherDrop};
use crate::base::Dice;
use crate::game::{Receive, Serve};
use crate::tactics::duel::{Duel, Side};
use crate::tactics::fault::TacticsError;
use crate::tactics::mix::{MOST_TOTAL, Ratio};
use crate::tactics::verdict::FEWEST_POINTS;
use crate::tactics::words;

/// Drops tried beside the assumed one.
const DROPS_TRIED: [f64; 3] = [0.08, 0.15, 0.25];
/// Balls of a mix handed out in advance.
const ORDER_LENGTH: usize = 20;

/// How alike two receives are to a server who waits: the same ball 1, the same place or the same stroke a half.
fn alike(a: &Receive, b: &Receive) -> f64 {
    if a.text() == b.text() {
        1.0
    } else if a.to == b.to && !a.to.is_open() || a.stroke == b.stroke && a.to.depth == b.to.depth {
        0.5
    } else {
        0.0
    }
}

/// A mix is weighed only among receives held ready for this serve: planned, in reserve or played. A stroke that
/// is only listed in the repertoire has to be learnt as an answer first.
fn is_held(choice: &Choice) -> bool {
    choice.in_plan || choice.in_switch.is_some() || choice.points > 0.0
}

struct Mixed {
    ratio: Ratio,
    exact: Vec<f64>,
    gap: f64,
    alone: f64,
}

/// Solves the duel over the held choices, with another drop for all of them if given.
fn solve(choices: &[Choice], drop: Option<f64>) -> Result<Option<Mixed>, TacticsError> {
    let held: Vec<usize> = (0..choices.len()).filter(|at| is_held(&choices[*at])).collect();
    if held.len() < 2 {
        return Ok(None);
    }
    let sides = held
        .iter()
        .map(|at| {
            let choice = &choices[*at];
            // A measured drop stays what it is.
            let drop = match drop {
                Some(drop) if choice.drop_is_assumed => drop.min(choice.unread * 0.9),
                _ => choice.drop,
            };
            Side { unread: choice.unread, drop }
        })
        .collect();
    let duel = Duel::new(sides)?;
    let similarity: Vec<Vec<f64>> = held
        .iter()
        .map(|a| held.iter().map(|b| alike(&choices[*a].receive, &choices[*b].receive)).collect())
        .collect();
    let game = duel.matrix(&similarity)?;
    let solution = game.solve()?;
    let used: Vec<usize> = (0..held.len()).filter(|at| solution.row[*at] > 1e-9).collect();
    let small = Ratio::best(&game, solution.value, &used, MOST_TOTAL);
    let mut parts = vec![0; choices.len()];
    let mut exact = vec![0.0; choices.len()];
    for (place, at) in held.iter().enumerate() {
        parts[*at] = small.parts[place];
        exact[*at] = solution.row[place];
    }
    let ratio = Ratio { parts, ..small };
    Ok(Some(Mixed { ratio, exact, gap: solution.gap, alone: duel.always_read() }))
}

/// The mix, and how it would be under other drops.
pub(super) fn mix(
    question: &Question<'_>,
    serve: &Serve,
    choices: &[Choice],
) -> Result<(Option<Mix>, Vec<OtherDrop>), TacticsError> {
    let Some(solved) = solve(choices, None)? else { return Ok((None, Vec::new())) };
    let mut other_drops = Vec::new();
    let used = |choice: usize| solved.ratio.parts[choice] > 0;
    if choices.iter().enumerate().any(|(at, choice)| used(at) && choice.drop_is_assumed) {
        for drop in DROPS_TRIED {
            if let Some(other) = solve(choices, Some(drop))? {
                let Ratio { parts, guarantee, .. } = other.ratio;
                other_drops.push(OtherDrop { drop, parts, secures: guarantee });
            }
        }
    }
    let mut dice = Dice::for_part(question.seed, serve.id.as_str());
    let order = solved.ratio.order(ORDER_LENGTH, |below| dice.below(below));
    let mix = Mix {
        is_illustration: choices
            .iter()
            .enumerate()
            .any(|(at, choice)| used(at) && choice.behind < FEWEST_POINTS),
        why: words::why_this_mix(choices, &solved.ratio.parts),
        secures: solved.ratio.guarantee,
        rounding_costs: solved.ratio.cost,
        alone: solved.alone,
        gap: solved.gap,
        exact: solved.exact,
        parts: solved.ratio.parts,
        order,
    };
    Ok((Some(mix), other_drops))
}
