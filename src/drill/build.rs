//! From a deck and a request to a script: which serves, which palette, which balls.

use super::balls::{day_balls, switch_balls};
use super::palette::{Palette, put};
use super::request::{DrillError, RoundRequest};
use super::script::{Cue, Durations, FORMAT, Reason, Script, ScriptSwitch};
use super::window::{FLIGHT_MS, body_ms, decision_ms};
use crate::base::{Dice, text};
use crate::deck::{Deck, Switch};
use crate::game::{Receive, Serve, ServeId, Toss};
use crate::journal::How;
use crate::memory::result::Behind;

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
    let is_reading = request.how == How::Read;
    let wanted = wanted(&deck, request);
    if wanted.is_empty() {
        return Err(DrillError::NothingPlanned(request.deck.opponent.clone()));
    }
    let most = if is_reading { MENU_MOST } else { usize::MAX };
    let (chosen, left) = with_room(wanted, request, most);
    if is_reading && chosen.len() < 2 {
        return Err(DrillError::NothingToRead(request.deck.opponent.clone()));
    }
    let tells = chosen.iter().filter(|(serve, _)| !serve.tells.is_empty()).count();
    if is_reading && request.has_tells_only && tells < 2 {
        return Err(DrillError::NoTells(request.deck.opponent.clone()));
    }
    let palette = palette(&chosen, request);
    let mut serves: Vec<Cue> =
        chosen.iter().filter_map(|planned| cue(request, &chosen, &palette, planned)).collect();
    let mut balls = if let Some(switch) = request.switch {
        switch_balls(request, switch, &serves)?
    } else {
        serves.extend(called_cues(request, &chosen, &palette, &serves));
        day_balls(request, &serves)
    };
    let mut dice = Dice::for_part(request.seed, "toss");
    for ball in &mut balls {
        let serve = request.deck.serve(&serves[ball.serve].serve);
        ball.toss_ms =
            toss_ms(serve.is_some_and(|serve| serve.toss == Some(Toss::High)), &mut dice);
    }
    let has_switch = request.switch.is_some();
    // What was asked from memory is not asked again.
    let due = serves.iter().filter(|cue| cue.is_due).count();
    let again_from = if request.repeats { due.min(balls.len()) } else { balls.len() };
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
        switches: switches(request)
            .map(|switch| ScriptSwitch {
                name: text::one_line(&switch.name),
                cue: switch.cue.as_deref().map(text::one_line),
            })
            .collect(),
        gate_percent: request.switch.map(|_| GATE_PERCENT),
        under: under_words(request),
        has_words: request.has_words,
        // What a switch costs is measured with everything else the same.
        fades: !has_switch,
        repair_after: if has_switch { 0 } else { REPAIR_AFTER },
        limit_ms: request.limit_ms.filter(|_| !has_switch),
        again_from,
    };
    Ok(Built { script, left: left.iter().map(|(serve, _)| serve.id.clone()).collect() })
}

/// The switch of a switch round, or those of a day's.
fn switches<'a>(request: &RoundRequest<'a>) -> impl Iterator<Item = &'a Switch> + use<'a> {
    request.switch.into_iter().chain(request.called.iter().map(|called| called.switch))
}

/// The switches that stand already.
fn under_words(request: &RoundRequest<'_>) -> Option<String> {
    let names = request.standing.iter().map(|switch| text::one_line(&switch.name));
    let names: Vec<String> = names.collect();
    (!names.is_empty()).then(|| names.join("\", \""))
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
    request: &RoundRequest<'a>,
    most: usize,
) -> (Vec<Planned<'a>>, Vec<Planned<'a>>) {
    let mut pad: Vec<Receive> = Vec::new();
    let mut chosen = 0;
    wanted.into_iter().partition(|(serve, receive)| {
        let mut new = switches(request).filter_map(|switch| switch.changes.get(&serve.id));
        let mut with = pad.clone();
        let has_room =
            chosen < most && put(&mut with, receive) && new.all(|receive| put(&mut with, receive));
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
    let called = switches(request).flat_map(|switch| &switch.changes);
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
    let (behind, right_days) = behind(request, &serve.id, receive);
    let twin = chosen.iter().position(|(other, _)| {
        serve.looks_like.as_ref() == Some(&other.id) || other.looks_like.as_ref() == Some(&serve.id)
    });
    Some(Cue {
        serve: serve.id.clone(),
        words: serve.shown(),
        short: text::one_line(&request.deck.short_word(serve)),
        tell: (!serve.tells.is_empty()).then(|| text::one_line(&serve.tells.join(", "))),
        is_alike: flown.is_none() || chosen.iter().any(|(other, _)| is_alike(serve, other)),
        flight_ms,
        decision_ms: decision_ms(flight_ms, body_ms(serve)),
        frames: flown.map(|flown| flown.frames.clone()).unwrap_or_default(),
        right: palette.place_of(receive)?,
        changed,
        under: None,
        is_due: request.due.contains(&serve.id),
        reason: reason(receive),
        changed_reason: new.map(reason).unwrap_or_default(),
        twin,
        wrong_bat: flown.and_then(|flown| flown.wrong_bat.clone()).filter(|_| twin.is_some()),
        counted_days: behind.counted_days,
        right_days,
        has_recent_old_answer: behind.recent_old_answer,
    })
}

/// Whether two serves go to the same place, or look alike.
fn is_alike(serve: &Serve, other: &Serve) -> bool {
    let is_twin = serve.looks_like.as_ref() == Some(&other.id)
        || other.looks_like.as_ref() == Some(&serve.id);
    serve.id != other.id && (is_twin || (serve.lane, serve.depth) == (other.lane, other.depth))
}

/// What the pattern of a serve and a receive has behind it, and its right days in a row.
fn behind(request: &RoundRequest<'_>, serve: &ServeId, receive: &Receive) -> (Behind, u32) {
    let history = request.memories.get(&request.deck.pattern(serve, receive));
    let today = request.today.number();
    history.map(|past| (past.behind(today), past.right_days(today))).unwrap_or_default()
}

/// The serves as they are answered under each switch that is called.
fn called_cues(
    request: &RoundRequest<'_>,
    chosen: &[Planned<'_>],
    palette: &Palette,
    plain: &[Cue],
) -> Vec<Cue> {
    let each = request.called.iter().enumerate().flat_map(|(place, called)| {
        chosen.iter().zip(plain).filter_map(move |((serve, _), cue)| {
            let receive = called.switch.changes.get(&serve.id)?;
            let right = palette.place_of(receive).filter(|&right| right != cue.right)?;
            let (behind, right_days) = behind(request, &serve.id, receive);
            Some(Cue {
                right,
                under: Some((place, cue.right)),
                is_due: called.due.contains(&serve.id),
                reason: reason(receive),
                counted_days: behind.counted_days,
                right_days,
                has_recent_old_answer: behind.recent_old_answer,
                ..cue.clone()
            })
        })
    });
    each.collect()
}

fn reason(receive: &Receive) -> Reason {
    let line = |words: &Option<String>| words.as_deref().map(text::one_line);
    Reason { why: line(&receive.why), expect: line(&receive.expect), then: line(&receive.then) }
}

fn toss_ms(is_high: bool, dice: &mut Dice) -> u32 {
    let more = u32::try_from(dice.below(MORE_TOSS_MS)).unwrap_or_default();
    TOSS_MS + more + if is_high { HIGH_TOSS_MS } else { 0 }
}
