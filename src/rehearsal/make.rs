//! From a request to a session: how the balls are shared out among the phases, and which blocks
//! come.
//!
//! Groove blocks come first, then blocks that vary, then match-like ones; a switch round comes
//! last.

use crate::base::Dice;
use crate::launcher::LauncherKind;
use crate::rehearsal::request::{Length, RehearsalError, SessionRequest};
use crate::rehearsal::session::{
    Block, Refused, Rehearsed, Role, Session, SessionBall, SessionPhase, WhyRefused,
};
use crate::rehearsal::settle::settle;
use crate::rehearsal::stand_in::stand_in;
use crate::rehearsal::work::{Maker, Work, apportion};
use crate::rehearsal::{calls, groove, match_like, vary};

/// The fewest balls of a switch round: six before the call, eight after.
const LEAST_SWITCH_ROUND: u32 = 14;
/// The balls of a full switch round: 18 before, 24 after.
const FULL_SWITCH_ROUND: u32 = 42;
/// The fewest and the most balls of a session.
const BALLS: (u32, u32) = (4, 600);

/// Makes a session.
///
/// # Errors
/// [`RehearsalError`] when nothing can be rehearsed or the request contradicts itself.
pub fn rehearse(request: &SessionRequest<'_>) -> Result<Session, RehearsalError> {
    if let Some(minutes) = request.length.minutes {
        Length::MINUTES.check(minutes)?;
    }
    if let Some(balls) = request.length.balls {
        Length::BALLS.check(balls.into())?;
    }
    // What a launcher throws for each serve takes searches, and is the same for any length.
    let begun = Work::begin(request)?;
    let session = |balls| session(begun.clone(), balls);
    let Some(minutes) = request.length.minutes else {
        return session(request.length.balls.unwrap_or(request.volumes.balls));
    };
    // The most balls that fit into the minutes: halved until found. Changes and rests make the time
    // of a session jump a little, so a few numbers above are tried too.
    let least = if request.switch.is_some() { LEAST_SWITCH_ROUND } else { BALLS.0 };
    let most = request.length.balls.unwrap_or(BALLS.1).min(BALLS.1);
    let mut best = None;
    let (mut low, mut high) = (least, most.max(least));
    while low <= high {
        let middle = low.midpoint(high);
        let made = session(middle)?;
        if made.minutes <= minutes {
            best = Some(made);
            low = middle + 1;
        } else {
            high = middle - 1;
        }
    }
    for balls in low..(low + 8).min(most) {
        let made = session(balls)?;
        if made.minutes <= minutes {
            best = Some(made);
        }
    }
    best.ok_or(RehearsalError::NoTime { minutes, least })
}

fn session(mut work: Work<'_>, balls: u32) -> Result<Session, RehearsalError> {
    let request = work.request;
    let drafts = drafts(&work, balls)?;
    let (blocks, minutes) = settle(&work, drafts);
    let launcher = request.launcher;
    let has_vary = blocks.iter().any(|block| block.phase == SessionPhase::Vary);
    let serves = rehearsed(&mut work, &blocks, balls);
    Ok(Session {
        opponent: request.deck.opponent.clone(),
        deck: request.deck.key.clone(),
        player: request.player,
        server: work.server,
        launcher: launcher.clone(),
        seed: request.seed,
        number: None,
        is_launcher_new: false,
        serves,
        switch: blocks.iter().flat_map(|block| &block.balls).find_map(SessionBall::call).cloned(),
        blocks,
        limits: work.limits,
        refused: work.refused,
        left_out: if has_vary { vary::left_out(launcher.kind) } else { Vec::new() },
        minutes,
    })
}

/// The serves with their balls; those that got none are refused.
fn rehearsed(work: &mut Work<'_>, blocks: &[Block], asked: u32) -> Vec<Rehearsed> {
    let launcher = work.request.launcher;
    let mut serves = Vec::new();
    for one in &work.serves {
        let id = &one.serve.id;
        let is_it =
            |ball: &&SessionBall| ball.role == Role::Receive && ball.serve.as_ref() == Some(id);
        let count = blocks.iter().flat_map(|block| &block.balls).filter(is_it).count();
        if count == 0 {
            let why = WhyRefused::NoBallLeft { balls: asked };
            work.refused.push(Refused { serve: id.clone(), why });
            continue;
        }
        let own = launcher.hand.filter(|_| launcher.kind == LauncherKind::Partner);
        serves.push(Rehearsed {
            serve: id.clone(),
            words: one.serve.shown(),
            spin: one.serve.spin,
            bends: one.serve.breaks_for(Some(work.server)),
            receive: one.receive.clone(),
            stand_in: own.map(|own| stand_in(&one.serve, work.server, own)),
            balls: u32::try_from(count).unwrap_or(u32::MAX),
        });
    }
    serves
}

/// The blocks before they are cut to size and numbered.
fn drafts(work: &Work<'_>, balls: u32) -> Result<Vec<Block>, RehearsalError> {
    let request = work.request;
    let switch_round = switch_round(work, balls)?;
    let phases: Vec<SessionPhase> = SessionPhase::ALL
        .iter()
        .copied()
        .filter(|phase| request.phases.is_empty() || request.phases.contains(phase))
        .collect();
    let dice = Dice::from_seed(request.seed);
    let mut maker = Maker { work, dice, bananas: 0 };
    let mut drafts = Vec::new();
    for (phase, share) in phases.iter().zip(phase_shares(work, &phases, balls - switch_round)) {
        if share == 0 {
            continue;
        }
        maker.dice = Dice::for_part(request.seed, phase.word());
        drafts.extend(match phase {
            SessionPhase::Groove => groove::blocks(&mut maker, share),
            SessionPhase::Vary => vary::blocks(&mut maker, share),
            SessionPhase::MatchLike => match_like::blocks(&mut maker, share),
        });
    }
    if let Some(switch) = request.switch {
        maker.dice = Dice::for_part(request.seed, "switch");
        drafts.extend(calls::switch_round(&mut maker, switch, switch_round));
    }
    Ok(drafts)
}

/// The balls of the switch round, 0 without a switch.
fn switch_round(work: &Work<'_>, balls: u32) -> Result<u32, RehearsalError> {
    let Some(switch) = work.request.switch else { return Ok(0) };
    if balls < LEAST_SWITCH_ROUND {
        return Err(RehearsalError::TooShortForSwitch { balls, least: LEAST_SWITCH_ROUND });
    }
    if !work.serves.iter().any(|one| work.is_switched(switch, one)) {
        return Err(RehearsalError::SwitchOutOfReach(switch.name.clone()));
    }
    Ok((balls * 2 / 5).clamp(LEAST_SWITCH_ROUND, FULL_SWITCH_ROUND))
}

/// The balls of each phase.
fn phase_shares(work: &Work<'_>, phases: &[SessionPhase], balls: u32) -> Vec<u32> {
    let weight = |phase: &SessionPhase| match phase {
        SessionPhase::Groove => 0.4,
        SessionPhase::Vary | SessionPhase::MatchLike => 0.3,
    };
    let weights: Vec<f64> = phases.iter().map(weight).collect();
    let mut shares = apportion(balls, &weights, 0);
    // Groove blocks of fewer than six balls groove nothing: they get up to six tenths of all balls.
    let serves = u32::try_from(work.serves.len()).unwrap_or(u32::MAX);
    let wanted = serves.saturating_mul(6).min(balls * 6 / 10);
    if phases.len() > 1 && phases[0] == SessionPhase::Groove && shares[0] < wanted {
        shares = apportion(balls - wanted, &weights[1..], 0);
        shares.insert(0, wanted);
    }
    shares
}
