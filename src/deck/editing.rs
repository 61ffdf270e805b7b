//! Every edit of a deck, pure: a serve added, changed, retired or renamed; a receive, the safe one,
//! a switch set or taken away.
//!
//! Flags and questions both end here, which is why they give the same file. Lanes are given as the
//! player names them and kept as the deck's own receiver does. Writing the file is `store`'s work.

use crate::base::{Finding, text};
use crate::deck::serve_line::coined_id;
use crate::deck::{Deck, Part, Plan, ServeLine, Switch};
use crate::game::{Hand, Receive, Serve, ServeId, usual_break};

/// The serve a player means, as [`Deck::serve_meant`] finds it.
///
/// # Errors
/// A finding that lists what the deck has.
pub fn find_serve(deck: &Deck, given: &str) -> Result<ServeId, Finding> {
    let meant = deck.serve_meant(given).map(|serve| serve.id.clone());
    meant.ok_or_else(|| no_such_serve(deck, given))
}

fn find_place(deck: &Deck, id: &ServeId) -> Result<usize, Finding> {
    let place = deck.serves.iter().position(|serve| serve.id == *id);
    place.ok_or_else(|| no_such_serve(deck, id.as_str()))
}

fn no_such_serve(deck: &Deck, given: &str) -> Finding {
    let known: Vec<_> = deck.serves.iter().map(|serve| serve.id.as_str()).collect();
    let finding = Finding::error(format!("`{given}` is no serve of {}", deck.opponent));
    if known.is_empty() {
        finding.hint("there are no serves yet: `secondball scout add`")
    } else if let Some(word) = text::closest(given, &known) {
        finding.hint(format!("did you mean `{word}`?"))
    } else {
        finding.hint(format!("there is {}", text::and_list(&known)))
    }
}

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

/// The break that motion and hand would give a serve whose own is not written, to be confirmed.
pub fn missing_break(deck: &Deck, serve: &Serve) -> Option<crate::game::Side> {
    if serve.breaks.is_some() || !serve.spin?.is_sideways() {
        return None;
    }
    usual_break(serve.motion.as_ref()?, deck.hand?)
}

/// The serve of a line, as the player names its lanes; the id is coined when none is given. Nothing
/// is added yet.
///
/// # Errors
/// Everything wrong with the line.
pub fn serve_of_line(deck: &Deck, line: &ServeLine) -> Result<Serve, Vec<Finding>> {
    let mut serve = Serve::default();
    line.write_into(&mut serve)?;
    if line.get(Part::Id).is_none() {
        serve.id = coined_id(&serve, &every_id(deck));
    }
    check_twin(deck, &serve)?;
    Ok(serve)
}

/// An active serve of which the same is known, lanes named by a player of this hand; none for a
/// serve of which nothing is known.
pub fn same_serve<'a>(deck: &'a Deck, serve: &Serve, player: Hand) -> Option<&'a Serve> {
    let written = serve.seen_by(player, written_for(deck, player));
    let is_same = |other: &Serve| other.differs_in_ball(&written).is_empty();
    deck.active().find(|other| is_same(other)).filter(|_| !is_same(&Serve::default()))
}

/// Adds a serve whose lanes are named by a player of this hand.
///
/// # Errors
/// A finding when its id is or was another serve's.
pub fn add_serve(deck: &mut Deck, serve: &Serve, player: Hand) -> Result<(), Finding> {
    if let Some(other) = deck.serve_now_or_once(&serve.id) {
        let what = if other.id == serve.id {
            format!("`{}` is there already", serve.id)
        } else {
            format!("`{}` was an earlier name of `{}`", serve.id, other.id)
        };
        let free = ServeId::coined(serve.id.as_str(), &every_id(deck));
        return Err(Finding::error(what).hint(format!(
            "change it with `secondball scout change --help`, or add this one as `id={free}`"
        )));
    }
    let written_for = written_for(deck, player);
    deck.serves.push(serve.seen_by(player, written_for));
    pair_twin(deck, &serve.id);
    Ok(())
}

/// Changes what a line says of a serve; its lane is named by a player of this hand.
///
/// # Errors
/// Everything wrong with the line, or no such serve.
pub fn change_serve(
    deck: &mut Deck,
    id: &ServeId,
    line: &ServeLine,
    player: Hand,
) -> Result<(), Vec<Finding>> {
    let written_for = written_for(deck, player);
    if line.get(Part::Id).is_some_and(|new| new.trim() != id.as_str()) {
        return Err(vec![Finding::error("a serve keeps its id when it is changed").hint(
            "`secondball scout rename OPPONENT OLD NEW` gives it another one and keeps its history",
        )]);
    }
    let place = find_place(deck, id).map_err(|missing| vec![missing])?;
    let mut serve = deck.serves[place].seen_by(written_for, player);
    line.write_into(&mut serve)?;
    check_twin(deck, &serve)?;
    // A side that no longer belongs to the spin goes with it, unless it was said in the same
    // breath.
    let has_side = serve.spin.is_none_or(crate::game::Spin::is_sideways);
    if !has_side && line.get(Part::Breaks).is_none() {
        serve.breaks = None;
    }
    deck.serves[place] = serve.seen_by(player, written_for);
    pair_twin(deck, id);
    Ok(())
}

/// Retires a serve, or brings it back; its history stays.
///
/// # Errors
/// A finding when it is in that state already, or not there.
pub fn retire_serve(deck: &mut Deck, id: &ServeId, retired: bool) -> Result<(), Finding> {
    let place = find_place(deck, id)?;
    let serve = &mut deck.serves[place];
    if serve.retired == retired {
        let state = if retired { "retired" } else { "still served" };
        return Err(Finding::error(format!("`{id}` is {state} already")));
    }
    serve.retired = retired;
    Ok(())
}

/// Gives a serve another id, in the plan, in switches and with its twin too; the old one is kept in
/// `was`.
///
/// # Errors
/// A finding when the new id is or was another serve's, or the old one is not there.
pub fn rename_serve(deck: &mut Deck, old: &ServeId, new: &ServeId) -> Result<(), Finding> {
    let old = find_serve(deck, old.as_str())?;
    if old == *new {
        return Err(Finding::error(format!("`{new}` is its name already")));
    }
    if let Some(other) = deck.serve_now_or_once(new).filter(|other| other.id != old) {
        return Err(Finding::error(format!("`{new}` is or was the name of `{}`", other.id))
            .hint("its history would be mixed up; choose another name"));
    }
    for serve in &mut deck.serves {
        if serve.id == old {
            serve.was.retain(|earlier| earlier != new);
            serve.was.push(old.clone());
            serve.id = new.clone();
        }
        if serve.looks_like.as_ref() == Some(&old) {
            serve.looks_like = Some(new.clone());
        }
    }
    let plans =
        std::iter::once(&mut deck.plan).chain(deck.switches.iter_mut().map(|s| &mut s.changes));
    for plan in plans {
        if let Some(receive) = plan.remove(&old) {
            plan.insert(new.clone(), receive);
        }
    }
    Ok(())
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

/// The hand of the receiver for whom this deck's lanes are written.
fn written_for(deck: &Deck, player: Hand) -> Hand {
    deck.seen_against.unwrap_or(player)
}

/// Every id that is or was in use.
pub(crate) fn every_id(deck: &Deck) -> Vec<ServeId> {
    deck.serves
        .iter()
        .flat_map(|serve| serve.was.iter().chain(std::iter::once(&serve.id)))
        .cloned()
        .collect()
}

/// A twin that is named must be there.
fn check_twin(deck: &Deck, serve: &Serve) -> Result<(), Vec<Finding>> {
    match &serve.looks_like {
        Some(twin) if *twin == serve.id => {
            Err(vec![Finding::error(format!("`{twin}` cannot look like itself"))])
        }
        Some(twin) if deck.serve(twin).is_none() => {
            Err(find_serve(deck, twin.as_str()).err().into_iter().collect())
        }
        _ => Ok(()),
    }
}

/// Looking alike goes both ways, unless the other one already has a twin.
fn pair_twin(deck: &mut Deck, id: &ServeId) {
    let Some(twin) = deck.serve(id).and_then(|serve| serve.looks_like.clone()) else { return };
    if let Some(other) = deck.serves.iter_mut().find(|serve| serve.id == twin) {
        other.looks_like.get_or_insert_with(|| id.clone());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::{Lane, Side};

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
