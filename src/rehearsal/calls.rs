//! Blocks in which the answer changes: the ball kept and the serve called, and the switch round.
//!
//! A machine that can throw only one ball still trains memory: the ball stays, a voice or a list says
//! which serve it stands for. Only receives that suit the ball are called on it; a ball to the middle is
//! taken where more of them do than on the serve's own.

use crate::base::Dice;
use crate::base::order::largest_first;
use crate::deck::Switch;
use crate::game::{Depth, Lane, Receive};
use crate::journal::Stage;
use crate::launcher::{SetUp, Thrown};
use crate::rehearsal::answer::suits;
use crate::rehearsal::settle::Draft;
use crate::rehearsal::work::{Work, received};
use crate::rehearsal::{Ball, Cue, NewAnswer, Phase, SwitchCall, Variation};

/// Patterns that can be called on one ball: that of the first, or the same to the middle.
#[derive(Debug, Clone)]
pub(super) struct Group {
    pub(super) members: Vec<usize>,
    pub(super) thrown: Thrown,
    pub(super) set_up: SetUp,
}

impl Group {
    /// The patterns among these that can be called on this one's ball, under a switch as well.
    fn around(work: &Work<'_>, head: usize, among: &[usize], switch: Option<&Switch>) -> Self {
        let first = &work.patterns[head];
        let own = first.alone.thrown;
        let new = |place: usize| -> Option<&Receive> {
            switch.and_then(|switch| switch.changes.get(&work.patterns[place].serve.id))
        };
        let on = |ball: Thrown| -> Vec<usize> {
            let fits = |receive: &Receive| suits(&ball, &first.serve, receive);
            let members = among.iter().copied().filter(|&place| {
                let pattern = &work.patterns[place];
                let is_own = place == head && ball == own;
                let is_long = pattern.alone.thrown.depth == Depth::Long;
                is_own
                    || is_long == (ball.depth == Depth::Long)
                        && fits(&pattern.receive)
                        && new(place).is_none_or(fits)
            });
            members.collect()
        };
        let middle = Thrown { lane: Lane::Middle, ..own };
        let (alone, there) = (on(own), on(middle));
        let (members, thrown) = if there.contains(&head) && there.len() > alone.len() {
            (there, middle)
        } else {
            (alone, own)
        };
        Self { members, thrown, set_up: first.alone.set_up }
    }

    /// What to know about a ball that stands for several serves.
    pub(super) fn note(&self, work: &Work<'_>) -> String {
        let is_own = |&place: &usize| work.patterns[place].alone.thrown == self.thrown;
        let what = if self.members.iter().any(is_own) {
            "The ball stays"
        } else {
            "One ball to the middle, where every answer on the list can be played"
        };
        format!("{what}; the list says which serve it stands for.")
    }
}

/// Every pattern's place, the weightiest first.
fn by_weight(work: &Work<'_>) -> Vec<usize> {
    let mut all = work.all();
    largest_first(&mut all, |&place| work.patterns[place].weight);
    all
}

/// Every pattern in one group, the weightiest first in each.
pub(super) fn groups(work: &Work<'_>) -> Vec<Group> {
    let mut left = by_weight(work);
    let mut groups = Vec::new();
    while let Some(&head) = left.first() {
        let group = Group::around(work, head, &left, None);
        left.retain(|place| !group.members.contains(place));
        groups.push(group);
    }
    groups
}

/// The receive for "something new" that takes turns with a lone serve, where it suits the ball.
fn something_new(work: &Work<'_>, group: &Group) -> Option<Receive> {
    let [head] = group.members[..] else { return None };
    let first = &work.patterns[head];
    work.safe.clone().filter(|safe| {
        safe.text() != first.receive.text() && suits(&group.thrown, &first.serve, safe)
    })
}

/// True when there is anything to call on this group's ball.
pub(super) fn has_choice(work: &Work<'_>, group: &Group) -> bool {
    group.members.len() > 1 || something_new(work, group).is_some()
}

/// One group's ball, the serve called anew for every ball.
pub(super) fn change_the_answer(
    work: &mut Work<'_>,
    group: &Group,
    count: u32,
    dice: &mut Dice,
) -> Draft {
    let mut before = Vec::new();
    let head = group.members[0];
    let safe = something_new(work, group);
    let balls = (0..count)
        .map(|_| {
            let place = work.pick(&group.members, &before, dice);
            before.push(place);
            let ball = received(&work.patterns[place], group.thrown);
            match &safe {
                Some(safe) if dice.chance(0.35) => {
                    Ball { serve: None, receive: Some(safe.clone()), ..ball }
                }
                _ => ball,
            }
        })
        .collect();
    let when = "Call the serve after the ball before it has been played, or read the list.";
    let mut notes = vec![when.to_owned()];
    if group.members.len() > 1 {
        notes.insert(0, group.note(work));
    }
    Draft {
        around: Some(work.patterns[head].serve.id.clone()),
        is_called: true,
        notes,
        ..Draft::of(Phase::Vary, Variation::ChangeTheAnswer, group.set_up, balls)
    }
}

/// Before the call, the call, after it. At least a third of the balls before and after it are serves that
/// change, the first of them within three balls of the call.
pub(super) fn switch_round(
    work: &mut Work<'_>,
    switch: &Switch,
    count: u32,
    dice: &mut Dice,
) -> Option<Draft> {
    let is_switched =
        |work: &Work<'_>, place: usize| switch.changes.contains_key(&work.patterns[place].serve.id);
    let is_kept_ball = !work.kind().mixes_freely();
    let group = if is_kept_ball {
        // The ball of a switched serve, and those that can be called on it before and after.
        let all = by_weight(work);
        let head = all.iter().copied().find(|&place| is_switched(work, place));
        head.map(|head| Group::around(work, head, &all, Some(switch)))
    } else {
        let set_up = work.home;
        let thrown = work.patterns.first()?.mixed;
        Some(Group { members: work.all(), thrown, set_up })
    }?;
    let (changed, kept): (Vec<usize>, Vec<usize>) =
        group.members.iter().partition(|&&place| is_switched(work, place));
    // 18 before, 24 after, in proportion.
    let before = (count * 18).div_ceil(42).min(count.saturating_sub(1)).max(1);
    let after = count - before;
    let mut places = order(work, &changed, &kept, before, dice);
    let later = order(work, &changed, &kept, after, dice);
    // The switched serve comes within the first three balls after the call, at random.
    let later = first_within_three(later, &changed, dice);
    places.extend(later);

    let changes: Vec<NewAnswer> = changed
        .iter()
        .filter_map(|&place| {
            let pattern = &work.patterns[place];
            let new = switch.changes.get(&pattern.serve.id)?.clone();
            Some(NewAnswer { serve: pattern.serve.id.clone(), old: pattern.receive.clone(), new })
        })
        .collect();
    let stay_at = (before >= 8).then_some(before / 2);
    let mut balls = Vec::new();
    for (&place, turn) in places.iter().zip(0..) {
        let pattern = &work.patterns[place];
        let thrown = if is_kept_ball { group.thrown } else { pattern.mixed };
        let mut ball = received(pattern, thrown);
        let is_after = turn >= before;
        ball.stage = Some(if is_after { Stage::After } else { Stage::Before });
        if let Some(new) = switch.changes.get(&pattern.serve.id).filter(|_| is_after) {
            ball.receive = Some(new.clone());
        }
        if turn == before {
            ball.cues.push(Cue::Call(SwitchCall {
                name: switch.name.clone(),
                cue: switch.cue.clone(),
                changes: changes.clone(),
                at_ball: 0,
            }));
        } else if Some(turn) == stay_at {
            ball.cues.push(Cue::Stay);
        }
        balls.push(ball);
    }
    let mut notes = Vec::new();
    if is_kept_ball && group.members.len() > 1 {
        notes.push(group.note(work));
    }
    Some(Draft {
        is_called: is_kept_ball,
        notes,
        ..Draft::of(Phase::MatchLike, Variation::SwitchRound, group.set_up, balls)
    })
}

/// A third of the balls switched serves, the rest the others, in random order.
fn order(
    work: &mut Work<'_>,
    changed: &[usize],
    kept: &[usize],
    count: u32,
    dice: &mut Dice,
) -> Vec<usize> {
    let thirds = if kept.is_empty() { count } else { count.div_ceil(3) };
    let mut places: Vec<usize> = Vec::new();
    for turn in 0..count {
        let among = if turn < thirds { changed } else { kept };
        places.push(work.pick(among, &[], dice));
    }
    dice.shuffle(&mut places);
    places
}

/// Moves the first switched serve into the first three balls when it comes later.
fn first_within_three(mut places: Vec<usize>, changed: &[usize], dice: &mut Dice) -> Vec<usize> {
    let wanted = dice.below(3.min(places.len()));
    if let Some(found) =
        places.iter().position(|place| changed.contains(place)).filter(|&at| at > 2)
    {
        places.swap(found, wanted);
    }
    places
}

/// Fewest balls between a call and the end of its block.
const AFTER_CALL: usize = 3;

/// How many of these balls make the next block: `even`, or fewer so that a call opens a block instead of closing one.
pub(super) fn whole_call(balls: &[Ball], even: usize, most: usize) -> usize {
    let Some(call) = balls.iter().position(|ball| call_of(ball).is_some()) else { return even };
    let closes = even < balls.len() && call > 0 && (call + 1..=call + AFTER_CALL).contains(&even);
    if closes && balls.len() - call <= most { call } else { even }
}

/// What each block of a switch round says about it: when the call comes, what holds, where it ends.
pub(super) struct RoundNotes {
    /// The part that holds the call, the number of parts, and the switch.
    round: Option<(usize, usize, String)>,
}

impl RoundNotes {
    /// For a draft cut into these parts.
    pub(super) fn of(draft: &Draft, parts: &[Vec<Ball>]) -> Self {
        let is_round = draft.variation == Variation::SwitchRound;
        let called = parts.iter().enumerate().find_map(|(place, balls)| {
            let call = balls.iter().find_map(call_of)?;
            Some((place, parts.len(), call.name))
        });
        Self { round: called.filter(|_| is_round) }
    }

    /// The notes of one part.
    pub(super) fn of_part(&self, part: usize) -> Vec<String> {
        let Some((call, parts, name)) = &self.round else { return Vec::new() };
        let mut notes = Vec::new();
        if part < *call {
            notes.push("The plan holds here; the switch is called in a later block.".to_owned());
        } else if part > *call {
            notes.push(format!("The switch `{name}` still holds."));
        }
        notes.push(if part + 1 == *parts {
            "After this block the plan without the switch holds again.".to_owned()
        } else {
            "The switch round goes on in the next block.".to_owned()
        });
        notes
    }
}

/// The call in front of a ball.
pub(super) fn call_of(ball: &Ball) -> Option<SwitchCall> {
    ball.cues.iter().find_map(|cue| match cue {
        Cue::Call(call) => Some(call.clone()),
        _ => None,
    })
}
