//! The balls of a round: what is due from memory, the switches that are called, then practice.
//!
//! In a day's round a switch is practised between balls of the plan: its call, a few balls a third
//! of which it changes, and back. A measured switch round is [`super::switch_round`]'s.

use super::order::ServeOrder;
use super::request::{DrillError, RoundRequest};
use super::script::{Call, Cue, ReadingStep, RoundPart, ScriptBall};
use super::switch_round;
use crate::base::Dice;
use crate::deck::Switch;
use crate::game::ServeId;
use crate::journal::How;

/// Balls of the plan before a switch is practised.
const BETWEEN: usize = 14;
/// Balls under it, and how many of them it changes at least.
const CALLED: usize = 9;
const CHANGED: usize = 3;

pub(super) fn switch_balls(
    request: &RoundRequest<'_>,
    switch: &Switch,
    serves: &[Cue],
) -> Result<Vec<ScriptBall>, DrillError> {
    let is_switched: Vec<bool> = serves.iter().map(|cue| cue.changed.is_some()).collect();
    if !is_switched.contains(&true) {
        return Err(DrillError::NothingSwitched(switch.name.clone()));
    }
    if !is_switched.contains(&false) {
        return Err(DrillError::NothingKept(switch.name.clone()));
    }
    let mut dice = Dice::for_part(request.seed, "switch round");
    Ok(switch_round::balls(&is_switched, request.has_back, &mut dice))
}

/// The balls of a day's round, or of one in which serves are told apart.
pub(super) fn day_balls(request: &RoundRequest<'_>, serves: &[Cue]) -> Vec<ScriptBall> {
    let mut dice = Dice::for_part(request.seed, "order");
    let plan: Vec<usize> =
        (0..serves.len()).filter(|&place| serves[place].under.is_none()).collect();
    if request.how == How::Read {
        return reading_balls(request, serves, &plan, &mut dice);
    }
    let place_of = |id: &ServeId| plan.iter().find(|&&place| serves[place].serve == *id);
    let first = request.due.iter().filter_map(place_of);
    let mut balls: Vec<ScriptBall> = first.map(|&place| ScriptBall::plain(place)).collect();
    let mut stands = None;
    for switch in 0..request.called.len() {
        let is_due = |place: &usize| serves[*place].is_due && is_under(&serves[*place], switch);
        let due = (0..serves.len()).filter(is_due).map(|place| under(place, switch));
        balls.extend(called(due.collect(), switch, &mut stands));
    }
    let mut practised =
        (0..request.called.len()).filter(|&switch| request.called[switch].is_practised).cycle();
    let mut left = practice(request, serves, &plan, &mut dice).into_iter();
    loop {
        let mut plain: Vec<ScriptBall> = left.by_ref().take(BETWEEN).collect();
        if plain.is_empty() {
            return balls;
        }
        if let Some(switch) = stands.take() {
            (plain[0].part, plain[0].call) = (RoundPart::Back, Some(Call::Back));
            plain[0].switch = Some(switch);
        }
        balls.extend(plain);
        if let Some(switch) = practised.next() {
            let mut few: Vec<ScriptBall> = left.by_ref().take(CALLED).collect();
            change(&mut few, serves, switch, &mut dice);
            balls.extend(called(few, switch, &mut stands));
        }
    }
}

fn is_under(cue: &Cue, switch: usize) -> bool {
    cue.under.is_some_and(|(under, _)| under == switch)
}

/// A ball while a switch stands.
const fn under(serve: usize, switch: usize) -> ScriptBall {
    ScriptBall { part: RoundPart::After, switch: Some(switch), ..ScriptBall::plain(serve) }
}

/// These balls behind the call of a switch.
fn called(
    mut balls: Vec<ScriptBall>,
    switch: usize,
    stands: &mut Option<usize>,
) -> Vec<ScriptBall> {
    if let Some(first) = balls.first_mut() {
        first.call = Some(Call::Switch);
        *stands = Some(switch);
    }
    balls
}

/// Puts a switch over these balls: a serve it changes is answered by it, one of the first three
/// and a third in all are such serves.
fn change(balls: &mut [ScriptBall], serves: &[Cue], switch: usize, dice: &mut Dice) {
    let changed: Vec<usize> =
        (0..serves.len()).filter(|&place| is_under(&serves[place], switch)).collect();
    let soon = dice.below(CHANGED);
    for (nth, ball) in balls.iter_mut().enumerate() {
        let same = changed.iter().find(|&&place| serves[place].serve == serves[ball.serve].serve);
        let drawn =
            (nth % CHANGED == soon).then(|| changed.get(dice.below(changed.len()))).flatten();
        *ball = under(*drawn.or(same).unwrap_or(&ball.serve), switch);
    }
}

/// Practice of the plan in the order asked for.
fn practice(
    request: &RoundRequest<'_>,
    serves: &[Cue],
    plan: &[usize],
    dice: &mut Dice,
) -> Vec<ScriptBall> {
    let places = places(request, serves, plan, request.balls, dice);
    let mut balls: Vec<ScriptBall> = places.into_iter().map(ScriptBall::plain).collect();
    if request.order == ServeOrder::MatchLike {
        for (ball, of_turn) in balls.iter_mut().zip([1, 2].into_iter().cycle()) {
            ball.of_turn = of_turn;
        }
    }
    balls
}

/// So many balls among some serves.
fn places(
    request: &RoundRequest<'_>,
    serves: &[Cue],
    among: &[usize],
    balls: usize,
    dice: &mut Dice,
) -> Vec<usize> {
    let shares: Vec<f64> =
        among.iter().map(|&place| request.deck.share(&serves[place].serve)).collect();
    request.order.places(&shares, balls, dice).into_iter().map(|nth| among[nth]).collect()
}

/// By turns: by the tell, by the whole flight, by the flight cut off, twins alone; what there is.
fn reading_balls(
    request: &RoundRequest<'_>,
    serves: &[Cue],
    plan: &[usize],
    dice: &mut Dice,
) -> Vec<ScriptBall> {
    let those = |is: &dyn Fn(&Cue) -> bool| -> Vec<usize> {
        plan.iter().copied().filter(|&place| is(&serves[place])).collect()
    };
    let (told, twins) = (those(&|cue| cue.tell.is_some()), those(&|cue| cue.twin.is_some()));
    let last = if twins.len() >= 2 { &twins[..] } else { plan };
    let mut steps = vec![(ReadingStep::Tell, &told[..])];
    if !request.has_tells_only {
        steps.retain(|(_, told)| told.len() >= 2);
        steps.extend([
            (ReadingStep::Flight, plan),
            (ReadingStep::Cut, plan),
            (ReadingStep::Twins, last),
        ]);
    }
    let each = request.balls.div_ceil(steps.len());
    let mut balls = Vec::new();
    for (step, among) in steps {
        let count = each.min(request.balls - balls.len());
        let of_step = places(request, serves, among, count, dice).into_iter();
        let reading = Some(step);
        balls.extend(of_step.map(|place| ScriptBall { reading, ..ScriptBall::plain(place) }));
    }
    balls
}
