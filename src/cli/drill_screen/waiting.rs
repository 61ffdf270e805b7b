//! What every person at a terminal needs: the stopwatch, how long may be waited, what a key means.

use std::time::Duration;

use super::terminal::Came;
use crate::cli::{Failure, World};
use crate::drill::{Act, GO, Machine, Phase};

/// Between two frames while something moves.
pub(super) const FRAME: Duration = Duration::from_millis(16);

/// Between two looks at the clock while nothing moves.
const REST: Duration = Duration::from_millis(250);

/// The stopwatch of the program, milliseconds.
pub(super) fn stopwatch_ms(world: &World<'_>) -> u64 {
    u64::try_from(world.clock.elapsed().as_millis()).unwrap_or(u64::MAX)
}

/// A terminal that cannot be used any more is a hang-up.
pub(super) fn lost(_: std::io::Error) -> Failure {
    Failure::Hangup
}

/// How long may be waited before the picture changes.
pub(super) fn pause_for(machine: &Machine, now_ms: u64, is_still: bool) -> Duration {
    let moves =
        matches!(machine.phase(now_ms), Phase::Toss | Phase::Flight | Phase::What | Phase::Shadow);
    if moves && !is_still {
        return FRAME;
    }
    let asked_ms = machine.asked(now_ms).map(|asked| asked.from_ms);
    let due_ms = machine.next_ms().into_iter().chain(asked_ms).filter(|&ms| ms > now_ms).min();
    due_ms.map_or(REST, |ms| Duration::from_millis(ms - now_ms).min(REST))
}

/// What a key is for the machine: one key pauses, and goes on from a pause.
pub(super) fn meant(came: Came, machine: &Machine, now_ms: u64) -> Option<Act> {
    match (came, machine.phase(now_ms)) {
        (Came::Act(act), _) => Some(act),
        (Came::Hold, Phase::Paused) => Some(Act::Key(GO)),
        (Came::Hold, Phase::Ready | Phase::Done) | (Came::Nothing, _) => None,
        (Came::Hold, _) => Some(Act::Pause),
    }
}
