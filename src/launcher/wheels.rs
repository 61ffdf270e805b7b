//! The spin that wheels make in place of what is asked for.

use crate::game::Spin;
use crate::launcher::limit::Limit;
use crate::launcher::{ThrowingMachine, Thrown};

/// The spin without its sideways part.
const fn without_side(spin: Spin) -> Spin {
    match spin {
        Spin::SideBackspin => Spin::Backspin,
        Spin::SideTopspin => Spin::Topspin,
        Spin::Sidespin | Spin::Corkscrew => Spin::Dead,
        other => other,
    }
}

/// Turns a ball the way this machine can, and says what that loses.
pub(super) fn fit_spin(
    machine: &ThrowingMachine,
    thrown: &mut Thrown,
    within_a_block: bool,
    limits: &mut Vec<Limit>,
) {
    let makes_side = machine.makes_side_spin(within_a_block);
    if thrown.spin == Spin::Corkscrew && makes_side {
        limits.push(Limit::Corkscrew);
        thrown.spin = Spin::Sidespin;
    }
    if thrown.spin.is_sideways() && !makes_side {
        let instead = without_side(thrown.spin);
        let (wheels, head) = (machine.wheels, machine.head);
        limits.push(Limit::SideSpin { spin: thrown.spin, wheels, head, instead });
        thrown.spin = instead;
        thrown.breaks = None;
        if instead == Spin::Dead {
            thrown.rev_s = 0.0;
        }
    }
    if machine.tied_spin(0.0).is_some() {
        return;
    }
    let most_rev_s = match thrown.spin {
        Spin::Dead => return,
        spin if spin.has_backspin() => -machine.spin_rev_s.least,
        spin if spin.has_topspin() => machine.spin_rev_s.most,
        _ => machine.strongest_rev_s(),
    };
    if most_rev_s < 5.0 {
        limits.push(Limit::WrongWay(thrown.spin));
        (thrown.spin, thrown.rev_s, thrown.breaks) = (Spin::Dead, 0.0, None);
    } else if thrown.rev_s > most_rev_s {
        limits.push(Limit::TooMuchSpin { rev_s: thrown.rev_s, most_rev_s });
        thrown.rev_s = most_rev_s;
    }
}

/// Gives a ball the spin its speed has, where one wheel ties them.
pub(super) fn tie(machine: &ThrowingMachine, thrown: &mut Thrown, top_rev_s: f64) -> Option<Limit> {
    machine.tied_spin(0.0)?;
    let has = match top_rev_s {
        tied if tied.abs() < 5.0 => Spin::Dead,
        tied if tied > 0.0 => Spin::Topspin,
        _ => Spin::Backspin,
    };
    let (spin, rev_s, has_rev_s) = (thrown.spin, thrown.rev_s, top_rev_s.abs());
    if has == spin && (has_rev_s - rev_s).abs() <= 10.0 {
        return None;
    }
    (thrown.spin, thrown.rev_s, thrown.breaks) = (has, has_rev_s, None);
    Some(Limit::TiedSpin { spin, rev_s, has, has_rev_s })
}
