//! A launcher on one card: what it can do, where it can stand, its dials, and what it cannot do at
//! all.

use minijinja::context;
use minijinja::value::Serde;

use crate::flight::Constants;
use crate::game::Hand;
use crate::launcher::{HeadTurn, Launcher, Table, ThrowingMachine, Wheels, can_serve};
use crate::page::text_page::filled_text;

/// The card, `width` columns wide.
pub fn card(launcher: &Launcher, width: usize) -> String {
    let Launcher { name, kind, source, hand, machine, dials, .. } = launcher;
    let dials: Vec<_> = dials.iter().map(|dial| (dial, dial.sets.shown())).collect();
    let page = context! {
        name, source,
        kind => kind.shown(),
        hand => hand.map(Hand::shown),
        machine => Serde(machine),
        wheels => machine.as_ref().map(|machine| machine.wheels.shown()),
        head => machine.as_ref().map(|machine| machine.head.shown()),
        cannot => machine.as_ref().map(|machine| cannot(launcher, machine)),
        dials => Serde(dials),
    };
    filled_text(include_str!("templates/launcher/card.txt"), &page, width)
}

fn cannot(launcher: &Launcher, machine: &ThrowingMachine) -> Vec<&'static str> {
    let side = match (machine.wheels, machine.head) {
        (Wheels::Three, _) | (_, HeadTurn::PerBall) => None,
        (_, HeadTurn::ByHand) => Some("sidespin that comes and goes within a block"),
        (_, HeadTurn::Upright) => Some("sidespin"),
    };
    let (constants, receiver, server) = (Constants::default(), Hand::Right, Hand::Right);
    let serves = can_serve(launcher, &Table { constants, receiver, server, seed: 1 });
    let own_choice =
        (machine.wheels == Wheels::One).then_some("a spin of its own choice at a speed");
    let own_half =
        (!serves).then_some("a ball that bounces on its own half first, as a service does");
    [Some("corkscrew spin"), side, own_choice, own_half].into_iter().flatten().collect()
}
