//! The drills the trade knows: around one serve, or around one idea.
//!
//! Each takes a serve, a number of balls and the dice, and gives blocks, or none where the deck
//! does not hold what it needs. Which of them a launcher can do at all is decided first.

use crate::game::{Depth, Receive};
use crate::launcher::LauncherKind;
use crate::rehearsal::around::{depths, depths_in_turn, one_motion};
use crate::rehearsal::calls::change_the_answer;
use crate::rehearsal::groove::one_serve;
use crate::rehearsal::match_like;
use crate::rehearsal::request::RehearsalError;
use crate::rehearsal::running;
use crate::rehearsal::session::{Block, Note, SessionBall, SessionPhase, Variation};
use crate::rehearsal::sweep::sweep;
use crate::rehearsal::work::{Maker, TableServe, blocks_of};

/// Balls a block that varies is given when there are enough for several.
const USUAL_BLOCK: u32 = 20;

/// The drills each kind of launcher can do; a session chooses among the first of them, in this
/// order, how many stands in front.
pub const fn drills(kind: LauncherKind) -> (usize, &'static [Variation]) {
    use Variation as V;
    match kind {
        LauncherKind::Fixed => (
            2,
            &[
                V::SameBall,
                V::InOrOut,
                V::FarThenNear,
                V::CounterFromFar,
                V::ChopFromFar,
                V::OneServe,
                V::Pairs,
            ],
        ),
        LauncherKind::Oscillating => (
            2,
            &[
                V::ByLane,
                V::SameBall,
                V::FarThenNear,
                V::CounterFromFar,
                V::ChopFromFar,
                V::OneServe,
                V::Pairs,
            ],
        ),
        LauncherKind::PerBall | LauncherKind::Feeder => (
            7,
            &[
                V::UntilLong,
                V::OneMotion,
                V::DeadAmongHeavy,
                V::InOrOut,
                V::OffTempo,
                V::MostlyForehand,
                V::StepIn,
                V::FarThenNear,
                V::CounterFromFar,
                V::ChopFromFar,
                V::Mixed,
                V::OneServe,
                V::Pairs,
            ],
        ),
        LauncherKind::Partner => (
            6,
            &[
                V::UntilLong,
                V::OneMotion,
                V::DeadAmongHeavy,
                V::InOrOut,
                V::OffTempo,
                V::StepIn,
                V::Mixed,
                V::OneServe,
                V::Pairs,
            ],
        ),
    }
}

/// One drill by its name, `count` balls, about the weightiest serve that it can be about.
///
/// # Errors
/// [`RehearsalError`] where this launcher or this deck cannot do it.
pub(super) fn drill(
    maker: &mut Maker<'_>,
    drill: Variation,
    count: u32,
) -> Result<Vec<Block>, RehearsalError> {
    if !drills(maker.work.kind()).1.contains(&drill) {
        return Err(RehearsalError::NotWithLauncher(drill));
    }
    let bases = maker.work.by_weight();
    let blocks = match drill {
        Variation::Pairs => match_like::blocks(maker, count),
        Variation::Mixed => around_all(maker, count),
        _ => {
            let made = bases.iter().map(|base| about(maker, drill, base, count));
            made.into_iter().find(|made| !made.is_empty()).unwrap_or_default()
        }
    };
    if blocks.is_empty() { Err(RehearsalError::NoBallsFor(drill)) } else { Ok(blocks) }
}

/// Blocks that vary, `count` balls in all.
pub(super) fn blocks(maker: &mut Maker<'_>, count: u32) -> Vec<Block> {
    let wanted = ((count + USUAL_BLOCK / 2) / USUAL_BLOCK).max(1);
    let bases = maker.work.by_weight();
    let (usual, kinds) = drills(maker.work.kind());
    let kinds = &kinds[..usual];
    let start = maker.dice.below(kinds.len());
    // Every variation with every serve to be about, the weightiest serves first.
    let mut tries = bases.iter().enumerate().flat_map(|(turn, &base)| {
        (0..kinds.len()).map(move |step| (kinds[(start + turn + step) % kinds.len()], base))
    });
    let mut blocks = Vec::new();
    let mut done: Vec<Variation> = Vec::new();
    let mut left = count;
    for block in 0..wanted {
        let share = left / (wanted - block);
        let made = tries.by_ref().find_map(|(variation, base)| {
            // Another variation before the same one about another serve.
            let often = done.iter().filter(|known| **known == variation).count();
            if often * kinds.len() > done.len() {
                return None;
            }
            let made = maker.within_banana_cap(|maker| about(maker, variation, base, share));
            (!made.is_empty()).then_some((variation, made))
        });
        let Some((variation, made)) = made else { break };
        done.push(variation);
        blocks.extend(made);
        left -= share;
    }
    if left > 0 {
        blocks.extend(around_all(maker, left));
    }
    blocks
}

/// One drill about one serve.
fn about(maker: &mut Maker<'_>, drill: Variation, base: &TableServe, count: u32) -> Vec<Block> {
    use Variation as V;
    // These are about the deck, not about one serve.
    let is_of_deck = matches!(drill, V::UntilLong | V::OffTempo | V::StepIn);
    let balls = match (drill, maker.work.kind()) {
        (V::OneServe, _) => return vec![one_serve(SessionPhase::Vary, base, count)],
        (V::SameBall, _) => return change_the_answer(maker, base, count),
        (V::FarThenNear, _) => return running::far_then_near(maker.work, base, count),
        (V::ByLane, _) => {
            return sweep(maker.work, drill, base, count).into_iter().collect();
        }
        (V::InOrOut, LauncherKind::Fixed) => {
            return depths_in_turn(maker.work, base, count);
        }
        (V::UntilLong, _) => running::until(maker, count, Depth::Short, Depth::Long, 2, 5),
        (V::StepIn, _) => running::until(maker, count, Depth::Long, Depth::Short, 1, 2),
        (V::OffTempo, _) => running::off_tempo(maker, count),
        (V::CounterFromFar | V::ChopFromFar, _) => running::from_far(maker, base, drill, count),
        (V::OneMotion, _) => one_motion(maker.work, base).map(|balls| maker.deal(&balls, count)),
        (V::InOrOut, _) => depths(maker.work, base).map(|balls| maker.deal(&balls, count)),
        (V::MostlyForehand, _) => running::mostly_forehand(maker, base, count),
        (V::DeadAmongHeavy, _) => running::dead_among_heavy(maker, base, count),
        _ => None,
    };
    let Some(balls) = balls.filter(|balls| !balls.is_empty()) else { return Vec::new() };
    // A block in which only other serves of the deck come is not about this one.
    let around = Some(&base.serve.id);
    let is_its = balls.iter().any(|ball| ball.serve.as_ref() == around)
        || balls.iter().all(|ball| ball.serve.is_none());
    vec![Block {
        around: around.filter(|_| is_its && !is_of_deck).cloned(),
        notes: same_receive(base, &balls).into_iter().collect(),
        ..Block::draft(SessionPhase::Vary, drill, maker.work.home, balls)
    }]
}

/// Where a ball that is another one keeps its receive, a note on it.
fn same_receive(base: &TableServe, balls: &[SessionBall]) -> Option<Note> {
    let text = |ball: &SessionBall| ball.receive.as_ref().map(Receive::text);
    let (own, new): (Vec<_>, Vec<_>) = balls.iter().partition(|ball| ball.serve.is_some());
    let is_same = new
        .iter()
        .any(|new| own.iter().any(|own| own.thrown != new.thrown && text(own) == text(new)));
    is_same.then(|| Note::SameReceive { has_topspin: base.mixed.spin.has_topspin() })
}

/// What no variation could take: the serves by weight, in random order; one at a time where nothing
/// else can be done with this launcher and this plan.
fn around_all(maker: &mut Maker<'_>, count: u32) -> Vec<Block> {
    let work = maker.work;
    if work.kind().mixes_freely() {
        let picked = maker.pick_many(&work.all(), count);
        let balls = picked.into_iter().map(TableServe::among_others).collect();
        return vec![Block::draft(SessionPhase::Vary, Variation::Mixed, maker.work.home, balls)];
    }
    let called = change_the_answer(maker, &work.serves[0], count);
    if !called.is_empty() {
        return called;
    }
    blocks_of(count, &work.serves, |one| one.weight)
        .map(|(one, share)| one_serve(SessionPhase::Vary, one, share))
        .collect()
}
