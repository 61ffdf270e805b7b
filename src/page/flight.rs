//! One flown ball as a document: bounces, net, depth, legality; as text, and as the JSON of
//! `launcher fly`.
//!
//! Lengths are metres in the launcher's frame (x from its end line to the receiver, y to its left,
//! z up, the ball's centre), times seconds since release. How it looks is `flight_picture`'s.

use minijinja::context;
use minijinja::value::Serde;
use serde::Serialize;

use crate::flight::constants::{END_LINE_X_M, SIDE_LINE_Y_M};
use crate::flight::path::Path;
use crate::flight::{Constants, Launch, Throw};
use crate::game::{Depth, NET_X_M};
use crate::page::launcher_words::fault_words;
use crate::page::text_page::filled_text;

/// The version of the JSON form.
pub const FORMAT: u32 = 1;

/// One bounce.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FlownBounce {
    /// Seconds since release.
    pub time_s: f64,
    /// Metres from the launcher's end line.
    pub x_m: f64,
    /// Metres to the launcher's left of the centre line.
    pub y_m: f64,
    /// `own half`, `receiver's half` or `off the table`.
    pub on: &'static str,
    /// Top of the leg that ended here, when it rose at all.
    pub apex_m: Option<f64>,
    /// Velocity after it, m/s.
    pub velocity_after_m_s: [f64; 3],
    /// Spin vector after it, rad/s.
    pub spin_after_rad_s: [f64; 3],
}

/// The net as it was crossed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OverNet {
    /// Seconds since release.
    pub time_s: f64,
    /// Air between ball and net; below zero it hit.
    pub clearance_m: f64,
}

/// A flown ball.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FlownDocument {
    /// The version of this form.
    pub format: u32,
    /// How it left.
    pub launch: Launch,
    /// The ball, air and table it flew in.
    pub constants: Constants,
    /// True when these constants are the player's own, from `table.ron`.
    pub is_own_table: bool,
    /// `service` or `feed`: whether its first bounce is on its own half.
    pub throw: &'static str,
    /// The bounces, on the plane of the table without end.
    pub bounces: Vec<FlownBounce>,
    /// The net, when the ball got there.
    pub net: Option<OverNet>,
    /// `short`, `half_long` or `long`, when it came to the next bounce.
    pub depth: Option<&'static str>,
    /// True when it is a legal throw of its kind.
    pub is_legal: bool,
    /// Why it is not.
    pub fault: Option<&'static str>,
}

impl FlownDocument {
    /// Reads a path. A first bounce before the net makes it a service.
    pub fn read_path(
        launch: Launch,
        constants: Constants,
        is_own_table: bool,
        path: &Path,
    ) -> Self {
        let throw = path.throw();
        let bounces = path
            .bounces
            .iter()
            .map(|bounce| FlownBounce {
                time_s: bounce.time_s,
                x_m: bounce.x_m(),
                y_m: bounce.y_m(),
                on: place(bounce.x_m(), bounce.y_m()),
                apex_m: bounce.apex.map(|apex| apex.height_m),
                velocity_after_m_s: bounce.after.velocity_m_s,
                spin_after_rad_s: bounce.after.spin_rad_s,
            })
            .collect();
        let net = path.net.zip(path.net_clearance_m());
        let net = net.map(|(net, clearance_m)| OverNet { time_s: net.time_s, clearance_m });
        let fault = path.fault(throw).map(fault_words);
        Self {
            format: FORMAT,
            launch,
            constants,
            is_own_table,
            throw: if throw == Throw::Serve { "service" } else { "feed" },
            bounces,
            net,
            depth: path.depth(throw).map(Depth::word),
            is_legal: fault.is_none(),
            fault,
        }
    }

    /// The numbers, aligned.
    pub fn text(&self) -> String {
        // The net is said where it was crossed: after so many bounces.
        let net_after = self
            .net
            .as_ref()
            .map(|net| self.bounces.iter().filter(|bounce| bounce.time_s <= net.time_s).count());
        let page = context! { net_after, ..Serde(self) };
        filled_text(include_str!("templates/launcher/flight.txt"), &page, 80)
    }
}

fn place(x_m: f64, y_m: f64) -> &'static str {
    if y_m.abs() > SIDE_LINE_Y_M || !(0.0..=END_LINE_X_M).contains(&x_m) {
        "off the table"
    } else if x_m < NET_X_M {
        "own half"
    } else {
        "receiver's half"
    }
}
