//! From a request to a session: how the balls are shared out among the phases, and which blocks
//! come.
//!
//! Groove blocks come first, then blocks that vary, then match-like ones; a switch round comes
//! last.

use crate::base::Dice;
use crate::launcher::LauncherKind;
use crate::rehearsal::request::{Length, RehearsalError, SessionRequest, Volumes};
use crate::rehearsal::session::{
    Block, Rehearsed, Role, Session, SessionBall, SessionPhase, WhyRefused,
};
use crate::rehearsal::settle::settle;
use crate::rehearsal::stand_in::stand_in;
use crate::rehearsal::work::{Maker, Work, apportion, refusal};
use crate::rehearsal::{calls, groove, match_like, vary};

/// The fewest balls of a switch round: six before the call, eight after.
const LEAST_SWITCH_ROUND: u32 = 14;
/// The balls of a full switch round: 18 before, 24 after.
const FULL_SWITCH_ROUND: u32 = 42;
/// How weak a pattern is that the sheet calls weak, 0 firm to 1.
const WEAK: f64 = 0.6;
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
        let usual = request.drill.map_or(request.volumes.balls, |_| Volumes::DRILL);
        return session(request.length.balls.unwrap_or(usual));
    };
    // The most balls that fit into the minutes: halved until found. Changes and rests make the time
    // of a session jump a little, so a few numbers above are tried too.
    let least = BALLS.0.max(LEAST_SWITCH_ROUND * rounds(request));
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
        switches: blocks
            .iter()
            .flat_map(|block| &block.balls)
            .filter_map(SessionBall::call)
            .cloned()
            .collect(),
        blocks,
        looks_read: Vec::new(),
        limits: work.limits,
        refused: work.refused,
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
            // A drill alone is not about all serves.
            if work.request.drill.is_none() {
                let why = WhyRefused::NoBallLeft { balls: asked };
                work.refused.push(refusal(work.request.deck, id, why));
            }
            continue;
        }
        let own = launcher.hand.filter(|_| launcher.kind == LauncherKind::Partner);
        serves.push(Rehearsed {
            serve: id.clone(),
            called: work.request.deck.called(id),
            words: one.serve.shown(),
            bends: one.serve.breaks_for(Some(work.server)),
            receive: one.receive.clone(),
            stand_in: own.map(|own| stand_in(&one.serve, work.server, own)),
            balls: u32::try_from(count).unwrap_or(u32::MAX),
            is_weak: one.weakness > WEAK,
        });
    }
    serves
}

/// The blocks before they are cut to size and numbered.
fn drafts(work: &Work<'_>, balls: u32) -> Result<Vec<Block>, RehearsalError> {
    let request = work.request;
    if let Some(drill) = request.drill {
        let dice = Dice::for_part(request.seed, drill.word());
        return vary::drill(&mut Maker { work, dice, bananas: 0 }, drill, balls);
    }
    let switch_rounds = switch_rounds(work, balls)?;
    let phases: Vec<SessionPhase> = SessionPhase::ALL
        .iter()
        .copied()
        .filter(|phase| request.phases.is_empty() || request.phases.contains(phase))
        .collect();
    let dice = Dice::from_seed(request.seed);
    let mut maker = Maker { work, dice, bananas: 0 };
    let mut drafts = Vec::new();
    for (phase, share) in phases.iter().zip(phase_shares(work, &phases, balls - switch_rounds)) {
        if share == 0 {
            continue;
        }
        // The names of the dice are frozen: a printed seed gives the same session.
        let part = match phase {
            SessionPhase::Groove => "groove",
            SessionPhase::Vary => "vary",
            SessionPhase::MatchLike => "match_like",
        };
        maker.dice = Dice::for_part(request.seed, part);
        drafts.extend(match phase {
            SessionPhase::Groove => groove::blocks(&mut maker, share),
            SessionPhase::Vary => vary::blocks(&mut maker, share),
            SessionPhase::MatchLike => match_like::blocks(&mut maker, share),
        });
    }
    let each = switch_rounds / rounds(request).max(1);
    for switch in &request.switches {
        maker.dice = Dice::for_part(request.seed, &switch.name);
        drafts.extend(calls::switch_round(&mut maker, switch, each));
    }
    Ok(drafts)
}

/// How many switch rounds are asked for.
fn rounds(request: &SessionRequest<'_>) -> u32 {
    u32::try_from(request.switches.len()).unwrap_or(u32::MAX)
}

/// The balls of all switch rounds, each of them with as many as the others.
fn switch_rounds(work: &Work<'_>, balls: u32) -> Result<u32, RehearsalError> {
    let (switches, rounds) = (&work.request.switches, rounds(work.request));
    let least = LEAST_SWITCH_ROUND.saturating_mul(rounds);
    if balls < least {
        return Err(RehearsalError::TooShortForSwitch { balls, least });
    }
    for switch in switches {
        if !work.serves.iter().any(|one| work.is_switched(switch, one)) {
            return Err(RehearsalError::SwitchOutOfReach(switch.name.clone()));
        }
    }
    let each = (balls * 2 / 5 / rounds.max(1)).clamp(LEAST_SWITCH_ROUND, FULL_SWITCH_ROUND);
    Ok(each * rounds)
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
