//! What stands between a launcher and a ball: the smallest change of one of its limits under which
//! the solver finds the ball.

use crate::flight::service::CONTACT_HEIGHT_M;
use crate::game::Pace;
use crate::launcher::limit::Obstacle;
use crate::launcher::wish::BallWish;
use crate::launcher::{SetUp, Stand, ThrowingMachine, Thrown};

/// Halvings between what a launcher has and the extreme; a centimetre, a third of a degree.
const HALVINGS: usize = 6;

/// An outlet lower than players strike a serve: some fast ones leave only from there, metres.
const LOW_M: f64 = 0.15;

/// A limit that could be another.
struct Way {
    is: f64,
    /// As far as any launcher goes.
    extreme: f64,
    set: fn(&mut ThrowingMachine, &mut SetUp, f64),
    tell: fn(f64, f64) -> Obstacle,
}

/// Why a ball that looks like the serve does not leave from here.
pub(super) fn obstacle(wish: &BallWish<'_>) -> Obstacle {
    if wish.set_up.stand == Stand::OnTable {
        return Obstacle::OnTable;
    }
    let slower = Thrown { pace: Pace::Medium, ..*wish.thrown };
    let at_any_pace = BallWish { thrown: &slower, ..*wish };
    match one_limit(wish) {
        Obstacle::Several => one_limit(&at_any_pace),
        told => told,
    }
}

/// The height from which it does, where height alone decides.
pub(super) fn too_high(wish: &BallWish<'_>) -> Option<Obstacle> {
    [CONTACT_HEIGHT_M, LOW_M].into_iter().find_map(|extreme| {
        let way = Way {
            is: wish.set_up.outlet_height_m.unwrap_or_default(),
            extreme,
            set: |_, set_up, to| set_up.outlet_height_m = Some(to),
            tell: |height_m, would_do_m| Obstacle::Height { height_m, would_do_m },
        };
        would_do(wish, &way)
    })
}

fn one_limit(wish: &BallWish<'_>) -> Obstacle {
    let machine = wish.machine;
    let ways = [
        Way {
            is: machine.elevation_deg.least,
            extreme: -30.0,
            set: |machine, _, to| machine.elevation_deg.least = to,
            tell: |least_deg, would_do_deg| Obstacle::NotDown { least_deg, would_do_deg },
        },
        Way {
            is: machine.speed_m_s.least,
            extreme: 2.0,
            set: |machine, _, to| machine.speed_m_s.least = to,
            tell: |least_m_s, would_do_m_s| Obstacle::TooFast { least_m_s, would_do_m_s },
        },
        Way {
            is: machine.speed_m_s.most,
            extreme: 16.0,
            set: |machine, _, to| machine.speed_m_s.most = to,
            tell: |most_m_s, would_do_m_s| Obstacle::TooSlow { most_m_s, would_do_m_s },
        },
    ];
    let told = ways.iter().find_map(|way| would_do(wish, way));
    told.or_else(|| too_high(wish)).unwrap_or(Obstacle::Several)
}

/// The least change of one limit that would do.
fn would_do(wish: &BallWish<'_>, way: &Way) -> Option<Obstacle> {
    let can = |value: f64| {
        let (mut machine, mut set_up) = (wish.machine.clone(), *wish.set_up);
        (way.set)(&mut machine, &mut set_up, value);
        BallWish { machine: &machine, set_up: &set_up, ..*wish }.is_like_a_serve()
    };
    if !can(way.extreme) {
        return None;
    }
    let (mut does, mut does_not) = (way.extreme, way.is);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (does + does_not);
        *(if can(middle) { &mut does } else { &mut does_not }) = middle;
    }
    Some((way.tell)(way.is, does))
}
