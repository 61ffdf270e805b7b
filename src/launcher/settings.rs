//! What is entered on a launcher for one ball: physics first, then its own dials in entry order.
//!
//! Only the form is here. A rehearsal carries it empty until aiming fills it in.

use serde::{Deserialize, Serialize};

use crate::base::{Day, words};
use crate::flight::{Fault, SpinRate};
use crate::game::ServeId;
use crate::launcher::thrown::Thrown;

words! {
    /// A physical quantity that dials set.
    pub enum Quantity : "quantity" {
        /// Speed at the outlet, m/s.
        Speed = "speed" "speed",
        /// Topspin +, backspin -, rev/s.
        TopSpin = "top_spin" "topspin",
        /// Side spin, rev/s.
        SideSpin = "side_spin" "sidespin",
        /// Elevation, degrees.
        Elevation = "elevation" "elevation",
        /// Azimuth, degrees.
        Azimuth = "azimuth" "direction",
    }
}

impl Quantity {
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Speed => "m/s",
            Self::TopSpin | Self::SideSpin => "rev/s",
            Self::Elevation | Self::Azimuth => "degrees",
        }
    }
}

/// One dial and the value to enter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DialSetting {
    /// The name on the panel.
    pub name: String,
    /// The value on the panel's own scale.
    pub value: f64,
}

/// The setting of one ball. Frame: origin at the centre of the launcher's end line on the playing
/// surface, x to the receiver, y to the launcher's left, z up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// m/s, at the outlet.
    pub speed_m_s: f64,
    /// - points down.
    pub elevation_deg: f64,
    /// + to the launcher's left.
    pub azimuth_deg: f64,
    /// Topspin +, backspin -.
    pub top_rev_s: f64,
    /// + swerves to the launcher's left, the receiver's right.
    pub side_rev_s: f64,
    /// In the order in which they are entered; empty when the launcher has none on file.
    pub dials: Vec<DialSetting>,
    /// Where to start on dials that nobody calibrated.
    #[serde(skip_deserializing, skip_serializing_if = "Option::is_none")]
    pub guess: Option<Guess>,
    /// How it is set without reading a number.
    pub by_eye: Option<ByEye>,
    /// Where its dials were left when it was last trimmed.
    pub last: Option<KeptSetting>,
}

/// Dial values to start from, in entry order.
#[derive(Debug, Clone, PartialEq)]
pub struct Guess(pub Vec<DialSetting>);

/// A setting that was found at the table: of one ball, from one place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptSetting {
    /// The key of the opponent, and the serve it was trimmed for.
    pub deck: String,
    pub serve: ServeId,
    pub on: Day,
    pub ball: Thrown,
    /// x, y and z of the nozzle, metres.
    pub nozzle_m: [f64; 3],
    pub on_chair: bool,
    pub dials: Vec<DialSetting>,
    /// How it was aimed: elevation and azimuth, degrees, the bounces, metres.
    pub aimed_deg: [f64; 2],
    pub first_x_m: Option<f64>,
    pub lands_m: [f64; 2],
    pub next_x_m: f64,
}

impl KeptSetting {
    /// What a hand turned it to, degrees.
    pub(super) fn hand_deg(&self, quantity: Quantity) -> f64 {
        (self.aimed_deg[usize::from(quantity == Quantity::Azimuth)] * 10.0).round() / 10.0
    }

    pub(super) fn is_of(&self, ball: &Thrown, nozzle_m: [f64; 3]) -> bool {
        self.ball == *ball && self.nozzle_m == nozzle_m
    }
}

/// What is seen and turned of one setting. Places are x and y of the launcher's frame, metres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ByEye {
    /// First bounce on the launcher's own half; none for a ball thrown straight.
    pub first_m: Option<[f64; 2]>,
    /// Bounce on the receiver's half.
    pub lands_m: [f64; 2],
    /// The landing when it only points higher and first bounces 10 cm farther.
    pub farther: Option<Farther>,
    /// Rims of the upper and of the lower of two wheels, m/s; - runs backwards.
    pub rims_m_s: Option<[f64; 2]>,
    pub turned_head: Option<TurnedHead>,
    /// Degrees the head lacks, + to the launcher's left: the whole launcher is turned.
    pub whole_deg: Option<f64>,
}

/// What comes of a first bounce that is too far.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Farther {
    /// The landing moves so far away from the launcher, metres.
    Moves(f64),
    Fails(Fault),
}

/// A head turned by hand, so that its spin is shared between top and side.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TurnedHead {
    pub deg: f64,
    /// Which way the ball then bends, from behind the launcher.
    pub bends_left: bool,
}

impl Settings {
    /// Where its dials begin: as last time, as calibrated, else the guess.
    pub fn start(&self) -> &[DialSetting] {
        let guess = self.guess.as_ref().map_or(&self.dials, |guess| &guess.0);
        self.last.as_ref().map_or(guess, |last| &last.dials)
    }

    pub const fn spin(&self) -> SpinRate {
        SpinRate { top_rev_s: self.top_rev_s, side_rev_s: self.side_rev_s, gyro_rev_s: 0.0 }
    }

    pub const fn physics(&self, quantity: Quantity) -> f64 {
        match quantity {
            Quantity::Speed => self.speed_m_s,
            Quantity::TopSpin => self.top_rev_s,
            Quantity::SideSpin => self.side_rev_s,
            Quantity::Elevation => self.elevation_deg,
            Quantity::Azimuth => self.azimuth_deg,
        }
    }

    pub(crate) const fn physics_mut(&mut self, quantity: Quantity) -> &mut f64 {
        match quantity {
            Quantity::Speed => &mut self.speed_m_s,
            Quantity::TopSpin => &mut self.top_rev_s,
            Quantity::SideSpin => &mut self.side_rev_s,
            Quantity::Elevation => &mut self.elevation_deg,
            Quantity::Azimuth => &mut self.azimuth_deg,
        }
    }
}
