//! Every edit of a deck, pure: a serve added, changed, retired or renamed; a receive, the safe one,
//! a switch set or taken away.
//!
//! Flags and questions both end here, which is why they give the same file. Lanes are given as the
//! player names them and kept as the deck's own receiver does. Writing the file is `store`'s work.

mod serves;

use crate::base::{Finding, text};
use crate::deck::{Deck, Plan, SafeFor, Switch};
use crate::game::{Receive, ServeId};
pub(super) use serves::every_id;
pub use serves::{
    add_serve, change_serve, coin_id, find_serve, missing_break, put_serve, rename_serve,
    retire_serve, same_serve, serve_of_line,
};

/// The switch meant by its name.
///
/// # Errors
/// A finding that lists what the deck has.
pub fn find_switch(deck: &Deck, given: &str) -> Result<String, Finding> {
    if let Some(switch) = deck.switch(given) {
        return Ok(switch.name.clone());
    }
    let known: Vec<_> = deck.switches.iter().map(|switch| switch.name.as_str()).collect();
    let finding = Finding::error(format!("`{given}` is no switch against {}", deck.opponent));
    Err(finding.hint(match known[..] {
        [] => "there is none yet: `secondball plan switch add`".to_owned(),
        _ => format!("there is {}", text::one_of(&known)),
    }))
}

/// Sets the receive for a serve. What was written about the old one stays only when the receive
/// itself stays and nothing new is said.
pub fn set_receive(deck: &mut Deck, id: &ServeId, receive: Receive) {
    let receive = with_words_of(receive, deck.plan.get(id));
    deck.plan.insert(id.clone(), receive);
}

/// Sets the safe receive, for everything or for one kind of serve.
pub fn set_safe(deck: &mut Deck, kind: Option<SafeFor>, receive: Receive) {
    let place = match kind {
        Some(kind) => deck.safe_for.place(kind),
        None => &mut deck.safe,
    };
    *place = Some(with_words_of(receive, place.as_ref()));
}

/// A receive with the words of the same receive where it has none of its own.
fn with_words_of(receive: Receive, old: Option<&Receive>) -> Receive {
    let Some(old) = old.filter(|old| old.text() == receive.text()) else { return receive };
    Receive {
        why: receive.why.or_else(|| old.why.clone()),
        expect: receive.expect.or_else(|| old.expect.clone()),
        then: receive.then.or_else(|| old.then.clone()),
        ..receive
    }
}

/// Adds a switch, or adds a change to the one of this name.
///
/// # Errors
/// A finding when the name is empty.
pub fn add_to_switch(
    deck: &mut Deck,
    name: &str,
    cue: Option<&str>,
    id: &ServeId,
    receive: Receive,
) -> Result<(), Finding> {
    let name = text::one_line(name);
    if name.is_empty() {
        return Err(Finding::error("a switch needs a name").hint("for example `long push`"));
    }
    let cue = cue.map(text::one_line).filter(|cue| !cue.is_empty());
    let plain = text::plain_word(&name);
    match deck.switches.iter_mut().find(|switch| text::plain_word(&switch.name) == plain) {
        Some(switch) => {
            switch.cue = cue.or(switch.cue.take());
            switch.changes.insert(id.clone(), receive);
        }
        None => {
            deck.switches.push(Switch { name, cue, changes: Plan::from([(id.clone(), receive)]) });
        }
    }
    Ok(())
}

/// Removes a switch.
///
/// # Errors
/// A finding when there is no such switch.
pub fn remove_switch(deck: &mut Deck, given: &str) -> Result<String, Finding> {
    let name = find_switch(deck, given)?;
    deck.switches.retain(|switch| switch.name != name);
    Ok(name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deck::ServeLine;
    use crate::game::{Hand, Lane, Serve, Side};

    fn line(text: &str) -> ServeLine {
        ServeLine::read(text).unwrap()
    }

    fn id(text: &str) -> ServeId {
        text.parse().unwrap()
    }

    fn deck() -> Deck {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        deck.hand = Some(Hand::Left);
        for text in ["id=one motion=backhand spin=side-backspin lane=forehand", "id=two twin=one"] {
            let serve = serve_of_line(&deck, &line(text)).unwrap();
            add_serve(&mut deck, &serve, Hand::Right).unwrap();
        }
        set_receive(&mut deck, &id("one"), "forehand push to middle short".parse().unwrap());
        deck
    }

    #[test]
    fn a_twin_is_a_twin_both_ways() {
        let deck = deck();
        assert_eq!(deck.serve(&id("one")).unwrap().looks_like, Some(id("two")));
        assert!(serve_of_line(&deck, &line("id=three looks_like=ghost")).is_err());
    }

    #[test]
    fn the_missing_break_comes_from_motion_and_hand() {
        let deck = deck();
        let one = deck.serve(&id("one")).unwrap();
        assert_eq!(missing_break(&deck, one), Some(Side::Left));
        assert_eq!(missing_break(&deck, deck.serve(&id("two")).unwrap()), None);
    }

    #[test]
    fn an_id_in_use_is_refused_with_a_free_one() {
        let mut deck = deck();
        let again = Serve::unknown(id("one"));
        let finding = add_serve(&mut deck, &again, Hand::Right).unwrap_err();
        assert!(finding.hint.unwrap().contains("`id=one-2`"));
        rename_serve(&mut deck, &id("one"), &id("uno")).unwrap();
        assert!(
            add_serve(&mut deck, &again, Hand::Right).is_err(),
            "the old name keeps its history"
        );
    }

    #[test]
    fn a_renamed_serve_keeps_its_plan_its_switches_its_twin_and_its_old_name() {
        let mut deck = deck();
        let receive: Receive = "forehand push to backhand long".parse().unwrap();
        add_to_switch(&mut deck, "long push", Some("steps in"), &id("one"), receive.clone())
            .unwrap();
        rename_serve(&mut deck, &id("one"), &id("uno")).unwrap();
        assert!(crate::deck::advice::of_deck(&deck).is_empty());
        assert_eq!(deck.switches[0].changes[&id("uno")], receive);
        assert_eq!(deck.serve(&id("two")).unwrap().looks_like, Some(id("uno")));
        assert_eq!(deck.serve(&id("uno")).unwrap().was, [id("one")]);
        rename_serve(&mut deck, &id("uno"), &id("one")).unwrap();
        assert_eq!(deck.serve(&id("one")).unwrap().was, [id("uno")]);
    }

    #[test]
    fn lanes_are_named_by_the_player_and_kept_as_the_deck_writes_them() {
        let mut deck = deck();
        deck.seen_against = Some(Hand::Right);
        change_serve(&mut deck, &id("two"), &line("lane=forehand"), Hand::Left).unwrap();
        assert_eq!(deck.serve(&id("two")).unwrap().lane, Some(Lane::Backhand));
        change_serve(&mut deck, &id("two"), &line("depth=short"), Hand::Left).unwrap();
        assert_eq!(deck.serve(&id("two")).unwrap().lane, Some(Lane::Backhand));
    }

    #[test]
    fn the_reason_stays_with_the_receive_it_was_written_for() {
        let mut deck = deck();
        let push = |why: Option<&str>| Receive {
            why: why.map(str::to_owned),
            ..deck_receive("forehand push to middle short")
        };
        set_receive(&mut deck, &id("one"), push(Some("takes the loop away")));
        set_receive(&mut deck, &id("one"), push(None));
        assert_eq!(deck.plan[&id("one")].why.as_deref(), Some("takes the loop away"));
        set_receive(&mut deck, &id("one"), deck_receive("forehand flick to elbow"));
        assert_eq!(deck.plan[&id("one")].why, None);
    }

    fn deck_receive(text: &str) -> Receive {
        text.parse().unwrap()
    }

    #[test]
    fn a_serve_is_found_by_the_beginning_of_its_name_and_a_typing_error_is_hinted() {
        let deck = deck();
        assert_eq!(find_serve(&deck, "tw").unwrap(), id("two"));
        let finding = find_serve(&deck, "onee").unwrap_err();
        assert_eq!(finding.hint.as_deref(), Some("did you mean `one`?"));
    }

    #[test]
    fn a_serve_is_found_by_any_word_of_its_name_that_no_other_has() {
        let mut deck = deck();
        deck.serves[0].id = id("pendulum-short-fh");
        deck.serves[1].id = id("pendulum-fast-bh");
        assert_eq!(find_serve(&deck, "short").unwrap(), id("pendulum-short-fh"));
        assert_eq!(find_serve(&deck, "Fast BH").unwrap(), id("pendulum-fast-bh"));
        assert!(find_serve(&deck, "pendulum").is_err());
        deck.serves[1].id = id("short-bh");
        assert_eq!(find_serve(&deck, "short").unwrap(), id("short-bh"));
    }

    #[test]
    fn what_is_retired_can_come_back_once() {
        let mut deck = deck();
        retire_serve(&mut deck, &id("one"), true).unwrap();
        assert!(retire_serve(&mut deck, &id("one"), true).is_err());
        retire_serve(&mut deck, &id("one"), false).unwrap();
        assert_eq!(deck.active().count(), 2);
    }
}
