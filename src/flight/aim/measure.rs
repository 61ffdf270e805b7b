//! What can be measured on a ball's path, and bands of it.

/// Something a band can be about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measure {
    /// Speed at release, m/s.
    Speed,
    /// Elevation at release, degrees.
    Elevation,
    /// Azimuth at release, degrees.
    Azimuth,
    /// x of the first bounce of a service, m; of the only one of a feed.
    FirstBounceX,
    /// y of the same, m.
    FirstBounceY,
    /// x of the bounce on the receiver's half, m.
    BounceX,
    /// y of the same, m.
    BounceY,
    /// x of the bounce after that, m: it makes the depth.
    NextBounceX,
    /// Air between ball and net, m.
    NetClearance,
    /// Release to the bounce on the receiver's half, s.
    ReleaseToBounce,
    /// From bounce to bounce over the net, s; of a feed, the same as release to bounce.
    BounceToBounce,
    /// Highest point of the leg over the net, m.
    Apex,
}

/// How many measures there are.
pub(super) const MEASURES: usize = 12;

/// Of each measure in turn: as a message names it, its unit, how much of it weighs as much as one
/// metre on the table when a nearest ball is looked for, and one standard deviation of it at the
/// default scatter of a launcher, from the spread of computed services.
const FACTS: [(&str, &str, f64, f64); MEASURES] = [
    ("speed", "m/s", 3.0, 0.05),
    ("elevation", "degrees", 15.0, 0.5),
    ("azimuth", "degrees", 15.0, 0.5),
    ("first bounce, along the table", "m", 1.0, 0.015),
    ("first bounce, across the table", "m", 1.0, 0.015),
    ("bounce on the receiver's half, along the table", "m", 1.0, 0.023),
    ("bounce on the receiver's half, across the table", "m", 1.0, 0.023),
    ("next bounce, along the table", "m", 1.0, 0.032),
    ("height over the net", "m", 0.3, 0.006),
    ("time to the receiver's bounce", "s", 0.2, 0.006),
    ("time from bounce to bounce", "s", 0.2, 0.006),
    ("highest point over the table", "m", 0.3, 0.006),
];

impl Measure {
    /// As a message names it.
    pub const fn what(self) -> &'static str {
        FACTS[self as usize].0
    }

    /// Its unit.
    pub const fn unit(self) -> &'static str {
        FACTS[self as usize].1
    }

    /// How much of it weighs as much as one metre on the table, when a nearest ball is looked for.
    pub(super) const fn scale(self) -> f64 {
        FACTS[self as usize].2
    }

    /// What a launcher's usual scatter does to it.
    pub(super) const fn spread(self) -> f64 {
        FACTS[self as usize].3
    }
}

/// An interval, its ends included; an end may be infinite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Lower end.
    pub least: f64,
    /// Upper end.
    pub most: f64,
}

impl Band {
    /// From one value to another.
    pub const fn between(least: f64, most: f64) -> Self {
        Self { least, most }
    }

    /// One value exactly.
    pub const fn exactly(value: f64) -> Self {
        Self { least: value, most: value }
    }

    /// That value or more.
    pub const fn at_least(least: f64) -> Self {
        Self { least, most: f64::INFINITY }
    }

    /// That value or less.
    pub const fn at_most(most: f64) -> Self {
        Self { least: f64::NEG_INFINITY, most }
    }

    /// Whether it names a single value.
    pub fn is_exact(&self) -> bool {
        self.least == self.most
    }

    /// How far outside `value` lies: negative below, positive above, zero inside.
    pub fn outside(&self, value: f64) -> f64 {
        if value < self.least {
            value - self.least
        } else if value > self.most {
            value - self.most
        } else {
            0.0
        }
    }

    /// The band with `by` taken off at each end, but at most nine tenths of it.
    pub(super) fn inset(&self, by: f64) -> Self {
        if self.is_exact() {
            return *self;
        }
        let by = by.min(0.45 * (self.most - self.least));
        Self { least: self.least + by, most: self.most - by }
    }
}
