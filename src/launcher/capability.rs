//! The launcher file: what a machine, or the person who feeds or serves, can do.
//!
//! Ranges are what the launcher really reaches in the hall, not what a box promises. Numbers
//! outside any launcher's reach are refused where the file is judged, in `store`.

use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;

use crate::base::words;
use crate::flight::aim::Scatter;
use crate::game::Hand;
use crate::launcher::curves::{Calibrated, through};
use crate::launcher::settings::KeptSetting;
use crate::launcher::thrown::Thrown;

/// The version of the launcher file's form.
pub const FORMAT: u32 = 1;

words! {
    /// How a launcher decides about the next ball.
    pub enum LauncherKind : "kind of launcher" {
        /// One setting until somebody walks over and turns a knob.
        Fixed = "fixed" "one setting at a time",
        /// One setting, while the direction sweeps from side to side.
        Oscillating = "oscillating" "sweeps from side to side",
        /// Every ball can be another one.
        PerBall = "per_ball" "programmed ball by ball",
        /// A person who feeds balls with the bat.
        Feeder = "feeder" "a person who feeds",
        /// A person who serves, with real motions.
        Partner = "partner" "a person who serves",
    }
}

impl LauncherKind {
    /// True for a person.
    pub const fn is_person(self) -> bool {
        matches!(self, Self::Feeder | Self::Partner)
    }

    /// True when two balls in a row can differ in everything.
    pub const fn mixes_freely(self) -> bool {
        matches!(self, Self::PerBall | Self::Feeder | Self::Partner)
    }
}

words! {
    /// The wheels that throw the ball.
    pub enum Wheels : "number of wheels" {
        /// One wheel: spin is tied to speed.
        One = "one" "one wheel" | "1",
        /// Two wheels: topspin and backspin at any speed.
        Two = "two" "two wheels" | "2",
        /// Three wheels: side spin as well.
        Three = "three" "three wheels" | "3",
    }
}

words! {
    /// Whether the head turns about the line of the throw, so that two wheels make side spin.
    pub enum HeadTurn : "way the head turns" {
        /// It does not turn.
        Upright = "upright" "a head that does not turn" | "no",
        /// It is turned by hand between blocks.
        ByHand = "turned_by_hand" "a head turned by hand" | "by_hand",
        /// It turns by itself between two balls.
        PerBall = "turned_per_ball" "a head that turns for every ball" | "per_ball",
    }
}

/// A range, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Span {
    /// The least value.
    pub least: f64,
    /// The most.
    pub most: f64,
}

impl Span {
    /// A range from its ends.
    pub const fn new(least: f64, most: f64) -> Self {
        Self { least, most }
    }

    /// The nearest value in the range.
    pub fn nearest(&self, value: f64) -> f64 {
        value.max(self.least).min(self.most)
    }
}

/// How much two balls of one setting differ: one standard deviation.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ThrowScatter {
    /// Speed, per cent.
    pub speed_percent: f64,
    /// Elevation, degrees.
    pub elevation_deg: f64,
    /// Azimuth, degrees.
    pub azimuth_deg: f64,
    /// Spin, per cent.
    pub spin_percent: f64,
}

/// One point of the curve that ties spin to speed on a machine with one wheel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tied {
    /// Speed, m/s.
    pub speed_m_s: f64,
    /// Spin at that speed, rev/s: + topspin, - backspin.
    pub spin_rev_s: f64,
}

/// What a machine can do.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ThrowingMachine {
    /// The wheels.
    pub wheels: Wheels,
    /// Whether the head turns.
    #[serde(default = "upright")]
    pub head: HeadTurn,
    /// Speed of the ball at the outlet, m/s.
    pub speed_m_s: Span,
    /// Spin with an upright head, rev/s: + topspin, - backspin.
    pub spin_rev_s: Span,
    /// One wheel only: the spin at each speed, by rising speed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tied: Vec<Tied>,
    /// Elevation, degrees: - points down at its own half.
    pub elevation_deg: Span,
    /// Azimuth, degrees: + to the launcher's left, 0 along the table.
    pub azimuth_deg: Span,
    /// Height of the outlet above the playing surface on its own legs, metres.
    pub outlet_height_m: Span,
    /// Height of the outlet with short legs on a chair, metres, when it can stand there.
    pub chair_height_m: Option<f64>,
    /// Height of the outlet standing on the table, metres, when it can stand there.
    pub on_table_height_m: Option<f64>,
    /// Balls a minute.
    pub rate_a_minute: Span,
    /// Seconds from the start button to the first ball.
    #[serde(default)]
    pub start_delay_s: f64,
    /// Balls a stored sequence holds; 0 when nothing is stored.
    #[serde(default)]
    pub stored_balls: u32,
    /// Balls the hopper holds.
    pub hopper_balls: u32,
    /// How much its balls differ, when that was measured.
    pub scatter: Option<ThrowScatter>,
}

const fn upright() -> HeadTurn {
    HeadTurn::Upright
}

words! {
    /// What a dial changes.
    pub enum Control : "thing a dial sets" {
        /// Speed of the ball.
        Speed = "speed" "speed" | "pace" | "power",
        /// Topspin and backspin.
        Spin = "spin" "spin",
        /// Side spin.
        SideSpin = "side_spin" "sidespin" | "side",
        /// How far up or down it points.
        Elevation = "elevation" "elevation" | "tilt",
        /// How far to a side it points.
        Azimuth = "azimuth" "direction" | "aim",
        /// How high the outlet is.
        Height = "height" "height",
        /// Balls a minute.
        Rate = "rate" "rate" | "balls" | "feed",
        /// Speed of the upper wheel.
        UpperWheel = "upper_wheel" "upper wheel" | "upper" | "top",
        /// Speed of the lower wheel.
        LowerWheel = "lower_wheel" "lower wheel" | "lower" | "bottom",
        /// Speed of the third wheel.
        ThirdWheel = "third_wheel" "third wheel",
        /// The turn of the head.
        Head = "head" "head",
    }
}

/// One control of the launcher as its own panel names it. The order in the file is the order in
/// which values are entered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dial {
    /// The name on the panel.
    pub name: String,
    /// What it changes.
    pub sets: Control,
    /// The least value on the panel.
    pub least: f64,
    /// The most.
    pub most: f64,
    /// The smallest step.
    pub notch: f64,
}

/// A launcher: a machine, or a person in its place.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Launcher {
    /// The version of the form.
    pub format: u32,
    /// Its name, as printed on sheets.
    pub name: String,
    /// Where the numbers come from.
    pub source: Option<String>,
    /// How it decides about the next ball.
    pub kind: LauncherKind,
    /// The hand of a person.
    pub hand: Option<Hand>,
    /// What a machine can do; left out for a person.
    pub machine: Option<ThrowingMachine>,
    /// Its controls, in the order in which they are entered.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dials: Vec<Dial>,
    /// What was learned about them from thrown balls.
    pub calibrated: Option<Calibrated>,
    /// Settings that were found at the table.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kept: Vec<KeptSetting>,
}

impl Launcher {
    /// A person who feeds or serves.
    #[cfg(test)]
    pub fn person(kind: LauncherKind, name: impl Into<String>, hand: Option<Hand>) -> Self {
        Self {
            format: FORMAT,
            name: name.into(),
            source: None,
            kind,
            hand,
            machine: None,
            dials: Vec::new(),
            calibrated: None,
            kept: Vec::new(),
        }
    }

    /// Keeps a setting, in place of an older one of the same ball from the same place.
    pub fn keep(&mut self, found: KeptSetting) {
        self.kept.retain(|old| !old.is_of(&found.ball, found.nozzle_m));
        self.kept.push(found);
    }

    /// The setting kept of this ball from this place, as far as its dials are still there.
    pub fn kept_of(&self, ball: &Thrown, nozzle_m: [f64; 3]) -> Option<&KeptSetting> {
        let has = |name: &str| self.dials.iter().any(|dial| dial.name == name);
        let mut kept = self.kept.iter().filter(|kept| kept.is_of(ball, nozzle_m));
        kept.find(|kept| kept.dials.iter().all(|dial| has(&dial.name)))
    }

    /// The machine that throws; none for a person.
    pub fn throwing_machine(&self) -> Option<&ThrowingMachine> {
        self.machine.as_ref().filter(|_| !self.kind.is_person())
    }
}

impl ThrowingMachine {
    /// The most it spins a ball either way, rev/s.
    pub fn strongest_rev_s(&self) -> f64 {
        self.spin_rev_s.most.max(-self.spin_rev_s.least)
    }

    /// How much its balls differ: as measured, else as those of a good launcher do.
    pub fn flight_scatter(&self) -> Scatter {
        self.scatter.map_or_else(Scatter::default, |own| Scatter {
            speed_share: own.speed_percent / 100.0,
            angle_deg: own.elevation_deg.max(own.azimuth_deg),
            spin_share: own.spin_percent / 100.0,
        })
    }

    /// True when it makes side spin; `within_a_block` asks for side spin that comes and goes from
    /// ball to ball without a hand on the machine.
    pub const fn makes_side_spin(&self, within_a_block: bool) -> bool {
        match (self.wheels, self.head) {
            (Wheels::Three, _) | (_, HeadTurn::PerBall) => true,
            (_, HeadTurn::ByHand) => !within_a_block,
            (_, HeadTurn::Upright) => false,
        }
    }

    /// The spin, rev/s, that one wheel makes at this speed; linear between the points of the curve,
    /// the nearest point beyond its ends. `None` when spin is free.
    pub fn tied_spin(&self, speed_m_s: f64) -> Option<f64> {
        let (first, last) = (self.tied.first()?, self.tied.last()?);
        let speed_m_s = speed_m_s.min(last.speed_m_s).max(first.speed_m_s);
        let point = |at: usize| (self.tied[at].speed_m_s, self.tied[at].spin_rev_s);
        (self.wheels == Wheels::One).then(|| through(self.tied.len(), point, speed_m_s))
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A plain machine with two wheels on low legs.
    pub(crate) fn machine() -> ThrowingMachine {
        ThrowingMachine {
            wheels: Wheels::Two,
            head: HeadTurn::Upright,
            speed_m_s: Span::new(3.0, 20.0),
            spin_rev_s: Span::new(-50.0, 70.0),
            tied: Vec::new(),
            elevation_deg: Span::new(-20.0, 30.0),
            azimuth_deg: Span::new(-25.0, 25.0),
            outlet_height_m: Span::new(0.25, 0.45),
            chair_height_m: None,
            on_table_height_m: Some(0.20),
            rate_a_minute: Span::new(10.0, 80.0),
            start_delay_s: 5.0,
            stored_balls: 0,
            hopper_balls: 100,
            scatter: None,
        }
    }

    /// The same machine as a launcher of a kind.
    pub(crate) fn launcher(kind: LauncherKind) -> Launcher {
        Launcher { machine: Some(machine()), ..Launcher::person(kind, "Test launcher", None) }
    }

    #[test]
    fn one_wheel_ties_spin_to_speed() {
        let mut one = machine();
        assert_eq!(one.tied_spin(8.0), None);
        one.wheels = Wheels::One;
        one.tied = vec![
            Tied { speed_m_s: 4.0, spin_rev_s: 10.0 },
            Tied { speed_m_s: 8.0, spin_rev_s: 30.0 },
        ];
        assert_eq!(one.tied_spin(6.0), Some(20.0));
        assert_eq!(one.tied_spin(2.0), Some(10.0));
        assert_eq!(one.tied_spin(12.0), Some(30.0));
    }

    #[test]
    fn two_wheels_make_side_spin_only_when_the_head_turns() {
        let mut two = machine();
        assert!(!two.makes_side_spin(false));
        two.head = HeadTurn::ByHand;
        assert!(two.makes_side_spin(false) && !two.makes_side_spin(true));
        two.head = HeadTurn::PerBall;
        assert!(two.makes_side_spin(true));
    }
}
