//! The variations the trade knows: around one serve, or around one idea.
//!
//! Each takes a serve, a number of balls and the dice, and gives blocks, or none where the deck
//! does not hold what it needs. Which of them a launcher can do at all is decided first.

use crate::game::{Depth, Lane, Pace, Receive, Spin};
use crate::launcher::{LauncherKind, SetUp, Stand, Throw, Thrown};
use crate::rehearsal::answer::{answered, side, three_lanes, varied};
use crate::rehearsal::calls::change_the_answer;
use crate::rehearsal::groove::one_serve;
use crate::rehearsal::match_like::other_wing;
use crate::rehearsal::session::{Block, Note, SessionBall, SessionPhase, Variation};
use crate::rehearsal::sweep::sweep;
use crate::rehearsal::work::{Maker, TableServe, Work, apportion, blocks_of};

/// Balls a block that varies is given when there are enough for several.
const USUAL_BLOCK: u32 = 20;
/// Chance of a slow ball among fast ones once two fast ones have come: one in five in the long run.
const SLOW: f64 = 0.33;

/// The fewest balls that are worth two blocks, one from far back.
const LEAST_FAR: u32 = 8;

/// The variations each kind of launcher can do, in the order they are tried.
const fn possible(kind: LauncherKind) -> &'static [Variation] {
    use Variation as V;
    match kind {
        LauncherKind::Fixed => &[V::ChangeTheAnswer, V::ThreeDepths, V::FarThenClose],
        LauncherKind::Oscillating => {
            &[V::Sweep, V::ChangeTheAnswer, V::MostOfTheTable, V::FarThenClose]
        }
        LauncherKind::PerBall | LauncherKind::Feeder => &[
            V::UntilLong,
            V::ThreeTargets,
            V::DeadAmongLoaded,
            V::ThreeDepths,
            V::OddSlow,
            V::MostOfTheTable,
            V::FarThenClose,
        ],
        LauncherKind::Partner => {
            &[V::UntilLong, V::ThreeTargets, V::DeadAmongLoaded, V::ThreeDepths, V::OddSlow]
        }
    }
}

/// The variations that only another launcher can do.
pub(super) fn left_out(kind: LauncherKind) -> Vec<Variation> {
    let all = possible(LauncherKind::PerBall).iter().copied();
    all.filter(|variation| !possible(kind).contains(variation)).collect()
}

/// Blocks that vary, `count` balls in all.
pub(super) fn blocks(maker: &mut Maker<'_>, count: u32) -> Vec<Block> {
    let wanted = ((count + USUAL_BLOCK / 2) / USUAL_BLOCK).max(1);
    let bases = maker.work.by_weight();
    let kinds = possible(maker.work.kind());
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

/// One variation about one serve.
fn about(maker: &mut Maker<'_>, variation: Variation, base: &TableServe, count: u32) -> Vec<Block> {
    // These two are about the deck, not about one serve.
    let is_of_deck = matches!(variation, Variation::UntilLong | Variation::OddSlow);
    let balls = match (variation, maker.work.kind()) {
        (Variation::ChangeTheAnswer, _) => return change_the_answer(maker, base, count),
        (Variation::FarThenClose, _) => return far_then_close(maker, base, count),
        (Variation::Sweep, _) | (Variation::MostOfTheTable, LauncherKind::Oscillating) => {
            return sweep(maker.work, variation, base, count).into_iter().collect();
        }
        (Variation::ThreeDepths, LauncherKind::Fixed) => {
            return depths_in_turn(maker.work, base, count);
        }
        (Variation::UntilLong, _) => until_long(maker, count),
        (Variation::OddSlow, _) => odd_slow(maker, count),
        (Variation::ThreeTargets, _) => {
            three_targets(maker.work, base).map(|balls| maker.deal(&balls, count))
        }
        (Variation::ThreeDepths, _) => {
            depths(maker.work, base).map(|balls| maker.deal(&balls, count))
        }
        (Variation::MostOfTheTable, _) => most_of_the_table(maker, base, count),
        (Variation::DeadAmongLoaded, _) => dead_among_loaded(maker, base, count),
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
        ..Block::draft(SessionPhase::Vary, variation, maker.work.home, balls)
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

/// A neighbour of a serve's ball with the receive that is right for it.
fn neighbour(work: &Work<'_>, base: &TableServe, thrown: Thrown) -> Option<SessionBall> {
    // A short ball cannot be fed from behind the line.
    let is_fed_short = thrown.throw == Throw::Feed && thrown.depth == Depth::Short;
    let is_from_table = work.place(base).stand == Stand::OnTable;
    if is_fed_short && !is_from_table && !work.kind().is_person() {
        return None;
    }
    answered(work, thrown, base)
}

/// One motion: short forehand, short backhand, long backhand.
fn three_targets(work: &Work<'_>, base: &TableServe) -> Option<Vec<SessionBall>> {
    let target = |(lane, depth): (Lane, Depth)| {
        // The deck's own serve with this motion comes first.
        let own = work.serves.iter().find(|other| {
            other.serve.motion.is_some()
                && other.serve.motion == base.serve.motion
                && side(other.mixed.lane) == side(lane)
                && other.mixed.depth == depth
        });
        own.map(TableServe::among_others).or_else(|| {
            neighbour(work, base, Thrown { lane, depth, pace: Pace::Medium, ..base.mixed })
        })
    };
    let targets = [
        (Lane::Forehand, Depth::Short),
        (Lane::Backhand, Depth::Short),
        (Lane::Backhand, Depth::Long),
    ];
    targets.into_iter().map(target).collect()
}

/// Short, half-long and long of one serve.
fn depths(work: &Work<'_>, base: &TableServe) -> Option<Vec<SessionBall>> {
    let plain = base.mixed;
    let ball = |&depth: &Depth| {
        let pace = if depth == plain.depth { plain.pace } else { Pace::Medium };
        neighbour(work, base, Thrown { depth, pace, ..plain })
    };
    Depth::ALL.iter().map(ball).collect()
}

/// The three depths as three short blocks, for one setting at a time.
fn depths_in_turn(work: &Work<'_>, base: &TableServe, count: u32) -> Vec<Block> {
    let balls = depths(work, base).filter(|_| count >= 9).unwrap_or_default();
    let block = |(ball, share): (SessionBall, u32)| {
        let balls = vec![ball; share as usize];
        Block {
            around: Some(base.serve.id.clone()),
            notes: vec![Note::OneDepthAfterTheOther],
            ..Block::draft(SessionPhase::Vary, Variation::ThreeDepths, work.place(base), balls)
        }
    };
    balls.into_iter().zip(apportion(count, &[1.0; 3], 0)).map(block).collect()
}

/// Two to five short ones, then a long one, and again.
fn until_long(maker: &mut Maker<'_>, count: u32) -> Option<Vec<SessionBall>> {
    let at = |depth: Depth| -> Vec<&TableServe> {
        maker.work.serves.iter().filter(|one| one.mixed.depth == depth).collect()
    };
    let (short, long) = (at(Depth::Short), at(Depth::Long));
    if short.is_empty() || long.is_empty() {
        return None;
    }
    let mut balls = Vec::new();
    let mut run = 2 + maker.dice.below(4);
    for _ in 0..count {
        let among = if run == 0 { &long } else { &short };
        balls.push(maker.pick(among, &[]).among_others());
        run = if run == 0 { 2 + maker.dice.below(4) } else { run - 1 };
    }
    Some(balls)
}

/// One ball in five slow among fast ones, never two in a row.
fn odd_slow(maker: &mut Maker<'_>, count: u32) -> Option<Vec<SessionBall>> {
    let fast: Vec<&TableServe> =
        maker.work.serves.iter().filter(|one| one.mixed.pace == Pace::Fast).collect();
    if fast.is_empty() {
        return None;
    }
    let mut balls = Vec::new();
    let mut since_slow = 0;
    for _ in 0..count {
        let one = maker.pick(&fast, &[]);
        let slow = neighbour(maker.work, one, Thrown { pace: Pace::Slow, ..one.mixed });
        let slow = slow.filter(|_| since_slow >= 2 && maker.dice.chance(SLOW));
        since_slow = if slow.is_some() { 0 } else { since_slow + 1 };
        balls.push(slow.unwrap_or_else(|| one.among_others()));
    }
    Some(balls)
}

/// Random over three neighbouring lanes, two or three short ones, once or twice the other wing.
fn most_of_the_table(
    maker: &mut Maker<'_>,
    base: &TableServe,
    count: u32,
) -> Option<Vec<SessionBall>> {
    let lanes = three_lanes(base.mixed.lane);
    let ball = |lane: Lane, depth| {
        neighbour(maker.work, base, Thrown { lane, depth, pace: Pace::Medium, ..base.mixed })
    };
    let long: Vec<SessionBall> = lanes
        .iter()
        .flat_map(|&lane| [ball(lane, Depth::Long), ball(lane, Depth::HalfLong)])
        .flatten()
        .collect();
    let short: Vec<SessionBall> =
        lanes.iter().filter_map(|&lane| ball(lane, Depth::Short)).collect();
    if long.len() < 3 || count < 8 {
        return None;
    }
    let more = u32::from(count >= 15);
    let shorts = if short.is_empty() { 0 } else { 2 + more };
    let other = other_wing(maker.work, base);
    let others = if other.is_some() { 1 + more } else { 0 };
    let mut balls = maker.deal(&long, count - shorts - others);
    balls.extend(maker.deal(&short, shorts));
    balls.extend(std::iter::repeat_n(other, others as usize).flatten());
    maker.dice.shuffle(&mut balls);
    Some(balls)
}

/// One ball in four dead among loaded ones.
fn dead_among_loaded(
    maker: &mut Maker<'_>,
    base: &TableServe,
    count: u32,
) -> Option<Vec<SessionBall>> {
    let plain = base.mixed;
    if plain.spin == Spin::Dead {
        return None;
    }
    let dead = Thrown { spin: Spin::Dead, rev_s: 0.0, breaks: None, ..plain };
    let dead = neighbour(maker.work, base, dead)?;
    let dead_balls = (count / 4).max(1);
    let mut balls = maker.deal(&[base.among_others()], count.saturating_sub(dead_balls));
    balls.extend(maker.deal(&[dead], dead_balls.min(count)));
    maker.dice.shuffle(&mut balls);
    Some(balls)
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

/// Distance and tempo as a bridge: far back and slow, then from the usual place.
fn far_then_close(maker: &mut Maker<'_>, base: &TableServe, count: u32) -> Vec<Block> {
    let all = if maker.work.kind().mixes_freely() { maker.work.all() } else { vec![base] };
    let long: Vec<SessionBall> = all.iter().filter_map(|one| fed_long(maker.work, one)).collect();
    if count < LEAST_FAR || long.is_empty() {
        return Vec::new();
    }
    let close = maker.work.place(base);
    let stand = Stand::FarBack;
    let far = match maker.work.machine() {
        Some(machine) => SetUp::of_machine(machine, stand, close.from, maker.work.server),
        None => SetUp { stand, behind_line_m: stand.behind_line_m(), ..close },
    };
    let shares = apportion(count, &[1.0, 1.0], 0);
    let far_balls = maker.deal(&long, shares[0]);
    let close_balls = maker.pick_many(&all, shares[1]);
    let close_balls = close_balls.into_iter().map(TableServe::among_others).collect();
    // Where all serves take turns the block is about none of them.
    let around = Some(&base.serve.id).filter(|_| all.len() == 1);
    [(far, far_balls), (close, close_balls)]
        .into_iter()
        .map(|(set_up, balls)| Block {
            around: around.cloned(),
            ..Block::draft(SessionPhase::Vary, Variation::FarThenClose, set_up, balls)
        })
        .collect()
}

/// The long ball that stands for a serve from far back: a service cannot be copied from there. The
/// same swing far and close, unless this is another serve of the deck.
fn fed_long(work: &Work<'_>, one: &TableServe) -> Option<SessionBall> {
    let thrown = Thrown { throw: Throw::Feed, depth: Depth::Long, pace: Pace::Slow, ..one.mixed };
    let own = answered(work, thrown, one).filter(|ball| ball.serve.is_some());
    own.or_else(|| varied(work, thrown, one, [Some(&one.receive), work.safe(&thrown)]))
}
