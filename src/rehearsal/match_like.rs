//! Match-like blocks: a game is played out, the opponent serves as they do at that score, own serves are
//! played as shadows between, and now and then a ball to the other wing keeps the player honest.
//!
//! Who serves when: ITTF Laws 2.13, through `game`. That points fall evenly is a simplification that only
//! moves the score along.

use crate::base::Dice;
use crate::game::{End, Game, ScoreHabit, Serve};
use crate::rehearsal::answer::{self, side};
use crate::rehearsal::calls::{self, Group};
use crate::rehearsal::settle::Draft;
use crate::rehearsal::shares::apportion;
use crate::rehearsal::work::{Pattern, Work, received};
use crate::rehearsal::{Ball, Cue, Phase, Role, Variation};

/// How much more often a serve comes at a score it is known for (common practice).
const HABIT: f64 = 3.0;
/// Chance of a ball to the other wing.
const OTHER_WING: f64 = 0.08;

/// Match-like blocks of `count` balls in all.
pub(super) fn drafts(work: &mut Work<'_>, count: u32, dice: &mut Dice) -> Vec<Draft> {
    if work.kind().mixes_freely() {
        let all = work.all();
        let balls = game(work, &all, None, count, dice);
        return vec![Draft::of(Phase::MatchLike, Variation::Pairs, work.home, balls)];
    }
    let groups = calls::groups(work);
    let weights: Vec<f64> = groups
        .iter()
        .map(|group| group.members.iter().map(|&place| work.patterns[place].weight).sum())
        .collect();
    let shares = worth_a_block(apportion(count, &weights, 0));
    let mut drafts = Vec::new();
    for (group, share) in groups.iter().zip(shares).filter(|(_, share)| *share > 0) {
        let balls = game(work, &group.members, Some(group), share, dice);
        drafts.push(Draft {
            is_called: group.members.len() > 1,
            notes: if group.members.len() > 1 {
                vec![group.note(work)]
            } else {
                vec!["One serve only: no other answer suits its ball.".to_owned()]
            },
            ..Draft::of(Phase::MatchLike, Variation::Pairs, group.set_up, balls)
        });
    }
    drafts
}

/// Blocks of fewer than six balls are not worth a change of setting: their balls go to the largest.
pub(super) fn worth_a_block(mut shares: Vec<u32>) -> Vec<u32> {
    let Some(largest) = (0..shares.len()).max_by_key(|&place| shares[place]) else { return shares };
    for place in 0..shares.len() {
        if place != largest && shares[place] < 6 {
            shares[largest] += std::mem::take(&mut shares[place]);
        }
    }
    shares
}

fn game(
    work: &mut Work<'_>,
    among: &[usize],
    kept: Option<&Group>,
    count: u32,
    dice: &mut Dice,
) -> Vec<Ball> {
    let mut balls: Vec<Ball> = Vec::new();
    let mut before = Vec::new();
    let mut first_server = End::Them;
    let mut score = Game::start(first_server);
    let mut own_serves = 0;
    while balls.len() < count as usize {
        if score.winner().is_some() {
            first_server = first_server.other();
            score = Game::start(first_server);
        }
        if score.server() == End::Me {
            own_serves += 1;
        } else {
            let now = score;
            let place = work.pick_by(among, &before, dice, |pattern| {
                pattern.share.max(0.01) * habit(&pattern.serve, &now)
            });
            before.push(place);
            let thrown = kept.map_or(work.patterns[place].mixed, |group| group.thrown);
            let mut ball = received(&work.patterns[place], thrown);
            let is_honest = kept.is_none() && dice.chance(OTHER_WING);
            if let Some(honest) = other_wing(work, &work.patterns[place]).filter(|_| is_honest) {
                ball = honest;
            }
            ball.score = Some((now.them, now.me));
            if own_serves > 0 {
                ball.cues.push(Cue::OwnServes(own_serves));
                own_serves = 0;
            }
            balls.push(ball);
        }
        score = score.after(if dice.chance(0.5) { End::Me } else { End::Them });
    }
    balls
}

/// How much more often this serve comes at this score.
fn habit(serve: &Serve, score: &Game) -> f64 {
    let (them, me) = (score.them, score.me);
    let is_now = |habit: &ScoreHabit| match habit {
        ScoreHabit::Early => them + me < 6,
        ScoreHabit::Ahead => them > me,
        ScoreHabit::Behind => them < me,
        ScoreHabit::Close => them >= 8 && me >= 8,
        ScoreHabit::Deuce => them >= 10 && me >= 10,
        ScoreHabit::GamePoint => them >= 10 && them > me,
    };
    if serve.scores.iter().any(is_now) { HABIT } else { 1.0 }
}

/// The same ball to the other wing, with whatever is right for it.
pub(super) fn other_wing(work: &Work<'_>, pattern: &Pattern) -> Option<Ball> {
    let mut thrown = pattern.mixed;
    thrown.lane = thrown.lane.mirrored();
    if side(thrown.lane) == 0 {
        return None;
    }
    let (_, receive) = answer::answer(work, &thrown, pattern)?;
    Some(Ball {
        role: Role::OtherWing,
        serve: None,
        receive: Some(receive),
        ..received(pattern, thrown)
    })
}
