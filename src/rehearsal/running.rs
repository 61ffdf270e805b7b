//! Drills in which one kind of ball runs until another breaks it: by depth, by tempo, by wing, by
//! spin, by distance.

use crate::game::{Depth, Lane, Pace, Receive, Spin, Stroke, Wing};
use crate::launcher::{Throw, Thrown};
use crate::rehearsal::answer::{answered, side, varied};
use crate::rehearsal::around::neighbour;
use crate::rehearsal::session::{Block, Note, Role, SessionBall, SessionPhase, Variation};
use crate::rehearsal::work::{Maker, TableServe, Work, apportion};

/// Rev/s of a topspin ball that is countered or chopped from behind the table (common practice).
const TOPSPIN_REV_S: f64 = 25.0;

/// `least` to `most` of one depth, then one of the other, and again.
pub(super) fn until(
    maker: &mut Maker<'_>,
    count: u32,
    run: Depth,
    end: Depth,
    least: usize,
    most: usize,
) -> Option<Vec<SessionBall>> {
    let at = |depth: Depth| -> Vec<&TableServe> {
        maker.work.serves.iter().filter(|one| one.mixed.depth == depth).collect()
    };
    let (usual, other) = (at(run), at(end));
    if usual.is_empty() || other.is_empty() {
        return None;
    }
    let mut left = 0;
    let mut next = |maker: &mut Maker<'_>| {
        let among = if left == 0 { &other } else { &usual };
        left = if left == 0 { least + maker.dice.below(most - least + 1) } else { left - 1 };
        maker.pick(among, &[]).among_others()
    };
    // The first run comes first.
    next(maker);
    Some((0..count).map(|_| next(maker)).collect())
}

/// One or two fast balls, one or two slow ones, by turns: about half of them slow.
pub(super) fn off_tempo(maker: &mut Maker<'_>, count: u32) -> Option<Vec<SessionBall>> {
    let work = maker.work;
    let slow = |one: &TableServe| neighbour(work, one, Thrown { pace: Pace::Slow, ..one.mixed });
    let is_fast = |one: &&TableServe| one.mixed.pace == Pace::Fast && slow(one).is_some();
    let fast: Vec<&TableServe> = work.serves.iter().filter(is_fast).collect();
    if fast.is_empty() {
        return None;
    }
    let (mut balls, mut is_slow) = (Vec::new(), false);
    while balls.len() < count as usize {
        for _ in 0..=maker.dice.below(2) {
            let one = maker.pick(&fast, &[]);
            balls.extend(if is_slow { slow(one) } else { Some(one.among_others()) });
        }
        is_slow = !is_slow;
    }
    balls.truncate(count as usize);
    Some(balls)
}

/// Fast long balls over two thirds of the table, attacked with the forehand; two or three short
/// ones to step in for, one or two to the other wing, one of them slower.
pub(super) fn mostly_forehand(
    maker: &mut Maker<'_>,
    base: &TableServe,
    count: u32,
) -> Option<Vec<SessionBall>> {
    let work = maker.work;
    let lanes = [Lane::WideForehand, Lane::Forehand, Lane::Middle];
    let plain = Thrown { shade: None, ..base.mixed };
    let attack = |lane: Lane| {
        let spin = if plain.spin.has_backspin() || plain.spin == Spin::Dead {
            Thrown { spin: Spin::Topspin, rev_s: TOPSPIN_REV_S, breaks: None, ..plain }
        } else {
            plain
        };
        let thrown = Thrown { lane, depth: Depth::Long, pace: Pace::Fast, ..spin };
        let own = answered(work, thrown, base).filter(is_forehand_attack);
        own.or_else(|| {
            let ways = ["forehand fast_loop", "forehand drive", "forehand slow_loop"];
            with_one_of(work, base, thrown, &ways)
        })
    };
    let long: Option<Vec<SessionBall>> = lanes.into_iter().map(attack).collect();
    let long = long.filter(|_| count >= 8)?;
    let short: Vec<SessionBall> = lanes
        .into_iter()
        .filter_map(|lane| {
            neighbour(work, base, Thrown { lane, depth: Depth::Short, pace: Pace::Medium, ..plain })
        })
        .collect();
    let more = u32::from(count >= 15);
    let shorts = if short.is_empty() { 0 } else { 2 + more };
    let wing = |pace: Pace| {
        let thrown = Thrown { lane: Lane::Backhand, depth: Depth::Long, pace, ..long[0].thrown };
        let ball = answered(work, thrown, base)?;
        Some(SessionBall { role: Role::OtherWing, serve: None, ..ball })
    };
    let others: Vec<SessionBall> = [wing(Pace::Slow), wing(Pace::Fast)]
        .into_iter()
        .flatten()
        .take(1 + more as usize)
        .collect();
    let wings = u32::try_from(others.len()).unwrap_or_default();
    let mut balls = maker.deal(&long, count - shorts - wings);
    balls.extend(maker.deal(&short, shorts));
    balls.extend(others);
    maker.dice.shuffle(&mut balls);
    Some(balls)
}

fn is_forehand_attack(ball: &SessionBall) -> bool {
    ball.receive.as_ref().is_some_and(|receive| {
        receive.wing == Some(Wing::Forehand)
            && matches!(receive.stroke, Stroke::FastLoop | Stroke::Drive | Stroke::SlowLoop)
    })
}

/// A variation answered with the first of these that a coach has nothing against, to the elbow.
fn with_one_of(
    work: &Work<'_>,
    base: &TableServe,
    thrown: Thrown,
    ways: &[&str],
) -> Option<SessionBall> {
    let receives: Vec<Receive> =
        ways.iter().filter_map(|way| format!("{way} to elbow long").parse().ok()).collect();
    let ball = varied(work, thrown, base, receives.iter().map(Some))?;
    let said = ball.receive.as_ref().map(Receive::text);
    receives.iter().any(|receive| Some(receive.text()) == said).then_some(ball)
}

/// Fast topspin to both wings, the player behind the table: countered, or chopped.
pub(super) fn from_far(
    maker: &mut Maker<'_>,
    base: &TableServe,
    drill: Variation,
    count: u32,
) -> Option<Vec<SessionBall>> {
    let work = maker.work;
    let stroke = if drill == Variation::ChopFromFar { "chop" } else { "fast_loop" };
    let ball = |lane: Lane| {
        let thrown = Thrown {
            throw: Throw::Feed,
            lane,
            depth: Depth::Long,
            spin: Spin::Topspin,
            rev_s: TOPSPIN_REV_S,
            breaks: None,
            pace: Pace::Fast,
            shade: None,
        };
        let wing = if side(lane) < 0 { "backhand" } else { "forehand" };
        with_one_of(work, base, thrown, &[&format!("{wing} {stroke}")])
    };
    // One setting stays on the forehand.
    let lanes: &[Lane] = if work.kind().mixes_freely() {
        &[Lane::Forehand, Lane::Backhand]
    } else {
        &[Lane::Forehand]
    };
    let balls: Vec<SessionBall> = lanes.iter().filter_map(|&lane| ball(lane)).collect();
    (!balls.is_empty()).then(|| maker.deal(&balls, count))
}

/// One ball from four places behind the table, a block at each: nearer after eight of ten, back
/// after five.
pub(super) fn far_then_near(work: &Work<'_>, base: &TableServe, count: u32) -> Vec<Block> {
    let own = if work.kind().mixes_freely() { base.mixed } else { base.alone.thrown };
    let pace = if own.depth == Depth::Long { own.pace } else { Pace::Medium };
    let thrown = Thrown { depth: Depth::Long, pace, ..own };
    // Taken later from farther back: not the receive of the plan, so it is not written down.
    let later = Receive { timing: None, ..base.receive.clone() };
    let is_swung = |ball: &SessionBall| {
        use Stroke::{Chop, Drive, FastLoop, SlowLoop};
        let stroke = ball.receive.as_ref().map(|receive| receive.stroke);
        matches!(stroke, Some(SlowLoop | FastLoop | Drive | Chop))
    };
    let ball = varied(work, thrown, base, [Some(&later), work.safe(&thrown)]);
    let Some(ball) = ball.filter(is_swung) else { return Vec::new() };
    let block = |(steps, share): (u32, u32)| Block {
        around: Some(base.serve.id.clone()),
        notes: vec![Note::StepsBack(steps)],
        ..Block::draft(
            SessionPhase::Vary,
            Variation::FarThenNear,
            work.place(base),
            vec![ball.clone(); share as usize],
        )
    };
    let shares = apportion(count, &[1.0; 4], 0);
    [3, 2, 1, 0].into_iter().zip(shares).filter(|(_, share)| *share > 0).map(block).collect()
}

/// One ball in four dead among heavy ones.
pub(super) fn dead_among_heavy(
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
