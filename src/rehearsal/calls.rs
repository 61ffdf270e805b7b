//! Blocks in which the answer changes: the ball kept and the serve called, and the switch round.
//!
//! A machine that can throw only one ball still trains memory: the ball stays, a voice or a list
//! says which serve of the same kind of spin it stands for, or for a lone serve whether the plan or
//! a switch holds. Only receives that suit the ball are called on it; a ball to the middle is taken
//! where more of them do than on the serve's own.

use crate::deck::Switch;
use crate::game::{Depth, Lane, Receive};
use crate::journal::Stage;
use crate::launcher::{SetUp, Thrown};
use crate::rehearsal::answer::suits;
use crate::rehearsal::session::{
    BeforeBall, Block, NewAnswer, Note, SessionBall, SessionPhase, SwitchCall, Variation,
};
use crate::rehearsal::work::{Maker, TableServe, Work, blocks_of};

/// One ball that stands for several serves: that of the first of them, or the same to the middle.
#[derive(Clone)]
pub(super) struct SharedBall<'w> {
    pub(super) serves: Vec<&'w TableServe>,
    pub(super) thrown: Thrown,
    pub(super) set_up: SetUp,
}

impl<'w> SharedBall<'w> {
    /// The serves among these that can be called on the ball of the first, under a switch as well.
    fn around(
        work: &Work<'_>,
        head: &'w TableServe,
        among: &[&'w TableServe],
        switch: Option<&Switch>,
    ) -> Self {
        let own = head.alone.thrown;
        let on = |ball: Thrown| -> Vec<&'w TableServe> {
            let fits = |receive: &Receive| suits(work.request.deck, &ball, &head.serve, receive);
            let is_callable = |one: &&&TableServe| {
                let is_own = one.serve.id == head.serve.id && ball == own;
                let its = one.alone.thrown;
                let is_like = (its.depth == Depth::Long) == (ball.depth == Depth::Long)
                    && its.spin.is_like(ball.spin);
                let new = switch.and_then(|switch| switch.changes.get(&one.serve.id));
                is_own || is_like && fits(&one.receive) && new.is_none_or(fits)
            };
            among.iter().filter(is_callable).copied().collect()
        };
        let middle = Thrown { lane: Lane::Middle, ..own };
        let (alone, there) = (on(own), on(middle));
        let is_better =
            there.len() > alone.len() && there.iter().any(|one| one.serve.id == head.serve.id);
        let (serves, thrown) = if is_better { (there, middle) } else { (alone, own) };
        Self { serves, thrown, set_up: head.alone.set_up }
    }

    /// What to know about a ball that stands for several serves.
    pub(super) fn note(&self) -> Option<Note> {
        let is_own = self.serves.iter().any(|one| one.alone.thrown == self.thrown);
        (self.serves.len() > 1).then_some(Note::OneBallForSeveral { to_the_middle: !is_own })
    }

    pub(super) fn weight(&self) -> f64 {
        self.serves.iter().map(|one| one.weight).sum()
    }

    /// The switch of a lone serve that takes turns with its plan; a switch round has its own.
    fn own_switch(&self, work: &Work<'w>) -> Option<(&'w Switch, &'w Receive)> {
        let [only] = &self.serves[..] else { return None };
        if !work.request.switches.is_empty() {
            return None;
        }
        let deck = work.request.deck;
        let new = |switch: &'w Switch| Some((switch, switch.changes.get(&only.serve.id)?));
        deck.switches.iter().filter_map(new).find(|(_, receive)| {
            receive.text() != only.receive.text() && suits(deck, &self.thrown, &only.serve, receive)
        })
    }
}

/// Every serve on one shared ball, the weightiest first in each.
pub(super) fn shared_balls<'w>(work: &'w Work<'_>) -> Vec<SharedBall<'w>> {
    let mut left = work.by_weight();
    let mut shared = Vec::new();
    while let Some(&head) = left.first() {
        let ball = SharedBall::around(work, head, &left, None);
        left.retain(|one| ball.serves.iter().all(|its| its.serve.id != one.serve.id));
        shared.push(ball);
    }
    shared
}

/// The ball stays, the answer is called; the shared ball of this serve comes twice as often.
pub(super) fn change_the_answer(
    maker: &mut Maker<'_>,
    base: &TableServe,
    count: u32,
) -> Vec<Block> {
    let mut shared = shared_balls(maker.work);
    shared.retain(|ball| ball.serves.len() > 1 || ball.own_switch(maker.work).is_some());
    let weight = |ball: &SharedBall<'_>| {
        let is_its = ball.serves.iter().any(|one| one.serve.id == base.serve.id);
        ball.weight() * if is_its { 2.0 } else { 1.0 }
    };
    blocks_of(count, &shared, weight)
        .map(|(ball, share)| called_block(maker, ball, share))
        .collect()
}

/// One shared ball, the serve called anew for every ball.
fn called_block(maker: &mut Maker<'_>, shared: &SharedBall<'_>, count: u32) -> Block {
    let switch = shared.own_switch(maker.work);
    let balls = if let Some((_, new)) = switch {
        let plan = shared.serves[0].received(shared.thrown);
        let switched = SessionBall { receive: Some(new.clone()), ..plan.clone() };
        maker.deal(&[plan, switched], count)
    } else {
        let picked = maker.pick_many(&shared.serves, count);
        picked.into_iter().map(|one| one.received(shared.thrown)).collect()
    };
    Block {
        around: Some(shared.serves[0].serve.id.clone()),
        is_called: true,
        notes: shared
            .note()
            .into_iter()
            .chain(switch.map(|(switch, new)| Note::PlanOrSwitch(switch.name.clone(), new.clone())))
            .chain([Note::CallAfterTheBallBefore])
            .collect(),
        ..Block::draft(SessionPhase::Vary, Variation::SameBall, shared.set_up, balls)
    }
}

/// Before the call, the call, after it. At least a third of the balls before and after it are
/// serves that change, the first of them within three balls of the call.
pub(super) fn switch_round(maker: &mut Maker<'_>, switch: &Switch, count: u32) -> Option<Block> {
    let new_receive = |one: &TableServe| switch.changes.get(&one.serve.id);
    let is_kept_ball = !maker.work.kind().mixes_freely();
    let shared = if is_kept_ball {
        // The ball of a switched serve, and those that can be called on it before and after.
        let all = maker.work.by_weight();
        let head = all.iter().copied().find(|one| maker.work.is_switched(switch, one))?;
        SharedBall::around(maker.work, head, &all, Some(switch))
    } else {
        let thrown = maker.work.serves.first()?.mixed;
        let mut serves = maker.work.all();
        serves.retain(|one| new_receive(one).is_none() || maker.work.is_switched(switch, one));
        SharedBall { serves, thrown, set_up: maker.work.home }
    };
    let (changed, kept): (Vec<&TableServe>, Vec<&TableServe>) =
        shared.serves.iter().partition(|one| new_receive(one).is_some());
    // 18 before, 24 after, in proportion.
    let before = (count * 18).div_ceil(42).min(count.saturating_sub(1)).max(1);
    let mut order = third_switched(maker, &changed, &kept, before);
    let mut after = third_switched(maker, &changed, &kept, count - before);
    // The first switched serve comes among the first three balls, at random which.
    let soon = maker.dice.below(3.min(after.len()));
    let first = after.iter().position(|one| new_receive(one).is_some());
    if let Some(first) = first.filter(|&place| place > 2) {
        after.swap(first, soon);
    }
    order.extend(after);
    let stay_at = (before >= 8).then_some(before / 2);
    let mut balls = Vec::new();
    for (one, turn) in order.into_iter().zip(0..) {
        let mut ball = one.received(if is_kept_ball { shared.thrown } else { one.mixed });
        ball.stage = Some(if turn < before { Stage::Before } else { Stage::After });
        if let Some(new) = new_receive(one).filter(|_| turn >= before) {
            ball.receive = Some(new.clone());
        }
        if turn == before {
            ball.before.push(BeforeBall::Call(call(switch, &changed)));
        } else if Some(turn) == stay_at {
            ball.before.push(BeforeBall::Stay);
        }
        balls.push(ball);
    }
    let (phase, variation) = (SessionPhase::MatchLike, Variation::SwitchRound);
    Some(Block {
        is_called: is_kept_ball,
        notes: shared.note().filter(|_| is_kept_ball).into_iter().collect(),
        ..Block::draft(phase, variation, shared.set_up, balls)
    })
}

/// The call of a switch; its ball is numbered with all others.
fn call(switch: &Switch, changed: &[&TableServe]) -> SwitchCall {
    let change = |one: &&TableServe| {
        let new = switch.changes.get(&one.serve.id)?.clone();
        Some(NewAnswer { serve: one.serve.id.clone(), old: one.receive.clone(), new })
    };
    SwitchCall {
        name: switch.name.clone(),
        cue: switch.cue.clone(),
        changes: changed.iter().filter_map(change).collect(),
        at_ball: 0,
    }
}

/// A third of the balls switched serves, the rest the others, in random order.
fn third_switched<'w>(
    maker: &mut Maker<'_>,
    changed: &[&'w TableServe],
    kept: &[&'w TableServe],
    count: u32,
) -> Vec<&'w TableServe> {
    let thirds = if kept.is_empty() { count } else { count.div_ceil(3) };
    let mut order: Vec<&TableServe> = (0..count)
        .map(|turn| maker.pick(if turn < thirds { changed } else { kept }, &[]))
        .collect();
    maker.dice.shuffle(&mut order);
    order
}

/// Fewest balls between a call and the end of its block.
const AFTER_CALL: usize = 3;

/// How many of these balls make the next block: `even`, or fewer so that a call opens a block
/// instead of closing one.
pub(super) fn whole_call(balls: &[SessionBall], even: usize) -> usize {
    let Some(call) = balls.iter().position(|ball| ball.call().is_some()) else { return even };
    let closes = even < balls.len() && call > 0 && (call + 1..=call + AFTER_CALL).contains(&even);
    if closes { call } else { even }
}

/// Notes on each block of one switch round: when the call comes, what holds, where it ends.
pub(super) fn note_the_round(round: &mut [Block]) {
    let call = |block: &Block| block.balls.iter().find_map(SessionBall::call).cloned();
    let Some(called) = round.iter().position(|block| call(block).is_some()) else { return };
    let name = call(&round[called]).map(|call| call.name);
    let last = round.len() - 1;
    for (place, block) in round.iter_mut().enumerate() {
        if place < called {
            block.notes.push(Note::PlanHolds);
        } else if place > called {
            block.notes.extend(name.clone().map(Note::SwitchHolds));
        }
        block.notes.extend((place == last).then_some(Note::RoundEnds));
    }
}
