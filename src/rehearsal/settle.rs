//! Drafts become blocks: cut to size, something small changed before a setting comes too often, balls
//! thrown away after changes, hoppers filled, rests set, everything numbered and timed.

use crate::game::{Depth, Lane, ServeId};
use crate::launcher::{Kind, SetUp, Shade, Thrown};
use crate::rehearsal::work::Work;
use crate::rehearsal::{Ball, Block, Cue, LogLine, Phase, Rate, Role, Variation, calls, coaching};

/// A block before it is cut to size.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    pub(super) phase: Phase,
    pub(super) variation: Variation,
    pub(super) around: Option<ServeId>,
    pub(super) set_up: SetUp,
    pub(super) is_called: bool,
    pub(super) sweep: Vec<Lane>,
    /// Slower than usual, to bridge practice and match.
    pub(super) is_slow: bool,
    pub(super) notes: Vec<String>,
    pub(super) balls: Vec<Ball>,
}

impl Draft {
    /// A plain draft.
    pub(super) fn of(phase: Phase, variation: Variation, set_up: SetUp, balls: Vec<Ball>) -> Self {
        Self {
            phase,
            variation,
            around: None,
            set_up,
            is_called: false,
            sweep: Vec::new(),
            is_slow: false,
            notes: Vec::new(),
            balls,
        }
    }

    /// True when every ball is the same one.
    fn is_one_setting(&self) -> bool {
        self.balls.windows(2).all(|pair| pair[0].thrown == pair[1].thrown)
    }
}

/// What the launcher threw last.
struct Last {
    base: Option<(Thrown, SetUp)>,
    shade: usize,
    run: u32,
}

/// Seconds an own serve takes as a shadow.
const OWN_SERVE_S: f64 = 6.0;
/// Seconds to say a call and let it sink in.
const CALL_S: f64 = 15.0;

/// The blocks and the minutes they take.
pub(super) fn settle(work: &Work<'_>, drafts: Vec<Draft>) -> (Vec<Block>, f64) {
    let volumes = &work.request.volumes;
    let machine = work.request.launcher.machine.as_ref().filter(|_| !work.kind().is_person());
    let throw_away = if machine.is_some() { volumes.throw_away } else { 0 };
    let hopper = machine.map(|machine| machine.hopper_balls);
    let mut blocks: Vec<Block> = Vec::new();
    let mut last = Last { base: None, shade: 0, run: 0 };
    let mut in_hopper = 0;
    let mut seconds = 0.0;
    for draft in drafts {
        let rate = rate(work, &draft);
        let parts = parts(work, &draft, rate, throw_away);
        let round = calls::RoundNotes::of(&draft, &parts);
        for (part, balls) in parts.into_iter().enumerate() {
            let Some(first) = balls.first().map(|ball| ball.thrown) else { continue };
            let is_moved = blocks.last().is_some_and(|block| block.set_up != draft.set_up);
            let mut block = Block {
                number: u32::try_from(blocks.len()).unwrap_or(u32::MAX - 1) + 1,
                phase: draft.phase,
                variation: draft.variation,
                around: draft.around.clone(),
                set_up: draft.set_up,
                is_moved,
                is_called: draft.is_called,
                sweep: draft.sweep.clone(),
                rate,
                change: None,
                coaching: Some(coaching::line(draft.variation, &first).to_owned()),
                notes: draft.notes.iter().cloned().chain(round.of_part(part)).collect(),
                refill: false,
                balls,
                log: Vec::new(),
                rest_s: if draft.phase == Phase::Groove {
                    volumes.rest_s.0
                } else {
                    volumes.rest_s.1
                },
                settings: None,
            };
            let is_one_setting = draft.is_one_setting();
            let is_same = last.base == Some((first, draft.set_up));
            if is_same && is_one_setting && machine.is_some() {
                last.shade += 1;
                last.run = 0;
                let shade = shade_of(&first, last.shade);
                block.change = Some(format!(
                    "{}; more than {} balls of one setting teach the setting, not the serve",
                    shade.map_or("back to the plain ball", Shade::shown),
                    volumes.unchanged
                ));
            }
            if machine.is_some() && (part == 0 || is_one_setting || is_moved) {
                let away = Ball {
                    role: Role::ThrowAway,
                    serve: None,
                    receive: None,
                    cues: Vec::new(),
                    score: None,
                    stage: None,
                    ..block.balls[0].clone()
                };
                let aways = vec![away; throw_away as usize];
                block.balls.splice(0..0, aways);
            }
            vary_a_little(&mut block, &mut last, volumes.unchanged, machine.is_some());
            let leaving = u32::try_from(block.leaving()).unwrap_or(u32::MAX);
            if let Some(hopper) = hopper {
                block.refill = leaving > in_hopper;
                in_hopper = if block.refill { hopper } else { in_hopper }.saturating_sub(leaving);
            }
            seconds += time_of(work, &block);
            blocks.push(block);
        }
    }
    if let Some(end) = blocks.last_mut() {
        seconds -= f64::from(end.rest_s);
        end.rest_s = 0;
    }
    number(&mut blocks);
    (blocks, seconds / 60.0)
}

/// The rate of a draft on this launcher: where it cannot throw so slowly, some balls pass.
fn rate(work: &Work<'_>, draft: &Draft) -> Rate {
    let kind = work.kind();
    let mut wanted = work.request.volumes.pace(kind, draft.phase);
    if draft.is_slow {
        wanted = (wanted * 0.75).round();
    }
    match work.request.launcher.machine.as_ref().filter(|_| !kind.is_person()) {
        Some(machine) if wanted < machine.rate_a_minute.least => {
            // The fewest balls that may pass so that what is received is no faster than wanted.
            let least = machine.rate_a_minute.least;
            let every = (1..=60).find(|&every| wanted * f64::from(every) >= least).unwrap_or(60);
            Rate {
                thrown_a_minute: machine.rate_a_minute.nearest(wanted * f64::from(every)),
                receive_every: every,
            }
        }
        Some(machine) => {
            Rate { thrown_a_minute: machine.rate_a_minute.nearest(wanted), receive_every: 1 }
        }
        None => Rate { thrown_a_minute: wanted, receive_every: 1 },
    }
}

/// The balls of a draft in parts of nearly equal size, none above what a block may hold.
fn parts(work: &Work<'_>, draft: &Draft, rate: Rate, throw_away: u32) -> Vec<Vec<Ball>> {
    let volumes = &work.request.volumes;
    let mut most = match draft.phase {
        Phase::Groove => volumes.groove_block,
        Phase::Vary => volumes.vary_block,
        Phase::MatchLike => volumes.match_pairs * 2,
    };
    if draft.is_one_setting() {
        most = most.min(volumes.unchanged.saturating_sub(throw_away));
    }
    if let Some(machine) = work.request.launcher.machine.as_ref().filter(|_| throw_away > 0) {
        if work.kind() == Kind::PerBall && machine.stored_balls > 0 && !draft.is_one_setting() {
            most = most.min(machine.stored_balls);
        }
        most = most.min(machine.hopper_balls.saturating_sub(throw_away) / rate.receive_every);
    }
    let most = most.max(1) as usize;
    let count = draft.balls.len().div_ceil(most).max(1);
    // A call is followed by a few balls at least, or opens the next block.
    let mut rest = draft.balls.as_slice();
    let mut parts = Vec::new();
    for place in 0..count {
        let even = rest.len().div_ceil(count - place);
        let take = calls::whole_call(rest, even, most);
        let (now, later) = rest.split_at(take);
        parts.push(now.to_vec());
        rest = later;
    }
    parts
}

/// The small changes a ball can take, in turn; the plain ball comes first and again.
fn shade_of(thrown: &Thrown, turn: usize) -> Option<Shade> {
    let across = match thrown.lane {
        Lane::Middle | Lane::Elbow => [Some(Shade::Right), Some(Shade::Left)],
        _ => [Some(Shade::Inwards), None],
    };
    let along = if thrown.depth == Depth::Long { Shade::Shorter } else { Shade::Longer };
    let lighter = (thrown.rev_s >= 10.0).then_some(Shade::Lighter);
    let all: Vec<Option<Shade>> = [None]
        .into_iter()
        .chain([across[0], across[1], Some(along), lighter].into_iter().flatten().map(Some))
        .collect();
    all[turn % all.len()]
}

/// Gives every ball its small change and counts how often one setting came in a row.
fn vary_a_little(block: &mut Block, last: &mut Last, cap: u32, is_machine: bool) {
    let set_up = block.set_up;
    for ball in &mut block.balls {
        if last.base != Some((ball.thrown, set_up)) {
            *last = Last { base: Some((ball.thrown, set_up)), shade: 0, run: 0 };
        } else if last.run >= cap && is_machine {
            last.shade += 1;
            last.run = 0;
        }
        last.run += 1;
        ball.thrown.shade = shade_of(&ball.thrown, last.shade);
    }
}

/// Seconds of a block with what comes before and after it.
fn time_of(work: &Work<'_>, block: &Block) -> f64 {
    let volumes = &work.request.volumes;
    let mut seconds = block.leaving() as f64 * 60.0 / block.rate.thrown_a_minute;
    seconds += f64::from(block.rest_s);
    if block.is_moved {
        seconds += f64::from(volumes.move_s);
    }
    if block.refill && block.number > 1 {
        seconds += f64::from(volumes.refill_s);
    }
    if let Some(machine) = &work.request.launcher.machine {
        seconds += machine.start_delay_s;
    }
    for cue in block.balls.iter().flat_map(|ball| &ball.cues) {
        seconds += match cue {
            Cue::Call(_) | Cue::Stay => CALL_S,
            Cue::OwnServes(count) => f64::from(*count) * OWN_SERVE_S,
        };
    }
    seconds
}

/// Numbers the balls and the log lines, and tells the call its ball.
fn number(blocks: &mut [Block]) {
    let (mut ball_number, mut line_number) = (0, 0);
    for block in blocks {
        let mut log: Vec<LogLine> = Vec::new();
        for ball in block.balls.iter_mut().filter(|ball| ball.role != Role::ThrowAway) {
            ball_number += 1;
            ball.number = Some(ball_number);
            for cue in &mut ball.cues {
                if let Cue::Call(call) = cue {
                    call.at_ball = ball_number;
                }
            }
            let (Some(serve), Some(receive), Role::Receive) =
                (&ball.serve, &ball.receive, ball.role)
            else {
                continue;
            };
            let known = log
                .iter_mut()
                .find(|line| line.serve == *serve && line.receive.text() == receive.text());
            if let Some(line) = known {
                line.balls += 1;
            } else {
                log.push(LogLine {
                    number: 0,
                    serve: serve.clone(),
                    receive: receive.clone(),
                    balls: 1,
                    up_to: None,
                });
            }
        }
        let received = u32::try_from(block.received()).unwrap_or(u32::MAX);
        for line in &mut log {
            line_number += 1;
            line.number = line_number;
            line.up_to = (!block.sweep.is_empty()).then_some(received);
        }
        if !block.sweep.is_empty() && !log.is_empty() {
            block.notes.push(format!(
                "In the log, the second number is a guess: write as many as came to that lane, up to {received}."
            ));
        }
        block.log = log;
    }
}
