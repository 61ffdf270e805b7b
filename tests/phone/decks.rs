//! Decks and requests drawn from a seed, wide enough to reach every corner of a round.

use std::collections::BTreeMap;

use secondball::base::Dice;
use secondball::deck::{Deck, Plan, Switch};
use secondball::drill::{Called, RoundRequest, Script, ServeOrder, TempoRules, WrongBat, build};
use secondball::flight::bat::BallEnd;
use secondball::game::{Depth, Hand, Lane, Pace, Receive, Serve, ServeId, Toss};
use secondball::journal::How;
use secondball::memory::Memories;

const RECEIVES: [&str; 9] = [
    "forehand push early to middle short",
    "forehand push heavy to backhand long",
    "backhand banana_flick to backhand long",
    "backhand fast_loop to forehand long",
    "forehand touch to forehand short",
    "backhand block",
    "forehand slow_loop to elbow",
    "backhand chop to wide_backhand half_long",
    "forehand flick late to wide_forehand long",
];

fn pick<T: Copy>(from: &[T], dice: &mut Dice) -> T {
    from[dice.below(from.len())]
}

/// A deck of two to six serves with a plan, and a switch that changes one of them.
pub fn deck(seed: u64) -> Deck {
    let mut dice = Dice::for_part(seed, "deck");
    let mut deck = Deck::new(format!("Invented {seed}"), format!("key{seed}"));
    deck.hand = Some(pick(&[Hand::Right, Hand::Left], &mut dice));
    let count = 2 + dice.below(5);
    for place in 0..count {
        let id: ServeId = format!("serve-{place}").parse().unwrap();
        let mut serve = Serve::unknown(id.clone());
        serve.lane = Some(pick(Lane::ALL, &mut dice));
        serve.depth = Some(pick(Depth::ALL, &mut dice));
        serve.pace = Some(pick(Pace::ALL, &mut dice));
        serve.tells.extend((!seed.is_multiple_of(3)).then(|| format!("tell {place}")));
        serve.toss = dice.chance(0.3).then_some(Toss::High);
        if place > 0 && dice.chance(0.4) {
            serve.looks_like = Some(deck.serves[0].id.clone());
        }
        deck.serves.push(serve);
        let mut receive: Receive = pick(&RECEIVES, &mut dice).parse().unwrap();
        receive.why = dice.chance(0.5).then(|| "because".to_owned());
        receive.then = dice.chance(0.3).then(|| "then \"this\"".to_owned());
        deck.plan.insert(id, receive);
    }
    let switched = deck.serves[dice.below(count)].id.clone();
    let old = deck.plan[&switched].text();
    let new = RECEIVES.iter().map(|text| text.parse::<Receive>().unwrap()).find(|receive| {
        receive.text() != old && (dice.chance(0.4) || receive.text() == "forehand flick late")
    });
    let new = new.unwrap_or_else(|| "backhand push to middle long".parse().unwrap());
    deck.switches.push(Switch {
        name: "the other".to_owned(),
        cue: Some("they wait for it".to_owned()),
        changes: Plan::from([(switched, new)]),
    });
    deck
}

/// A script of such a deck; none when the draw asks for something the deck has not.
pub fn script(seed: u64, how: How, is_switch: bool) -> Option<Script> {
    let mut dice = Dice::for_part(seed, "request");
    let deck = deck(seed);
    let past: BTreeMap<ServeId, (u32, bool)> = deck
        .serves
        .iter()
        .map(|serve| {
            let past = (u32::try_from(dice.below(6)).unwrap(), dice.chance(0.3));
            (serve.id.clone(), past)
        })
        .collect();
    let memories = Memories::default();
    let tempo = TempoRules {
        start_permille: 1000 + u32::try_from(dice.below(3000)).unwrap(),
        is_fixed: dice.chance(0.1),
        ..TempoRules::default()
    };
    // What is due, and a switch called for it, in a day's round.
    let due: Vec<ServeId> = deck.serves.iter().take(2).map(|serve| serve.id.clone()).collect();
    let mut called = Vec::new();
    if !is_switch && dice.chance(0.6) {
        let switch = &deck.switches[0];
        let due = switch.changes.keys().filter(|_| dice.chance(0.5)).cloned().collect();
        called.push(Called { switch, due, is_practised: dice.chance(0.7) });
    }
    let built = build(&RoundRequest {
        due: &due[..dice.below(3)],
        called: &called,
        hand: pick(&[Hand::Right, Hand::Left], &mut dice),
        how,
        order: pick(ServeOrder::ALL, &mut dice),
        balls: 1 + dice.below(30),
        switch: is_switch.then(|| &deck.switches[0]),
        has_back: dice.chance(0.7),
        tempo: if dice.chance(0.3) { tempo.eased() } else { tempo },
        has_words: dice.chance(0.8),
        has_tells_only: dice.chance(0.2),
        repeats: dice.chance(0.5),
        limit_ms: dice.chance(0.3).then(|| 20_000 + 100 * dice.below(400) as u64),
        seed,
        ..RoundRequest::plain(&deck, Hand::Right, &memories, "2026-01-01".parse().unwrap())
    });
    let mut script = built.ok()?.script;
    for cue in &mut script.serves {
        (cue.counted_days, cue.has_recent_old_answer) = past[&cue.serve];
        cue.frames = crate::drill::decks::flight();
        let wrong_bat =
            WrongBat { end: BallEnd::Net, over_net_mm: -30, frames: cue.frames.clone() };
        cue.wrong_bat = cue.twin.map(|_| wrong_bat);
    }
    Some(script)
}
