//! Edits of a deck's serves.

use crate::base::{Finding, text};
use crate::deck::serve_line::coined_id;
use crate::deck::{Deck, Part, ServeLine};
use crate::game::{Hand, Serve, ServeId, Side, Spin};

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
    let ids = deck.serves.iter().map(|serve| serve.id.to_string());
    let called: Vec<String> = deck.active().map(|serve| deck.short_word(serve)).collect();
    let finding = Finding::error(format!("`{given}` is no serve of {}", deck.opponent));
    let known: Vec<String> = ids.chain(called.clone()).collect();
    let known: Vec<&str> = known.iter().map(String::as_str).collect();
    finding.hint(match known[..] {
        [] => "there are no serves yet: `secondball scout add`".to_owned(),
        _ => text::meant(given, &known, format!("there is {}", text::and_list(&called))),
    })
}

/// The break that motion and hand would give a serve whose own is not written, to be confirmed.
pub fn missing_break(deck: &Deck, serve: &Serve) -> Option<Side> {
    serve.breaks_for(deck.hand).filter(|_| serve.breaks.is_none())
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
        serve.id = coin_id(deck, &serve);
    }
    settle_twin(deck, &mut serve)?;
    Ok(serve)
}

/// A short name for a serve that no other has or had.
pub fn coin_id(deck: &Deck, serve: &Serve) -> ServeId {
    coined_id(serve, &every_id(deck))
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
    if line.get(Part::Id).is_some_and(|new| new.trim() != id.as_str()) {
        return Err(vec![Finding::error("a serve keeps its id when it is changed").hint(
            "`secondball scout rename OPPONENT OLD NEW` gives it another one and keeps its history",
        )]);
    }
    let place = find_place(deck, id).map_err(|missing| vec![missing])?;
    let mut serve = deck.serves[place].seen_by(written_for(deck, player), player);
    line.write_into(&mut serve)?;
    // A side that no longer belongs to the spin goes with it, unless it was said in the same
    // breath.
    let has_side = serve.spin.is_none_or(Spin::is_sideways);
    if !has_side && line.get(Part::Breaks).is_none() {
        serve.breaks = None;
    }
    put_serve(deck, &serve, player)
}

/// Puts a serve, its lane named by a player of this hand, in the place of the one of its id.
///
/// # Errors
/// No such serve, or no such twin.
pub fn put_serve(deck: &mut Deck, serve: &Serve, player: Hand) -> Result<(), Vec<Finding>> {
    let place = find_place(deck, &serve.id).map_err(|missing| vec![missing])?;
    let mut serve = serve.clone();
    settle_twin(deck, &mut serve)?;
    deck.serves[place] = serve.seen_by(player, written_for(deck, player));
    pair_twin(deck, &serve.id);
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

/// The hand of the receiver for whom this deck's lanes are written.
fn written_for(deck: &Deck, player: Hand) -> Hand {
    deck.seen_against.unwrap_or(player)
}

/// Every id that is or was in use.
pub fn every_id(deck: &Deck) -> Vec<ServeId> {
    deck.serves.iter().flat_map(|serve| serve.was.iter().chain([&serve.id])).cloned().collect()
}

/// A twin that is named, by its id or as a serve is meant, must be there.
fn settle_twin(deck: &Deck, serve: &mut Serve) -> Result<(), Vec<Finding>> {
    let Some(named) = &serve.looks_like else { return Ok(()) };
    let twin = deck.serve(named).or_else(|| deck.serve_meant(named.as_str()));
    let twin = twin.map_or_else(|| named.clone(), |twin| twin.id.clone());
    if twin == serve.id {
        return Err(vec![Finding::error(format!("`{twin}` cannot look like itself"))]);
    }
    if deck.serve(&twin).is_none() {
        return Err(vec![no_such_serve(deck, twin.as_str())]);
    }
    serve.looks_like = Some(twin);
    Ok(())
}

/// Looking alike goes both ways, unless the other one already has a twin.
fn pair_twin(deck: &mut Deck, id: &ServeId) {
    let Some(twin) = deck.serve(id).and_then(|serve| serve.looks_like.clone()) else { return };
    if let Some(other) = deck.serves.iter_mut().find(|serve| serve.id == twin) {
        other.looks_like.get_or_insert_with(|| id.clone());
    }
}
