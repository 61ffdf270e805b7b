//! Drafts become blocks: cut to size, something small changed before a setting comes too often,
//! balls thrown away after changes, hoppers filled, rests set, everything numbered and timed.

use crate::game::{Depth, Lane};
use crate::launcher::{LauncherKind, SetUp, Shade, Thrown};
use crate::rehearsal::calls::{note_the_round, whole_call};
use crate::rehearsal::request::Volumes;
use crate::rehearsal::session::{
    BeforeBall, Block, LogLine, Note, Role, SessionBall, SessionPhase, SmallChange, Variation,
};
use crate::rehearsal::work::Work;

/// What was thrown last, and how often in a row.
#[derive(Default)]
struct LastThrown {
    /// The ball without its small change, and where it was thrown from.
    base: Option<(Thrown, SetUp)>,
    /// How many small changes it has had.
    shade: usize,
    run: u32,
}

/// Seconds an own serve takes as a shadow.
const OWN_SERVE_S: f64 = 6.0;
/// Seconds to say a call and let it sink in.
const CALL_S: f64 = 15.0;
/// Far back, as a bridge between practice and match, balls come at this share of the usual rate.
const FAR_BACK_RATE: f64 = 0.75;

/// The blocks and the minutes they take.
pub(super) fn settle(work: &Work<'_>, drafts: Vec<Block>) -> (Vec<Block>, f64) {
    let volumes = &work.request.volumes;
    let mut blocks: Vec<Block> = Vec::new();
    let mut last = LastThrown::default();
    let mut in_hopper = 0;
    for mut draft in drafts {
        (draft.thrown_a_minute, draft.receive_every) = rate(work, &draft);
        if is_hurried(work, &draft) {
            draft.notes.push(Note::Hurried);
            for ball in &mut draft.balls {
                ball.before.retain(|before| !matches!(before, BeforeBall::OwnServes(_)));
            }
        }
        draft.rest_s = match draft.phase {
            SessionPhase::Groove => volumes.groove_rest_s,
            _ => Volumes::REST_S,
        };
        let (is_one_setting, from) = (draft.is_one_setting(), blocks.len());
        for (part, balls) in parts(work, &mut draft).into_iter().enumerate() {
            let is_moved = blocks.last().is_some_and(|block| block.set_up != draft.set_up);
            let mut block = Block {
                number: u32::try_from(blocks.len() + 1).unwrap_or(u32::MAX),
                is_moved,
                balls,
                ..draft.clone()
            };
            if let Some(machine) = work.machine() {
                if is_one_setting {
                    block.change = change_a_little(&block, &mut last);
                }
                if part == 0 || is_one_setting || is_moved {
                    throw_away(&mut block);
                }
                vary_a_little(&mut block, &mut last);
                let leaving = u32::try_from(block.leaving()).unwrap_or(u32::MAX);
                block.refill = leaving > in_hopper;
                let filled = if block.refill { machine.hopper_balls } else { in_hopper };
                in_hopper = filled.saturating_sub(leaving);
            }
            blocks.push(block);
        }
        if draft.variation == Variation::SwitchRound {
            note_the_round(&mut blocks[from..]);
        }
    }
    if let Some(end) = blocks.last_mut() {
        end.rest_s = 0;
    }
    number(&mut blocks);
    let seconds: f64 = blocks.iter().map(|block| time_of(work, block)).sum();
    (blocks, seconds / 60.0)
}

/// Receives a minute to aim for in a draft, and the most that leave time for what it asks.
fn pace(work: &Work<'_>, draft: &Block) -> (f64, f64) {
    let (wanted, most) = Volumes::pace(work.kind(), draft.phase);
    let is_far = matches!(draft.variation, Variation::CounterFromFar | Variation::ChopFromFar);
    let share = if is_far { FAR_BACK_RATE } else { 1.0 };
    ((wanted * share).round(), (most * share).round())
}

/// Balls thrown a minute for a draft on this launcher, and which of them are received: where it
/// cannot throw so slowly every second ball passes, and where that is not enough none.
fn rate(work: &Work<'_>, draft: &Block) -> (f64, u32) {
    let (wanted, most) = pace(work, draft);
    let Some(machine) = work.machine() else { return (wanted, 1) };
    let span = machine.rate_a_minute;
    let every = [1, 2].into_iter().find(|&every| span.least <= most * f64::from(every));
    let every = every.unwrap_or(1);
    (span.nearest(wanted * f64::from(every)), every)
}

/// Whether every ball is played and none leaves time to get ready for the next.
fn is_hurried(work: &Work<'_>, draft: &Block) -> bool {
    draft.receive_every == 1 && draft.thrown_a_minute > pace(work, draft).1
}

/// The balls of a draft in parts of nearly equal size, none above what a block may hold.
fn parts(work: &Work<'_>, draft: &mut Block) -> Vec<Vec<SessionBall>> {
    let volumes = &work.request.volumes;
    let most = match draft.phase {
        SessionPhase::Groove => volumes.groove_block,
        SessionPhase::Vary => volumes.vary_block,
        SessionPhase::MatchLike => volumes.match_pairs * 2,
    };
    let (machine, is_one_setting) = (work.machine(), draft.is_one_setting());
    let throw_away = machine.map_or(0, |_| Volumes::THROW_AWAY);
    let unchanged = is_one_setting.then_some(Volumes::UNCHANGED - throw_away);
    let is_stored = work.kind() == LauncherKind::PerBall && !is_one_setting;
    let stored = machine.map(|machine| machine.stored_balls).filter(|&it| is_stored && it > 0);
    let hopper = machine
        .map(|machine| machine.hopper_balls.saturating_sub(throw_away) / draft.receive_every);
    let hurried = is_hurried(work, draft).then_some(Volumes::HURRIED_BLOCK);
    let caps = [unchanged, stored, hopper, hurried].into_iter().flatten();
    let most = caps.fold(most, u32::min).max(1) as usize;
    let mut rest = std::mem::take(&mut draft.balls);
    // A call is followed by a few balls at least, or opens the next block.
    let mut parts = Vec::new();
    while !rest.is_empty() {
        let even = rest.len().div_ceil(rest.len().div_ceil(most));
        let later = rest.split_off(whole_call(&rest, even));
        parts.push(std::mem::replace(&mut rest, later));
    }
    parts
}

/// The small changes a ball can take, in turn; the plain ball comes first and again.
fn shade_of(thrown: &Thrown, turn: usize) -> Option<Shade> {
    let across: &[Shade] = match thrown.lane {
        Lane::Middle | Lane::Elbow => &[Shade::Right, Shade::Left],
        _ => &[Shade::Inwards],
    };
    let along = if thrown.depth == Depth::Long { Shade::Shorter } else { Shade::Longer };
    let spin = Some(Shade::Lighter).filter(|_| thrown.rev_s >= 10.0);
    let changes = across.iter().copied().chain([along]).chain(spin);
    let all: Vec<Option<Shade>> = std::iter::once(None).chain(changes.map(Some)).collect();
    all[turn % all.len()]
}

/// The small change of a block whose only setting is that of the block before it.
fn change_a_little(block: &Block, last: &mut LastThrown) -> Option<SmallChange> {
    let first = block.balls.first()?.thrown;
    if last.base != Some((first, block.set_up)) {
        return None;
    }
    last.shade += 1;
    last.run = 0;
    Some(SmallChange { shade: shade_of(&first, last.shade) })
}

/// Puts balls to be let go in front of a block.
fn throw_away(block: &mut Block) {
    let Some(first) = block.balls.first() else { return };
    let away = SessionBall {
        role: Role::ThrowAway,
        serve: None,
        receive: None,
        before: Vec::new(),
        score: None,
        stage: None,
        ..first.clone()
    };
    block.balls.splice(0..0, vec![away; Volumes::THROW_AWAY as usize]);
}

/// Gives every ball its small change and counts how often one setting came in a row.
fn vary_a_little(block: &mut Block, last: &mut LastThrown) {
    for ball in &mut block.balls {
        let base = Some((ball.thrown, block.set_up));
        if last.base != base {
            *last = LastThrown { base, ..LastThrown::default() };
        } else if last.run >= Volumes::UNCHANGED {
            last.shade += 1;
            last.run = 0;
        }
        last.run += 1;
        ball.thrown.shade = shade_of(&ball.thrown, last.shade);
    }
}

/// Seconds of a block with what comes before and after it.
fn time_of(work: &Work<'_>, block: &Block) -> f64 {
    let mut seconds = block.leaving() as f64 * 60.0 / block.thrown_a_minute;
    seconds += f64::from(block.rest_s);
    if work.machine().is_some() && (block.is_moved || block.number == 1) {
        seconds += Volumes::MOVE_S;
    }
    if block.thrown_away() > 0 {
        seconds += Volumes::TRIM_S;
    }
    if block.refill && block.number > 1 {
        seconds += Volumes::REFILL_S;
    }
    seconds += work.machine().map_or(0.0, |machine| machine.start_delay_s);
    let before = block.balls.iter().flat_map(|ball| &ball.before);
    let calls = before.map(|before| match before {
        BeforeBall::Call(_) | BeforeBall::Stay => CALL_S,
        BeforeBall::OwnServes(count) => f64::from(*count) * OWN_SERVE_S,
    });
    seconds + calls.sum::<f64>()
}

/// Numbers the balls and the log lines, and gives the call the number of its ball.
fn number(blocks: &mut [Block]) {
    let (mut ball_number, mut line_number) = (0, 0);
    for block in blocks {
        for ball in block.balls.iter_mut().filter(|ball| ball.role != Role::ThrowAway) {
            ball_number += 1;
            ball.number = Some(ball_number);
            for before in &mut ball.before {
                if let BeforeBall::Call(call) = before {
                    call.at_ball = ball_number;
                }
            }
        }
        let received = u32::try_from(block.received()).unwrap_or(u32::MAX);
        let up_to = (!block.sweep.is_empty()).then_some(received);
        block.log = log(&block.balls, up_to, &mut line_number);
        if let Some(up_to) = up_to.filter(|_| !block.log.is_empty()) {
            block.notes.push(Note::CountsAreAGuess { up_to });
        }
    }
}

/// A log line for each serve with its receive, in order of appearance.
fn log(balls: &[SessionBall], up_to: Option<u32>, number: &mut u32) -> Vec<LogLine> {
    let mut log: Vec<LogLine> = Vec::new();
    for ball in balls.iter().filter(|ball| ball.role == Role::Receive) {
        let (Some(serve), Some(receive)) = (&ball.serve, &ball.receive) else { continue };
        let is_its =
            |line: &&mut LogLine| line.serve == *serve && line.receive.text() == receive.text();
        if let Some(line) = log.iter_mut().find(is_its) {
            line.balls += 1;
        } else {
            *number += 1;
            let (serve, receive) = (serve.clone(), receive.clone());
            log.push(LogLine { number: *number, serve, receive, balls: 1, up_to });
        }
    }
    log
}
