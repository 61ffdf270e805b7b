//! From a deck and a request to a script: which serves, which palette, which balls.

use std::collections::BTreeMap;

use super::order::ServeOrder;
use super::palette::{Palette, put};
use super::script::{
    Cue, Durations, FORMAT, Frame, ReadingStep, Reason, Script, ScriptBall, ScriptSwitch, WrongBat,
};
use super::switch_round;
use super::tempo::TempoRules;
use super::window::{FLIGHT_MS, KeyTime, body_ms, decision_ms};
use crate::base::{Day, Dice, text};
use crate::deck::{Deck, Switch};
use crate::game::{Hand, Receive, Serve, ServeId, Toss};
use crate::journal::How;
use crate::memory::Memories;

/// Share of the gate that must be right in the window before a switch round begins, percent.
const GATE_PERCENT: u8 = 80;
/// The shortest toss, milliseconds.
const TOSS_MS: u32 = 700;
/// How much longer a toss may be at random, milliseconds.
const MORE_TOSS_MS: usize = 900;
/// How much longer a high toss is, milliseconds.
const HIGH_TOSS_MS: u32 = 500;
/// How many balls later a serve answered wrongly comes once more.
const REPAIR_AFTER: u32 = 4;
/// Serves a menu can hold.
const MENU_MOST: usize = 9;

/// Why there is no script.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DrillError {
    #[error("no serve of `{0}` has a receive yet")]
    NothingPlanned(String),
    #[error("the switch `{0}` changes no serve that is still served and planned")]
    NothingSwitched(String),
    #[error("the switch `{0}` leaves no serve as it was, so there is nothing to keep apart")]
    NothingKept(String),
    #[error("`{0}` has fewer than two serves to tell apart")]
    NothingToRead(String),
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flown {
    /// From contact to the bat, milliseconds.
    pub flight_ms: u32,
    /// The ball, in the frame of [`super::script`].
    pub frames: Vec<Frame>,
    /// The ball with the bat that the plan makes for the serve it looks like.
    pub wrong_bat: Option<WrongBat>,
}

/// What is asked for.
#[derive(Debug, Clone, Copy)]
pub struct RoundRequest<'a> {
    /// The deck, as this player meets it.
    pub deck: &'a Deck,
    pub hand: Hand,
    /// The serves, most wanted first; every planned one when empty.
    pub serves: &'a [ServeId],
    pub how: How,
    pub order: ServeOrder,
    /// How many balls; a switch round has its own number.
    pub balls: usize,
    /// The switch to be trained.
    pub switch: Option<&'a Switch>,
    /// Switches that were called before and stay: the plan as it is now.
    pub standing: &'a [Switch],
    /// A switch the whole round is played under, when it is not to be called in the middle.
    pub under: Option<&'a Switch>,
    /// Whether the switch is taken back at the end.
    pub has_back: bool,
    pub key_time: KeyTime,
    pub tempo: TempoRules,
    /// Whether the serve's words stand beside the ball.
    pub has_words: bool,
    /// No new ball after so many milliseconds.
    pub limit_ms: Option<u64>,
    /// Flights by serve; one without is not drawn and takes the usual time.
    pub flights: Option<&'a BTreeMap<ServeId, Flown>>,
    /// What the patterns have behind them.
    pub memories: &'a Memories,
    pub today: Day,
    /// The seed of order and toss.
    pub seed: u64,
}

impl<'a> RoundRequest<'a> {
    /// A round of one key against the ball through the whole plan, at random, at the usual tempo.
    pub fn plain(deck: &'a Deck, hand: Hand, memories: &'a Memories, today: Day) -> Self {
        Self {
            deck,
            hand,
            serves: &[],
            how: How::Snap,
            order: ServeOrder::Random,
            balls: 0,
            switch: None,
            standing: &[],
            under: None,
            has_back: false,
            key_time: KeyTime::default(),
            tempo: TempoRules::default(),
            has_words: true,
            limit_ms: None,
            flights: None,
            memories,
            today,
            seed: 0,
        }
    }
}

/// A script, and the serves that found no room on its palette and wait for another round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Built {
    pub script: Script,
    pub left: Vec<ServeId>,
}

/// Makes a script.
///
/// # Errors
/// [`DrillError`] when the deck holds nothing to drill in this way.
pub fn build(request: &RoundRequest<'_>) -> Result<Built, DrillError> {
    let mut deck = request.deck.clone();
    for switch in request.standing {
        deck.plan.extend(switch.changes.clone());
    }
    // Under a switch only what it changes is asked; the plan's own receives stay on the palette.
    if let Some(switch) = request.under {
        deck.plan.retain(|id, _| switch.changes.contains_key(id));
        deck.plan.extend(switch.changes.clone());
    }
    let is_reading = request.how == How::Read;
    let wanted = wanted(&deck, request);
    if wanted.is_empty() {
        return Err(DrillError::NothingPlanned(request.deck.opponent.clone()));
    }
    let most = if is_reading { MENU_MOST } else { usize::MAX };
    let (chosen, left) = with_room(wanted, request.switch, most);
    if is_reading && chosen.len() < 2 {
        return Err(DrillError::NothingToRead(request.deck.opponent.clone()));
    }
    let palette = palette(&chosen, request);
    let serves: Vec<Cue> =
        chosen.iter().filter_map(|planned| cue(request, &chosen, &palette, planned)).collect();
    let mut balls = match request.switch {
        Some(switch) => switch_balls(request, switch, &serves)?,
        None => plain_balls(request, &chosen, &serves),
    };
    let mut dice = Dice::for_part(request.seed, "toss");
    for ball in &mut balls {
        ball.toss_ms = toss_ms(chosen[ball.serve].0, &mut dice);
    }
    let has_switch = request.switch.is_some();
    let script = Script {
        format: FORMAT,
        deck: request.deck.key.clone(),
        opponent: text::one_line(&request.deck.opponent),
        how: request.how,
        order: request.order,
        key_ms: request.key_time.ms(palette.choices.len()),
        serves,
        palette,
        balls,
        // Before and after a call must be comparable: the tempo stays.
        tempo: if has_switch { request.tempo.fixed() } else { request.tempo },
        durations: Durations::default(),
        switch: request.switch.map(|switch| ScriptSwitch {
            name: text::one_line(&switch.name),
            cue: switch.cue.as_deref().map(text::one_line),
            gate_percent: GATE_PERCENT,
        }),
        under: under_words(request),
        has_words: request.has_words,
        repair_after: if has_switch { 0 } else { REPAIR_AFTER },
        limit_ms: request.limit_ms.filter(|_| !has_switch),
    };
    Ok(Built { script, left: left.iter().map(|(serve, _)| serve.id.clone()).collect() })
}

/// The switch the round is played under, or those that stand already.
fn under_words(request: &RoundRequest<'_>) -> Option<String> {
    let names = request.under.into_iter().chain(request.standing);
    let names: Vec<String> = names.map(|switch| text::one_line(&switch.name)).collect();
    (!names.is_empty()).then(|| names.join("`, `"))
}

type Planned<'a> = (&'a Serve, &'a Receive);

/// The serves asked for that have a receive; for a switch round those it changes come first.
fn wanted<'a>(deck: &'a Deck, request: &RoundRequest<'_>) -> Vec<Planned<'a>> {
    let planned = |id: &ServeId| deck.planned().find(|(serve, _)| serve.id == *id);
    let mut wanted: Vec<Planned<'a>> = match request.serves {
        [] => deck.planned().collect(),
        asked => asked.iter().filter_map(planned).collect(),
    };
    if let Some(switch) = request.switch {
        wanted.sort_by_key(|(serve, _)| !switch.changes.contains_key(&serve.id));
    }
    wanted
}

/// The serves whose receives fit on one palette together, in order, and the others.
fn with_room<'a>(
    wanted: Vec<Planned<'a>>,
    switch: Option<&Switch>,
    most: usize,
) -> (Vec<Planned<'a>>, Vec<Planned<'a>>) {
    let mut pad: Vec<Receive> = Vec::new();
    let mut chosen = 0;
    wanted.into_iter().partition(|(serve, receive)| {
        let new = switch.and_then(|switch| switch.changes.get(&serve.id));
        let mut with = pad.clone();
        let has_room =
            chosen < most && std::iter::once(*receive).chain(new).all(|own| put(&mut with, own));
        if has_room {
            pad = with;
            chosen += 1;
        }
        has_room
    })
}

/// The palette: what is asked for, and the rest of the deck's receives while there is room. Each
/// takes its place in the deck's own order, whatever is asked for: a key means the same in the
/// plan's rounds and in a switch's.
fn palette(chosen: &[Planned<'_>], request: &RoundRequest<'_>) -> Palette {
    let deck = request.deck;
    let called = request.switch.into_iter().flat_map(|switch| &switch.changes);
    let is_chosen = |id: &ServeId| chosen.iter().any(|(serve, _)| serve.id == *id);
    let new = called.filter(|(id, _)| is_chosen(id)).map(|(_, new)| new);
    let switched = deck.switches.iter().flat_map(|switch| switch.changes.values());
    let planned = deck.planned().map(|(_, receive)| receive);
    // What is safe against none of their serves would only be one key more.
    let safe = deck.active().filter_map(|serve| deck.safe_answer(serve));
    let own: Vec<&Receive> = planned.chain(safe).chain(switched).collect();
    let mut kept: Vec<Receive> = Vec::new();
    for receive in chosen.iter().map(|(_, receive)| *receive).chain(new).chain(own.iter().copied())
    {
        put(&mut kept, receive);
    }
    kept.sort_by_key(|receive| own.iter().position(|other| other.text() == receive.text()));
    Palette::new(&kept, deck.hand.unwrap_or(request.hand))
}

fn cue(
    request: &RoundRequest<'_>,
    chosen: &[Planned<'_>],
    palette: &Palette,
    &(serve, receive): &Planned<'_>,
) -> Option<Cue> {
    let flown = request.flights.and_then(|flights| flights.get(&serve.id));
    let flight_ms = flown.map_or(FLIGHT_MS, |flown| flown.flight_ms);
    let new = request.switch.and_then(|switch| switch.changes.get(&serve.id));
    let changed =
        new.filter(|new| new.text() != receive.text()).and_then(|new| palette.place_of(new));
    let history = request.memories.get(&request.deck.pattern(&serve.id, receive));
    let behind = history.map(|history| history.behind(request.today.number())).unwrap_or_default();
    let twin = chosen.iter().position(|(other, _)| {
        serve.looks_like.as_ref() == Some(&other.id) || other.looks_like.as_ref() == Some(&serve.id)
    });
    Some(Cue {
        serve: serve.id.clone(),
        words: serve.shown(),
        flight_ms,
        decision_ms: decision_ms(flight_ms, body_ms(serve)),
        frames: flown.map(|flown| flown.frames.clone()).unwrap_or_default(),
        right: palette.place_of(receive)?,
        changed,
        reason: reason(receive),
        changed_reason: new.map(reason).unwrap_or_default(),
        twin,
        wrong_bat: flown.and_then(|flown| flown.wrong_bat.clone()).filter(|_| twin.is_some()),
        counted_days: behind.counted_days,
        has_recent_old_answer: behind.recent_old_answer,
    })
}

fn reason(receive: &Receive) -> Reason {
    let line = |words: &Option<String>| words.as_deref().map(text::one_line);
    Reason { why: line(&receive.why), expect: line(&receive.expect), then: line(&receive.then) }
}

fn switch_balls(
    request: &RoundRequest<'_>,
    switch: &Switch,
    serves: &[Cue],
) -> Result<Vec<ScriptBall>, DrillError> {
    let is_switched: Vec<bool> = serves.iter().map(|cue| cue.changed.is_some()).collect();
    if !is_switched.contains(&true) {
        return Err(DrillError::NothingSwitched(switch.name.clone()));
    }
    if !is_switched.contains(&false) {
        return Err(DrillError::NothingKept(switch.name.clone()));
    }
    let mut dice = Dice::for_part(request.seed, "switch round");
    Ok(switch_round::balls(&is_switched, request.has_back, &mut dice))
}

fn plain_balls(
    request: &RoundRequest<'_>,
    chosen: &[Planned<'_>],
    serves: &[Cue],
) -> Vec<ScriptBall> {
    let mut dice = Dice::for_part(request.seed, "order");
    let all: Vec<usize> = (0..serves.len()).collect();
    let twins: Vec<usize> =
        all.iter().copied().filter(|&place| serves[place].twin.is_some()).collect();
    let parts: Vec<(Option<ReadingStep>, &[usize], usize)> = if request.how == How::Read {
        // A third in words and flight, a third cut off, a third of twins alone where there are
        // any.
        let third = request.balls.div_ceil(3);
        let last = if twins.len() >= 2 { &twins } else { &all };
        vec![
            (Some(ReadingStep::Words), &all, third),
            (Some(ReadingStep::Cut), &all, third),
            (Some(ReadingStep::Twins), last, request.balls.saturating_sub(2 * third)),
        ]
    } else {
        vec![(None, &all, request.balls)]
    };
    let mut balls = Vec::new();
    for (reading, among, count) in parts {
        let share = |&place: &usize| request.deck.share(&chosen[place].0.id);
        let weights: Vec<f64> = among.iter().map(share).collect();
        for nth in request.order.places(&weights, count, &mut dice) {
            balls.push(ScriptBall { reading, ..ScriptBall::plain(among[nth]) });
        }
    }
    if request.order == ServeOrder::MatchLike {
        for (ball, of_turn) in balls.iter_mut().zip([1, 2].into_iter().cycle()) {
            ball.of_turn = of_turn;
        }
    }
    balls
}

fn toss_ms(serve: &Serve, dice: &mut Dice) -> u32 {
    let more = u32::try_from(dice.below(MORE_TOSS_MS)).unwrap_or_default();
    TOSS_MS + more + if serve.toss == Some(Toss::High) { HIGH_TOSS_MS } else { 0 }
}
