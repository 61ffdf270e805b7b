//! The variations the trade knows: around one serve, or around one idea.
//!
//! Each takes a serve, a number of balls and the dice, and gives the balls or nothing where the deck does
//! not hold what it needs. Which of them a launcher can do at all is decided first, and told.

use crate::base::Dice;
use crate::base::order::largest_first;
use crate::game::{Depth, Lane, Pace, Receive, ServeId, Spin};
use crate::launcher::{Kind, Stand, Throw, Thrown};
use crate::rehearsal::answer::{answer, side};
use crate::rehearsal::match_like::{other_wing, worth_a_block};
use crate::rehearsal::settle::Draft;
use crate::rehearsal::shares::apportion;
use crate::rehearsal::work::{Pattern, Work, received};
use crate::rehearsal::{Ball, LeftOut, Phase, Variation, calls, far, sweep};

/// Balls a block that varies is given when there are enough for several.
const USUAL_BLOCK: u32 = 20;

/// The variations each kind of launcher can do, in the order they are tried.
const fn possible(kind: Kind) -> &'static [Variation] {
    match kind {
        Kind::Fixed => {
            &[Variation::ChangeTheAnswer, Variation::ThreeDepths, Variation::FarThenClose]
        }
        Kind::Oscillating => &[
            Variation::Sweep,
            Variation::ChangeTheAnswer,
            Variation::MostOfTheTable,
            Variation::FarThenClose,
        ],
        Kind::PerBall | Kind::Feeder => &[
            Variation::UntilLong,
            Variation::ThreeTargets,
            Variation::DeadAmongLoaded,
            Variation::ThreeDepths,
            Variation::OddSlow,
            Variation::MostOfTheTable,
            Variation::FarThenClose,
        ],
        Kind::Partner => &[
            Variation::UntilLong,
            Variation::ThreeTargets,
            Variation::DeadAmongLoaded,
            Variation::ThreeDepths,
            Variation::OddSlow,
        ],
    }
}

/// Blocks that vary, `count` balls in all.
pub(super) fn drafts(
    work: &mut Work<'_>,
    count: u32,
    dice: &mut Dice,
    left_out: &mut Vec<LeftOut>,
) -> Vec<Draft> {
    tell_left_out(work.kind(), left_out);
    let blocks = ((count + USUAL_BLOCK / 2) / USUAL_BLOCK).max(1) as usize;
    let mut bases = work.all();
    largest_first(&mut bases, |&place| work.patterns[place].weight);
    let kinds = possible(work.kind());
    let start = dice.below(kinds.len());
    let mut drafts = Vec::new();
    let mut left = count;
    // Every variation with every serve to be about, the weightiest serves first.
    let mut tries = bases.iter().enumerate().flat_map(|(turn, &base)| {
        (0..kinds.len()).map(move |step| (kinds[(start + turn + step) % kinds.len()], base))
    });
    let mut done: Vec<(Variation, usize)> = Vec::new();
    for block in 0..blocks {
        let share = left / u32::try_from(blocks - block).unwrap_or(1);
        let mut made = Vec::new();
        for (variation, base) in tries.by_ref() {
            // Another variation before the same one about another serve.
            let often = done.iter().filter(|(known, _)| *known == variation).count();
            if often * kinds.len() > done.len() {
                continue;
            }
            made = work.within_banana_cap(|work| one(work, variation, base, share, dice));
            if !made.is_empty() {
                done.push((variation, base));
                break;
            }
        }
        if made.is_empty() {
            break;
        }
        left -= share;
        drafts.extend(made);
    }
    if left > 0 {
        // What no variation could take: the serves by weight, in random order.
        drafts.extend(around_all(work, left, dice));
    }
    drafts
}

fn tell_left_out(kind: Kind, left_out: &mut Vec<LeftOut>) {
    let all = possible(Kind::PerBall);
    for &variation in all.iter().filter(|variation| !possible(kind).contains(variation)) {
        let why = match kind {
            Kind::Fixed => "one setting at a time",
            Kind::Oscillating => "only the direction changes from ball to ball",
            _ => "a server stands where servers stand",
        };
        left_out.push(LeftOut { variation, why: why.to_owned() });
    }
}

/// One variation about one serve.
fn one(
    work: &mut Work<'_>,
    variation: Variation,
    base: usize,
    count: u32,
    dice: &mut Dice,
) -> Vec<Draft> {
    // Two of them are about the deck, not about one serve.
    let is_about_all = matches!(variation, Variation::UntilLong | Variation::OddSlow);
    let around = Some(work.patterns[base].serve.id.clone()).filter(|_| !is_about_all);
    match variation {
        Variation::ChangeTheAnswer => return call(work, base, count, dice),
        Variation::Sweep => return sweep::sweep(work, base, count),
        Variation::FarThenClose => return far::far_then_close(work, base, count, dice),
        Variation::MostOfTheTable if work.kind() == Kind::Oscillating => {
            return sweep::most_of_the_table(work, base, count);
        }
        Variation::ThreeDepths if work.kind() == Kind::Fixed => {
            return depths_in_turn(work, base, count);
        }
        _ => {}
    }
    let balls = match variation {
        Variation::ThreeTargets => three_targets(work, base, count, dice),
        Variation::ThreeDepths => three_depths(work, base, count, dice),
        Variation::UntilLong => until_long(work, count, dice),
        Variation::OddSlow => odd_slow(work, count, dice),
        Variation::MostOfTheTable => most_of_the_table(work, base, count, dice),
        Variation::DeadAmongLoaded => dead_among_loaded(work, base, count, dice),
        _ => Vec::new(),
    };
    if balls.is_empty() {
        return Vec::new();
    }
    // A block in which only other serves of the deck come is not about this one.
    let has = |id: &ServeId| balls.iter().any(|ball| ball.serve.as_ref() == Some(id));
    let is_others = balls.iter().any(|ball| ball.serve.is_some());
    let around = around.filter(|base| has(base) || !is_others);
    let notes = same_answer(variation, &work.patterns[base].mixed, &balls);
    vec![Draft { around, notes, ..Draft::of(Phase::Vary, variation, work.home, balls) }]
}

/// Why a ball that is another one keeps its receive: one sentence, where that happens at all.
fn same_answer(variation: Variation, plain: &Thrown, balls: &[Ball]) -> Vec<String> {
    let text = |ball: &Ball| ball.receive.as_ref().map(Receive::text);
    let new = balls.iter().filter(|ball| ball.serve.is_none());
    let is_same = new.into_iter().any(|new| {
        balls
            .iter()
            .any(|own| own.serve.is_some() && own.thrown != new.thrown && text(own) == text(new))
    });
    let why = match (variation, plain.spin.has_topspin()) {
        (Variation::DeadAmongLoaded, false) => {
            "The receive stays, the bat does not: close it a little on the dead one, which pops up."
        }
        (Variation::DeadAmongLoaded, true) => {
            "The receive stays, the bat does not: open it a little on the dead one, which drops."
        }
        (Variation::OddSlow, _) => "The receive stays: only the slow one's timing is another.",
        _ => "Where the letter stays the same, only the place of the ball changes.",
    };
    if is_same { vec![why.to_owned()] } else { Vec::new() }
}

/// A neighbour of a pattern's ball with the receive that is right for it.
fn neighbour(work: &Work<'_>, base: usize, thrown: Thrown) -> Option<Ball> {
    let pattern = &work.patterns[base];
    // A short ball cannot be fed from behind the line.
    let from_table = work.place(base).stand == Stand::OnTable;
    if thrown.throw == Throw::Feed
        && thrown.depth == Depth::Short
        && !from_table
        && !work.kind().is_person()
    {
        return None;
    }
    let (serve, receive) = answer(work, &thrown, pattern)?;
    Some(Ball { serve, receive: Some(receive), ..received(pattern, thrown) })
}

/// `count` of these balls in random order, each about equally often.
pub(super) fn dealt(balls: &[Ball], count: u32, dice: &mut Dice) -> Vec<Ball> {
    let mut all: Vec<Ball> = balls.iter().cycle().take(count as usize).cloned().collect();
    dice.shuffle(&mut all);
    all
}

/// One motion: short forehand, short backhand, long backhand.
fn three_targets(work: &Work<'_>, base: usize, count: u32, dice: &mut Dice) -> Vec<Ball> {
    let pattern = &work.patterns[base];
    let targets = [
        (Lane::Forehand, Depth::Short),
        (Lane::Backhand, Depth::Short),
        (Lane::Backhand, Depth::Long),
    ];
    let balls: Vec<Ball> = targets
        .into_iter()
        .filter_map(|(lane, depth)| {
            // The deck's own serve with this motion comes first.
            let own = work.patterns.iter().find(|other| {
                other.serve.motion.is_some()
                    && other.serve.motion == pattern.serve.motion
                    && side(other.mixed.lane) == side(lane)
                    && other.mixed.depth == depth
            });
            if let Some(own) = own {
                return Some(received(own, own.mixed));
            }
            neighbour(work, base, Thrown { lane, depth, pace: Pace::Medium, ..pattern.mixed })
        })
        .collect();
    if balls.len() < 3 { Vec::new() } else { dealt(&balls, count, dice) }
}

/// Short, half-long and long of one serve.
fn depths(work: &Work<'_>, base: usize) -> Vec<Ball> {
    let plain = work.patterns[base].mixed;
    let balls: Vec<Ball> = Depth::ALL
        .iter()
        .filter_map(|&depth| {
            let is_own = depth == plain.depth;
            let pace = if is_own { plain.pace } else { Pace::Medium };
            neighbour(work, base, Thrown { depth, pace, ..plain })
        })
        .collect();
    if balls.len() < 3 { Vec::new() } else { balls }
}

fn three_depths(work: &Work<'_>, base: usize, count: u32, dice: &mut Dice) -> Vec<Ball> {
    let balls = depths(work, base);
    dealt(&balls, if balls.is_empty() { 0 } else { count }, dice)
}

/// The three depths as three short blocks, for one setting at a time.
fn depths_in_turn(work: &Work<'_>, base: usize, count: u32) -> Vec<Draft> {
    let balls = depths(work, base);
    if balls.is_empty() || count < 9 {
        return Vec::new();
    }
    balls
        .into_iter()
        .zip(apportion(count, &[1.0; 3], 0))
        .map(|(ball, share)| Draft {
            around: Some(work.patterns[base].serve.id.clone()),
            notes: vec!["One depth after the other: this launcher keeps its setting.".to_owned()],
            ..Draft::of(
                Phase::Vary,
                Variation::ThreeDepths,
                work.place(base),
                vec![ball; share as usize],
            )
        })
        .collect()
}

/// Two to five short ones, then a long one, and again.
fn until_long(work: &mut Work<'_>, count: u32, dice: &mut Dice) -> Vec<Ball> {
    let of = |depth: Depth| -> Vec<usize> {
        work.all().into_iter().filter(|&i| work.patterns[i].mixed.depth == depth).collect()
    };
    let (short, long) = (of(Depth::Short), of(Depth::Long));
    if short.is_empty() || long.is_empty() {
        return Vec::new();
    }
    let mut balls = Vec::new();
    let mut run = 2 + dice.below(4);
    while balls.len() < count as usize {
        let among = if run == 0 { &long } else { &short };
        let place = work.pick(among, &[], dice);
        balls.push(received(&work.patterns[place], work.patterns[place].mixed));
        run = if run == 0 { 2 + dice.below(4) } else { run - 1 };
    }
    balls
}

/// One ball in five slow among fast ones, never two in a row.
fn odd_slow(work: &mut Work<'_>, count: u32, dice: &mut Dice) -> Vec<Ball> {
    let fast: Vec<usize> =
        work.all().into_iter().filter(|&i| work.patterns[i].mixed.pace == Pace::Fast).collect();
    if fast.is_empty() {
        return Vec::new();
    }
    let mut balls = Vec::new();
    let mut since_slow = 0;
    for _ in 0..count {
        let place = work.pick(&fast, &[], dice);
        let plain = work.patterns[place].mixed;
        let slow = neighbour(work, place, Thrown { pace: Pace::Slow, ..plain });
        match slow {
            Some(slow) if since_slow >= 2 && dice.chance(0.33) => {
                balls.push(slow);
                since_slow = 0;
            }
            _ => {
                balls.push(received(&work.patterns[place], plain));
                since_slow += 1;
            }
        }
    }
    balls
}

/// Random over three neighbouring lanes, two or three short ones, once or twice the other wing.
fn most_of_the_table(work: &mut Work<'_>, base: usize, count: u32, dice: &mut Dice) -> Vec<Ball> {
    let plain = work.patterns[base].mixed;
    let lanes = if side(plain.lane) >= 0 {
        [Lane::WideForehand, Lane::Forehand, Lane::Middle]
    } else {
        [Lane::Middle, Lane::Backhand, Lane::WideBackhand]
    };
    let ball =
        |lane, depth| neighbour(work, base, Thrown { lane, depth, pace: Pace::Medium, ..plain });
    let long: Vec<Ball> = lanes
        .iter()
        .flat_map(|&lane| [ball(lane, Depth::Long), ball(lane, Depth::HalfLong)])
        .flatten()
        .collect();
    let short: Vec<Ball> = lanes.iter().filter_map(|&lane| ball(lane, Depth::Short)).collect();
    if long.len() < 3 || count < 8 {
        return Vec::new();
    }
    let shorts = if short.is_empty() { 0 } else { 2 + u32::from(count >= 15) };
    let honest = other_wing(work, &work.patterns[base]);
    let others = if honest.is_some() { 1 + u32::from(count >= 15) } else { 0 };
    let mut balls = dealt(&long, count - shorts - others, dice);
    balls.extend(dealt(&short, shorts, dice));
    balls.extend(std::iter::repeat_n(honest, others as usize).flatten());
    dice.shuffle(&mut balls);
    balls
}

/// One ball in four dead among loaded ones.
fn dead_among_loaded(work: &mut Work<'_>, base: usize, count: u32, dice: &mut Dice) -> Vec<Ball> {
    let plain = work.patterns[base].mixed;
    if plain.spin == Spin::Dead {
        return Vec::new();
    }
    let dead = Thrown { spin: Spin::Dead, rev_s: 0.0, breaks: None, ..plain };
    let Some(dead) = neighbour(work, base, dead) else { return Vec::new() };
    let loaded = received(&work.patterns[base], plain);
    let dead_balls = (count / 4).max(1);
    let mut balls = dealt(&[loaded], count.saturating_sub(dead_balls), dice);
    balls.extend(dealt(&[dead], dead_balls.min(count), dice));
    dice.shuffle(&mut balls);
    balls
}

/// The ball stays, the answer is called: the group of this serve.
fn call(work: &mut Work<'_>, base: usize, count: u32, dice: &mut Dice) -> Vec<Draft> {
    let mut groups = calls::groups(work);
    groups.retain(|group| calls::has_choice(work, group));
    // The groups by weight; small ones give their balls to the largest.
    let weights: Vec<f64> = groups
        .iter()
        .map(|group| {
            let bonus = if group.members.contains(&base) { 2.0 } else { 1.0 };
            bonus * group.members.iter().map(|&i| work.patterns[i].weight).sum::<f64>()
        })
        .collect();
    let shares = worth_a_block(apportion(count, &weights, 0));
    groups
        .iter()
        .zip(shares)
        .filter(|(_, share)| *share > 0)
        .map(|(group, share)| calls::change_the_answer(work, group, share, dice))
        .collect()
}

/// One serve at a time, where nothing else can be done with this launcher and this plan.
fn one_by_one(work: &Work<'_>, count: u32) -> Vec<Draft> {
    let weights: Vec<f64> = work.patterns.iter().map(|pattern| pattern.weight).collect();
    let shares = worth_a_block(apportion(count, &weights, 0));
    let blocks = work.patterns.iter().zip(shares).filter(|(_, share)| *share > 0);
    let draft = |(pattern, share): (&Pattern, u32)| Draft {
        around: Some(pattern.serve.id.clone()),
        ..Draft::of(
            Phase::Vary,
            Variation::OneServe,
            pattern.alone.set_up,
            vec![received(pattern, pattern.alone.thrown); share as usize],
        )
    };
    blocks.map(draft).collect()
}

/// The serves by weight, in random order.
fn around_all(work: &mut Work<'_>, count: u32, dice: &mut Dice) -> Vec<Draft> {
    if !work.kind().mixes_freely() {
        let called = call(work, 0, count, dice);
        return if called.is_empty() { one_by_one(work, count) } else { called };
    }
    let all = work.all();
    let mut before = Vec::new();
    let mut balls = Vec::new();
    for _ in 0..count {
        let place = work.pick(&all, &before, dice);
        before.push(place);
        balls.push(received(&work.patterns[place], work.patterns[place].mixed));
    }
    vec![Draft::of(Phase::Vary, Variation::Mixed, work.home, balls)]
}
