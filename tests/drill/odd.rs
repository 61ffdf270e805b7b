//! Decks of any size and every kind of round: a round can be played to its end, and no place in it is
//! outside its palette.

#![expect(clippy::unwrap_used, reason = "an invented deck that does not hold must fail the test")]

use secondball::deck::{Deck, Plan, Switch};
use secondball::drill::{
    Act, Machine, RoundRequest, ServeOrder, SimulatedHabits, SimulatedPlayer, build,
};
use secondball::game::{Hand, Receive, Serve, ServeId, Stroke};
use secondball::journal::{How, Input};
use secondball::memory::Memories;

use crate::harness::Player;

/// So many serves with so many different receives; the switch changes the first ones.
fn deck(serves: usize, receives: usize, switched: usize) -> Deck {
    let mut deck = Deck::new("Invented", "abc234".to_owned());
    let strokes = Stroke::ALL.iter().cycle();
    for (number, stroke) in (0..serves).zip(strokes.take(receives).cycle()) {
        let id: ServeId = format!("serve-{number}").parse().unwrap();
        deck.plan.insert(id.clone(), format!("backhand {}", stroke.word()).parse().unwrap());
        deck.serves.push(Serve::unknown(id));
    }
    let new: Receive = "forehand push heavy to backhand long".parse().unwrap();
    let changes = deck.serves.iter().take(switched).map(|serve| (serve.id.clone(), new.clone()));
    let changes: Plan = changes.collect();
    deck.switches.push(Switch { name: "long push".to_owned(), cue: None, changes });
    deck
}

#[test]
fn a_round_of_any_size_and_kind_is_played_to_its_end() {
    // Silent and wrong as often as not: every way through the machine is taken.
    let habits = SimulatedHabits { silent: 0.3, wrong: 0.4, guesses: 0.2, ..Default::default() };
    let memories = Memories::default();
    for (serves, receives, switched) in
        [(1, 1, 0), (2, 1, 1), (9, 9, 2), (18, 3, 1), (20, 2, 1), (25, 14, 24), (60, 6, 3)]
    {
        let deck = deck(serves, receives, switched);
        for (seed, &how) in (0_u64..).zip(How::ALL.iter().cycle().take(3 * How::ALL.len())) {
            for switch in [None, deck.switches.first()] {
                let today = "2026-01-01".parse().unwrap();
                let order = ServeOrder::ALL[seed as usize % ServeOrder::ALL.len()];
                let plain = RoundRequest::plain(&deck, Hand::Right, &memories, today);
                let wish =
                    RoundRequest { how, order, switch, balls: 25, has_back: true, seed, ..plain };
                // What cannot be played is refused.
                let Ok(built) = build(&wish) else { continue };
                let mut machine = Machine::new(built.script, Input::Simulated);
                let mut player = SimulatedPlayer::new(habits, seed);
                let mut now_ms = 0;
                for _ in 0..20_000 {
                    if machine.is_done() {
                        break;
                    }
                    let (at_ms, act) = player.next(&machine, now_ms);
                    now_ms = at_ms;
                    machine.act(now_ms, act);
                    let _ = machine.picture(now_ms);
                }
                assert!(machine.is_done(), "{how} with {serves} serves, seed {seed}");
                assert_eq!(machine.act(now_ms, Act::Tick), []);
            }
        }
    }
}

/// A home whose deck has twenty planned serves and a switch.
fn with_twenty() -> Player {
    let player = Player::with_home();
    player.run(&["scout", "Big", "--hand", "left"]).fine();
    for number in 0..20 {
        let (id, lane) = (format!("s{number}"), ["forehand", "middle"][number % 2]);
        let serve = format!("id={id} motion=backhand spin=backspin lane={lane} depth=short");
        player.run(&["scout", "add", "big", &serve]);
        player.run(&["plan", "set", "big", &id, "forehand push to middle short"]);
    }
    let long = "forehand push to backhand long";
    player.run(&["plan", "switch", "add", "big", "long push", "s1", long]).fine();
    player
}

/// Both ended the program where a release must never end.
#[test]
fn twenty_planned_serves_and_a_switch_are_drilled_and_taken_along() {
    let player = with_twenty();
    let said = player.run(&["drill", "big", "--simulated", "--switch", "long push"]).fine();
    assert!(said.contains("switch cost"), "{said}");
    player.run(&["phone", "write", "ph", "--opponent", "big"]).fine();
}

/// It went on for ever.
#[test]
fn a_shadow_stroke_that_nobody_speaks_of_ends_with_its_file_of_keys() {
    let player = super::program::player();
    std::fs::write(player.beside("keys"), "none\nnone\nright\n").unwrap();
    player.run(&["drill", "north", "--shadow", "--keys", "keys"]).fine();
    assert_eq!(super::program::answers(&player), 1);
}

#[test]
fn a_list_has_no_more_balls_than_a_round_may_have() {
    let player = super::program::player();
    let said = player.run(&["drill", "--simulated", "--balls", "4000000000"]).refused();
    assert!(said.contains("4000000000 balls, allowed is 1 to 1000"), "{said}");
}
