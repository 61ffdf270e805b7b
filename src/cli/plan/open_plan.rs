//! A plan being changed: every change is on the disk when it is said.

use crate::base::text;
use crate::cli::launcher::own_table;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::{Deck, Player, SafeFor, editing};
use crate::flight::Constants;
use crate::game::{Receive, ServeId};
use crate::receive::Meeting;
use crate::store::Home;

/// The deck of an opponent whose plan is changed.
pub(super) struct OpenPlan<'d> {
    home: &'d Home,
    pub player: &'d Player,
    /// The player's own table.
    pub constants: Constants,
    pub stem: String,
    /// As it was read or saved last.
    was: Deck,
    pub deck: Deck,
}

impl<'d> OpenPlan<'d> {
    /// The plan against an opponent by name, or the only one there is.
    pub fn read(desk: &'d Desk, named: Option<&str>) -> Result<Self> {
        let (home, player) = (desk.home()?, desk.player()?);
        let (stem, deck) = desk.opponent(named)?;
        let (constants, _) = own_table(desk)?;
        Ok(Self { home, player, constants, stem, was: deck.clone(), deck })
    }

    /// The same, and the serve of this name.
    pub fn read_for(desk: &'d Desk, opponent: &str, serve: &str) -> Result<(Self, ServeId)> {
        let plan = Self::read(desk, Some(opponent))?;
        let id = editing::find_serve(&plan.deck.seen_by(plan.player.hand), serve)?;
        Ok((plan, id))
    }

    /// Writes it.
    pub fn save(&mut self) -> Result {
        self.home.save_deck(&self.stem, &self.was, &self.deck)?;
        self.was.clone_from(&self.deck);
        Ok(())
    }

    /// Sets, saves and says a receive.
    pub fn set_receive(
        &mut self,
        id: &ServeId,
        receive: &Receive,
        world: &mut World<'_>,
    ) -> Result {
        let old = self.deck.plan.get(id).filter(|old| old.text() != receive.text());
        let old = old.map(Receive::shown);
        editing::set_receive(&mut self.deck, id, receive.clone());
        self.save()?;
        say(&self.called(id), receive, world)?;
        if let Some(old) = old {
            writeln!(world.err, "Before: {old}. What was learnt of it is kept.")?;
        }
        self.warn(Some(id), receive, world)
    }

    /// Reads the receive for a serve as a person says it.
    pub fn read_receive_for(&self, id: &ServeId, given: &str) -> Result<Receive> {
        Ok(self.deck.seen_by(self.player.hand).receive_said(Some(id), given)?)
    }

    /// The same for a switch, which changes something.
    pub fn read_change(&self, id: &ServeId, given: &str) -> Result<Receive> {
        let receive = self.read_receive_for(id, given)?;
        if self.deck.plan.get(id).is_some_and(|old| old.text() == receive.text()) {
            return Err(Failure::request(
                "that is the receive this serve has in the plan already",
                "a switch changes something: name another stroke, timing or target",
            ));
        }
        Ok(receive)
    }

    /// What a serve is called.
    pub fn called(&self, id: &ServeId) -> String {
        self.deck.seen_by(self.player.hand).called(id)
    }

    /// Sets, saves and says the safe receive, for everything or for one kind of serve.
    pub fn set_safe_for(
        &mut self,
        kind: Option<SafeFor>,
        receive: &Receive,
        world: &mut World<'_>,
    ) -> Result {
        editing::set_safe(&mut self.deck, kind, receive.clone());
        self.save()?;
        let of_kind = kind.map(|kind| format!(", {kind}")).unwrap_or_default();
        say(&format!("safe{of_kind}"), receive, world)?;
        let serve = kind.map(|kind| (format!("a {kind} serve"), kind.as_serve()));
        if let Some((words, serve)) = &serve
            && let Some(objection) = Meeting::new(serve, &self.deck).objection(receive)
        {
            world.tell([&objection.finding(words, receive.stroke)])?;
        }
        Ok(())
    }

    /// Says what a coach would object to, and what the repertoire does not hold.
    pub fn warn(&self, id: Option<&ServeId>, receive: &Receive, world: &mut World<'_>) -> Result {
        if let Some(serve) = id.and_then(|id| self.deck.serve(id))
            && let Some(objection) = Meeting::new(serve, &self.deck).objection(receive)
        {
            world.tell([&objection.finding(&self.called(&serve.id), receive.stroke)])?;
        }
        if receive.to.is_open() {
            world.note("It has no target yet: `to middle short` at its end gives it one.", "  ")?;
        }
        if !self.player.owns(receive) {
            let said = format!(
                "A {} is not in your repertoire yet (player.ron): give it time at the table.",
                receive.stroke_shown()
            );
            world.note(&said, "  ")?;
        }
        Ok(())
    }
}

/// `short FH: forehand push, early, short to the middle`.
pub(super) fn say(name: &str, receive: &Receive, world: &mut World<'_>) -> Result {
    world.say(&format!("{name}: {}", receive.shown()), "    ")
}

/// Reads a receive as a person says it.
pub(super) fn read_receive(given: &str) -> Result<Receive> {
    Ok(Receive::from_text(given)?)
}

/// Says the next command where a deck has no serves yet, or serves without a receive.
pub(super) fn say_what_is_open(deck: &Deck, stem: &str, world: &mut World<'_>) -> Result<bool> {
    let open = deck.unplanned().count();
    if deck.active().next().is_none() {
        world.next(&format!("scout add {stem}"))?;
    } else if open > 0 {
        let open = text::count(open, "serve");
        writeln!(world.err, "{open} without a receive. Next: secondball plan choose {stem}")?;
    } else {
        return Ok(false);
    }
    Ok(true)
}
