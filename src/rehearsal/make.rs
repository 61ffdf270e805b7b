//! From a request to a session: how the balls are shared out among the phases, and which blocks come.
//!
//! Groove blocks come first, then blocks that vary, then match-like ones; a switch round comes last.

use crate::base::Dice;
use crate::launcher::Kind;
use crate::rehearsal::settle::{self, Draft};
use crate::rehearsal::shares::apportion;
use crate::rehearsal::work::Work;
use crate::rehearsal::{
    Ball, LeftOut, Length, Phase, Refused, RehearsalError, Rehearsed, Request, Role, Session,
    calls, coaching, groove, match_like, stand_in, vary,
};

/// The fewest balls of a switch round: six before the call, eight after.
const LEAST_SWITCH_ROUND: u32 = 14;
/// The balls of a full switch round: 18 before, 24 after.
const FULL_SWITCH_ROUND: u32 = 42;

/// Makes a session.
///
/// # Errors
/// [`RehearsalError`] when nothing can be rehearsed or the request contradicts itself.
pub fn rehearse(request: &Request<'_>) -> Result<Session, RehearsalError> {
    if let Some(minutes) = request.length.minutes {
        Length::MINUTES.check(minutes)?;
    }
    if let Some(balls) = request.length.balls {
        Length::BALLS.check(balls.into())?;
    }
    let Some(minutes) = request.length.minutes else {
        return session(request, request.length.balls.unwrap_or(request.volumes.balls));
    };
    // The most balls that fit into the minutes: halved until found. Changes and rests make the time of a
    // session jump a little, so a few numbers above are tried too.
    let least: u32 = if request.switch.is_some() { LEAST_SWITCH_ROUND } else { 4 };
    let most = request.length.balls.unwrap_or(600).min(600);
    let mut best = None;
    let (mut low, mut high) = (least, most.max(least));
    while low <= high {
        let middle = low.midpoint(high);
        let made = session(request, middle)?;
        if made.minutes <= minutes {
            best = Some(made);
            low = middle + 1;
        } else {
            high = middle - 1;
        }
    }
    for balls in low..(low + 8).min(most) {
        let made = session(request, balls)?;
        if made.minutes <= minutes {
            best = Some(made);
        }
    }
    best.ok_or(RehearsalError::NoTime { minutes, least })
}

fn session(request: &Request<'_>, balls: u32) -> Result<Session, RehearsalError> {
    let (mut work, mut refused, limits) = Work::begin(request)?;
    let mut left_out = Vec::new();
    let drafts = drafts(&mut work, balls, &mut left_out)?;
    let (blocks, minutes) = settle::settle(&work, drafts);
    let mut serves = Vec::new();
    for pattern in &work.patterns {
        let serve = &pattern.serve;
        let is_it =
            |ball: &&Ball| ball.role == Role::Receive && ball.serve.as_ref() == Some(&serve.id);
        let count = blocks.iter().flat_map(|block| &block.balls).filter(is_it).count();
        if count == 0 {
            refused.push(Refused {
                serve: serve.id.clone(),
                why: format!("none of the {balls} balls is left for it"),
                hint: "ask for more balls, or for the groove phase".to_owned(),
            });
            continue;
        }
        let own = request.launcher.hand.filter(|_| request.launcher.kind == Kind::Partner);
        serves.push(Rehearsed {
            serve: serve.id.clone(),
            words: serve.shown(),
            spin: serve.spin,
            bends: serve.breaks_for(Some(work.server)),
            receive: pattern.receive.clone(),
            stand_in: own.map(|own| stand_in(serve, work.server, own)),
            balls: u32::try_from(count).unwrap_or(u32::MAX),
        });
    }
    let launcher = request.launcher;
    let switch = blocks.iter().flat_map(|block| &block.balls).find_map(calls::call_of);
    Ok(Session {
        opponent: request.deck.opponent.clone(),
        deck: request.deck.key.clone(),
        player: request.player,
        server: work.server,
        launcher: launcher.name.clone(),
        kind: launcher.kind,
        hand: launcher.hand.filter(|_| launcher.kind.is_person()),
        wheels: launcher.machine.as_ref().map(|machine| machine.wheels),
        stored_balls: launcher.machine.as_ref().map_or(0, |machine| machine.stored_balls),
        dials: launcher.dials.iter().map(|dial| dial.name.clone()).collect(),
        seed: request.seed,
        number: None,
        warm_up_min: request.volumes.warm_up_min,
        serves,
        blocks,
        switch,
        limits,
        refused,
        left_out,
        cautions: coaching::cautions(launcher.kind),
        minutes,
    })
}

/// The blocks before they are cut to size and numbered.
fn drafts(
    work: &mut Work<'_>,
    balls: u32,
    left_out: &mut Vec<LeftOut>,
) -> Result<Vec<Draft>, RehearsalError> {
    let mut left = balls;
    let mut switch_round = 0;
    if let Some(switch) = work.request.switch {
        if balls < LEAST_SWITCH_ROUND {
            return Err(RehearsalError::TooShortForSwitch { balls, least: LEAST_SWITCH_ROUND });
        }
        if !work.patterns.iter().any(|pattern| switch.changes.contains_key(&pattern.serve.id)) {
            return Err(RehearsalError::SwitchOutOfReach { name: switch.name.clone() });
        }
        switch_round = (balls * 2 / 5).clamp(LEAST_SWITCH_ROUND, FULL_SWITCH_ROUND);
        left -= switch_round;
    }
    let phases: Vec<Phase> = Phase::ALL
        .iter()
        .copied()
        .filter(|phase| work.request.phases.is_empty() || work.request.phases.contains(phase))
        .collect();
    let weights: Vec<f64> = phases
        .iter()
        .map(|phase| match phase {
            Phase::Groove => 0.4,
            Phase::Vary | Phase::MatchLike => 0.3,
        })
        .collect();
    let mut shares = apportion(left, &weights, 0);
    // Groove blocks of fewer than six balls groove nothing: they get up to six tenths of all balls.
    let serves = u32::try_from(work.patterns.len()).unwrap_or(u32::MAX);
    let wanted = serves.saturating_mul(6).min(left * 6 / 10);
    if phases.len() > 1 && phases[0] == Phase::Groove && shares[0] < wanted {
        shares[0] = wanted;
        let others = apportion(left - wanted, &weights[1..], 0);
        shares.splice(1.., others);
    }
    let mut drafts = Vec::new();
    for (phase, share) in phases.iter().zip(shares) {
        if share == 0 {
            continue;
        }
        let mut dice = Dice::for_part(work.request.seed, phase.word());
        match phase {
            Phase::Groove => drafts.extend(groove::drafts(work, share)),
            Phase::Vary => drafts.extend(vary::drafts(work, share, &mut dice, left_out)),
            Phase::MatchLike => drafts.extend(match_like::drafts(work, share, &mut dice)),
        }
    }
    if let Some(switch) = work.request.switch {
        let mut dice = Dice::for_part(work.request.seed, "switch");
        drafts.extend(calls::switch_round(work, switch, switch_round, &mut dice));
    }
    Ok(drafts)
}
