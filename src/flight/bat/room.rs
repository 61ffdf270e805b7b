//! How much a receive forgives: how far the face, the spin that was read and the bat speed may be
//! off before the ball no longer lands low.

use std::f64::consts::TAU;

use super::law::BatLaw;
use super::swing::{BatAt, BatSwing};
use crate::flight::constants::Constants;
use crate::flight::motion::BallMotion;

/// How far each may be off, below and above.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// The face: closed, open.
    pub face_deg: [f64; 2],
    /// Topspin of the ball: less, more than it was read.
    pub spin_rev_s: [f64; 2],
    /// Bat speed: slower, faster, as a share.
    pub speed: [f64; 2],
}

/// What hands are usually off by: a guess, the same for all receives.
const FACE_DEG: f64 = 4.0;
const SPIN_REV_S: f64 = 10.0;
const SPEED: f64 = 0.2;
/// How far is looked.
const MOST_FACE_DEG: f64 = 30.0;
const MOST_SPIN_REV_S: f64 = 60.0;
const MOST_SPEED: f64 = 0.6;

impl Room {
    /// The narrowest side, in what hands are usually off by.
    pub fn narrowest(&self) -> f64 {
        let of = |sides: [f64; 2], usual: f64| sides[0].min(sides[1]) / usual;
        of(self.face_deg, FACE_DEG).min(of(self.spin_rev_s, SPIN_REV_S)).min(of(self.speed, SPEED))
    }
}

/// The bat with the most room at a ball that is to land there, among the ways to swing the stroke;
/// none when no face does it.
pub fn best(
    swing: &BatSwing,
    law: &BatLaw,
    constants: &Constants,
    ball: &BallMotion,
    landing_m: [f64; 2],
) -> Option<(BatAt, Room)> {
    let ways = swing.ways.iter().filter(|way| swing.has_room(ball, **way));
    let held = ways.flat_map(|way| swing.solve(law, constants, ball, *way, landing_m));
    let rooms = held.map(|at| (at, room(swing, law, constants, ball, at)));
    rooms.max_by(|a, b| a.1.narrowest().total_cmp(&b.1.narrowest()))
}

/// The room around a way to hold the bat that lands.
pub fn room(
    swing: &BatSwing,
    law: &BatLaw,
    constants: &Constants,
    ball: &BallMotion,
    at: BatAt,
) -> Room {
    let lands = |ball: &BallMotion, at: BatAt| at.answer(law, constants, ball).end.is_good();
    let both = |most: f64, lands: &dyn Fn(f64) -> bool| {
        [-1.0, 1.0].map(|way| edge(most, |off| lands(way * off)))
    };
    Room {
        face_deg: both(MOST_FACE_DEG, &|off| lands(ball, swing.turned(at, off))),
        spin_rev_s: both(MOST_SPIN_REV_S, &|off| lands(&with_topspin(ball, off), at)),
        speed: both(MOST_SPEED, &|off| {
            lands(ball, BatAt { bat_m_s: at.bat_m_s * (1.0 + off), ..at })
        }),
    }
}

/// The same ball with so much more topspin, rev/s.
fn with_topspin(ball: &BallMotion, more_rev_s: f64) -> BallMotion {
    let [x, y, z] = ball.spin_rad_s;
    BallMotion { spin_rad_s: [x, y + TAU * more_rev_s, z], ..*ball }
}

/// Where from 0 up something first stops holding, to a hundredth of the most: steps, then halves.
fn edge(most: f64, holds: impl Fn(f64) -> bool) -> f64 {
    const STEPS: u32 = 6;
    let mut good = 0.0;
    let mut bad = None;
    for step in 1..=STEPS {
        let off = most * f64::from(step) / f64::from(STEPS);
        if !holds(off) {
            bad = Some(off);
            break;
        }
        good = off;
    }
    let Some(mut bad) = bad else { return most };
    for _ in 0..4 {
        let middle = 0.5 * (good + bad);
        if holds(middle) {
            good = middle;
        } else {
            bad = middle;
        }
    }
    good
}
