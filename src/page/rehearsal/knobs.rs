//! How a fixed setting is said in words: where each knob of a machine goes for a ball.
//!
//! Words, and the usual numbers of such a ball, until a setting is computed. Speeds and first
//! bounces are those of computed flights of real services; turning a knob by eye afterwards is part
//! of it.

use crate::base::Units;
use crate::game::{Depth, Hand, Pace, Spin, lane_y_m};
use crate::launcher::{SetUp, Throw, Thrown, Wheels};
use crate::page::launcher_words::spin_words;

/// Lines of knob and position.
pub(super) fn knobs(
    thrown: &Thrown,
    set_up: &SetUp,
    player: Hand,
    wheels: Option<Wheels>,
    units: Units,
) -> Vec<(&'static str, String)> {
    let bends = thrown.bends_for_thrower().map(|side| format!(", bends {side}"));
    let (spin, bends) = (spin_words(thrown.spin, thrown.rev_s), bends.unwrap_or_default());
    let mut lines = vec![
        ("speed", speed(thrown)),
        ("spin", format!("{spin}{bends}{}", of_wheels(thrown.spin, wheels))),
        ("down", down(thrown, units)),
        ("aim", aim(thrown, set_up, player, units)),
    ];
    if thrown.breaks.is_some() {
        let head = match wheels {
            Some(Wheels::Three) => "upright, the third wheel makes the sidespin",
            _ => "turned part of the way: the more, the more sidespin",
        };
        lines.push(("head", head.to_owned()));
    }
    lines
}

/// Which wheel turns faster.
const fn of_wheels(spin: Spin, wheels: Option<Wheels>) -> &'static str {
    match (wheels, spin) {
        (None | Some(Wheels::One), _) | (_, Spin::Sidespin | Spin::Corkscrew) => "",
        (_, Spin::Backspin | Spin::SideBackspin) => "; the lower wheel faster",
        (_, Spin::Topspin | Spin::SideTopspin) => "; the upper wheel faster",
        (_, Spin::Dead) => "; both wheels alike",
    }
}

fn speed(thrown: &Thrown) -> String {
    let words = match (thrown.depth, thrown.pace) {
        (Depth::Long, Pace::Fast) => "high, about 9 m/s",
        (Depth::Long, Pace::Slow) => "low to middle, about 6 m/s",
        (Depth::Long, Pace::Medium) => "middle, about 6.5 m/s",
        (Depth::HalfLong, _) => "low to middle, about 5.8 m/s",
        (Depth::Short, _) => "low, about 5.3 m/s",
    };
    match thrown.throw {
        Throw::Serve => words.to_owned(),
        Throw::Feed if thrown.depth == Depth::Short => "lowest that clears the net".to_owned(),
        Throw::Feed => format!("{words}, less if it flies long"),
    }
}

fn down(thrown: &Thrown, units: Units) -> String {
    if thrown.throw == Throw::Feed {
        return "level or a little up: straight onto the receiver's half".to_owned();
    }
    let first_bounce_m = match (thrown.depth, thrown.pace, thrown.spin) {
        (Depth::Long, Pace::Fast, _) | (_, _, Spin::Dead) | (Depth::Short, ..) => 0.35,
        (Depth::HalfLong, ..) => 0.45,
        (Depth::Long, ..) => 0.50,
    };
    format!("first bounce about {} from its own end line", units.length(first_bounce_m))
}

fn aim(thrown: &Thrown, set_up: &SetUp, player: Hand, units: Units) -> String {
    let landing_m = lane_y_m(thrown.lane, player);
    let side = if landing_m.abs() < 0.05 {
        "the centre line".to_owned()
    } else {
        let side = if landing_m > 0.0 { "left" } else { "right" };
        format!("{} {side} of the centre line", units.length(landing_m.abs()))
    };
    let crosses = landing_m * set_up.across_m < 0.0 && landing_m.abs() > 0.2;
    let way = if crosses { ", across the table" } else { "" };
    format!("the receiver's {}, {side} seen from the launcher{way}", thrown.lane)
}
