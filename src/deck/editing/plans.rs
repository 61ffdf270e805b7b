//! Edits of what answers a serve: its receive, the safe one, the switches.

use crate::base::{Finding, text};
use crate::deck::{Deck, Plan, Switch};
use crate::game::{Receive, ServeId};

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

/// Sets the safe receive.
pub fn set_safe(deck: &mut Deck, receive: Receive) {
    deck.safe = Some(with_words_of(receive, deck.safe.as_ref()));
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
