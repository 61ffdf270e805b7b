//! Taking the serves of a colleague's deck into one's own: nothing is overwritten, everything is
//! said.
//!
//! Lanes are renamed when the two receivers' hands differ; breaks stay, because the ball is the
//! same. Receives stay with the colleague: which answer is right depends on who gives it.

use std::collections::BTreeMap;

use crate::deck::Deck;
use crate::deck::editing::every_id;
use crate::game::{Hand, Serve, ServeId};

/// What was done with one serve of the colleague.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Took {
    /// It was new.
    Added(ServeId),
    /// The serve of this id was there; these parts were unknown and are filled in.
    FilledIn(ServeId, Vec<&'static str>),
    /// It was there and says nothing new.
    Known {
        /// The colleague's name for it.
        theirs: ServeId,
        /// The player's own.
        own: ServeId,
    },
    /// The serve of this id says something else in these parts; the player's own was kept.
    Kept(ServeId, Vec<&'static str>),
}

impl Took {
    /// True when the deck changed.
    pub const fn is_change(&self) -> bool {
        matches!(self, Self::Added(_) | Self::FilledIn(..))
    }
}

/// Takes every active serve of `theirs` into `own`. `theirs_hand` is the hand their lanes are
/// written for when their deck does not say; `player` the taker's.
pub fn take_serves(
    own: &mut Deck,
    theirs: &Deck,
    theirs_hand: Hand,
    player: Hand,
    with_notes: bool,
) -> Vec<Took> {
    let written_for = own.seen_against.unwrap_or(player);
    let theirs_hand = theirs.seen_against.unwrap_or(theirs_hand);
    let mut taken = Vec::new();
    let mut names = BTreeMap::new();
    for serve in theirs.active() {
        // Their former names are theirs, and so are private words unless they are asked for.
        let (was, looks_like) = (Vec::new(), None);
        let note = serve.note.clone().filter(|_| with_notes);
        let met = serve.seen_by(theirs_hand, written_for);
        let took = take(own, &Serve { was, looks_like, note, ..met });
        let (Took::Added(name)
        | Took::FilledIn(name, _)
        | Took::Kept(name, _)
        | Took::Known { own: name, .. }) = &took;
        names.insert(&serve.id, name.clone());
        taken.push(took);
    }
    // A twin is named only now: it may have come under another name, or later.
    for serve in theirs.active() {
        let twin = serve.looks_like.as_ref().and_then(|twin| names.get(twin));
        let name = names.get(&serve.id).filter(|name| Some(*name) != twin);
        let mine = own.serves.iter_mut().find(|mine| Some(&mine.id) == name);
        if let Some((mine, twin)) = mine.zip(twin) {
            mine.looks_like.get_or_insert_with(|| twin.clone());
        }
    }
    taken
}

/// Takes one serve, already in the own deck's lanes.
fn take(own: &mut Deck, serve: &Serve) -> Took {
    if let Some(mine) = own.serves.iter_mut().find(|mine| mine.id == serve.id) {
        let filled = filled_in(mine, serve);
        let kept = filled.differs_in_ball(&filled_in(serve, mine));
        if !kept.is_empty() {
            return Took::Kept(serve.id.clone(), kept);
        }
        let mut parts = mine.differs_in_ball(&filled);
        parts.extend((mine.how_often != filled.how_often).then_some("how often"));
        parts.extend((mine.scores != filled.scores).then_some("scores"));
        parts.extend((mine.tells != filled.tells).then_some("tells"));
        parts.extend((mine.note != filled.note).then_some("note"));
        *mine = filled;
        return if parts.is_empty() {
            Took::Known { theirs: serve.id.clone(), own: serve.id.clone() }
        } else {
            Took::FilledIn(serve.id.clone(), parts)
        };
    }
    if let Some(mine) = own.active().find(|mine| is_same_ball(mine, serve)) {
        return Took::Known { theirs: serve.id.clone(), own: mine.id.clone() };
    }
    // An old name of another serve must not gain a second meaning.
    let id = ServeId::coined(serve.id.as_str(), &every_id(own));
    own.serves.push(Serve { id: id.clone(), ..serve.clone() });
    Took::Added(id)
}

/// What `mine` says, and `theirs` where it says nothing.
fn filled_in(mine: &Serve, theirs: &Serve) -> Serve {
    Serve {
        motion: mine.motion.clone().or_else(|| theirs.motion.clone()),
        spin: mine.spin.or(theirs.spin),
        weight: mine.weight.or(theirs.weight),
        breaks: mine.breaks.or(theirs.breaks),
        from: mine.from.or(theirs.from),
        lane: mine.lane.or(theirs.lane),
        depth: mine.depth.or(theirs.depth),
        pace: mine.pace.or(theirs.pace),
        toss: mine.toss.or(theirs.toss),
        how_often: mine.how_often.or(theirs.how_often),
        scores: if mine.scores.is_empty() { &theirs.scores } else { &mine.scores }.clone(),
        tells: if mine.tells.is_empty() { &theirs.tells } else { &mine.tells }.clone(),
        note: mine.note.clone().or_else(|| theirs.note.clone()),
        ..mine.clone()
    }
}

/// True when two serves say the same of the ball and enough of it to tell.
fn is_same_ball(one: &Serve, other: &Serve) -> bool {
    let shape =
        |serve: &Serve| (serve.motion.clone(), serve.spin, serve.lane, serve.depth, serve.pace);
    one.unknown_parts().is_empty() && shape(one) == shape(other)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deck::ServeLine;
    use crate::game::{Lane, Side};

    fn deck(lines: &[&str]) -> Deck {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        for line in lines {
            let mut serve = Serve::unknown("x".parse().unwrap());
            ServeLine::read(line).unwrap().write_into(&mut serve).unwrap();
            deck.serves.push(serve);
        }
        deck
    }

    const PENDULUM: &str =
        "id=in motion=pendulum spin=side-backspin breaks=left lane=forehand depth=short";

    #[test]
    fn a_colleague_with_the_other_hand_names_the_lane_otherwise_and_the_ball_is_the_same() {
        for (theirs, mine, lane) in [
            (Hand::Right, Hand::Right, Lane::Forehand),
            (Hand::Right, Hand::Left, Lane::Backhand),
            (Hand::Left, Hand::Right, Lane::Backhand),
            (Hand::Left, Hand::Left, Lane::Forehand),
        ] {
            let mut own = deck(&[]);
            take_serves(&mut own, &deck(&[PENDULUM]), theirs, mine, false);
            assert_eq!(own.serves[0].lane, Some(lane), "{theirs} to {mine}");
            assert_eq!(own.serves[0].breaks, Some(Side::Left));
        }
    }

    #[test]
    fn nothing_of_ones_own_is_overwritten() {
        let mut own = deck(&["id=in motion=hook lane=forehand"]);
        let before = own.clone();
        let took = take_serves(&mut own, &deck(&[PENDULUM]), Hand::Right, Hand::Right, false);
        assert_eq!(took, [Took::Kept("in".parse().unwrap(), vec!["motion"])]);
        assert_eq!(own, before);
    }

    #[test]
    fn what_was_unknown_is_filled_in_and_said() {
        let mut own = deck(&["id=in lane=forehand"]);
        let took = take_serves(&mut own, &deck(&[PENDULUM]), Hand::Right, Hand::Right, false);
        let parts = vec!["motion", "spin", "breaks", "depth"];
        assert_eq!(took, [Took::FilledIn("in".parse().unwrap(), parts)]);
        let again = take_serves(&mut own, &deck(&[PENDULUM]), Hand::Right, Hand::Right, false);
        assert!(!again[0].is_change());
    }

    #[test]
    fn the_same_ball_under_another_name_is_not_taken_twice() {
        let mut own = deck(&[&PENDULUM.replace("id=in", "id=mine")]);
        let theirs = deck(&[PENDULUM, "id=other depth=long looks_like=in"]);
        let took = take_serves(&mut own, &theirs, Hand::Right, Hand::Right, false);
        let known = Took::Known { theirs: "in".parse().unwrap(), own: "mine".parse().unwrap() };
        assert_eq!(took[0], known);
        assert_eq!(own.serves.len(), 2);
        assert_eq!(own.serves[1].looks_like.as_ref().map(ServeId::as_str), Some("mine"));
    }
}
