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

impl Measure {
    /// All of them, in the order of the table they index.
    pub const ALL: [Self; MEASURES] = [
        Self::Speed,
        Self::Elevation,
        Self::Azimuth,
        Self::FirstBounceX,
        Self::FirstBounceY,
        Self::BounceX,
        Self::BounceY,
        Self::NextBounceX,
        Self::NetClearance,
        Self::ReleaseToBounce,
        Self::BounceToBounce,
        Self::Apex,
    ];

    /// As a message names it.
    pub const fn what(self) -> &'static str {
        match self {
            Self::Speed => "speed",
            Self::Elevation => "elevation",
            Self::Azimuth => "azimuth",
            Self::FirstBounceX => "first bounce, along the table",
            Self::FirstBounceY => "first bounce, across the table",
            Self::BounceX => "bounce on the receiver's half, along the table",
            Self::BounceY => "bounce on the receiver's half, across the table",
            Self::NextBounceX => "next bounce, along the table",
            Self::NetClearance => "height over the net",
            Self::ReleaseToBounce => "time to the receiver's bounce",
            Self::BounceToBounce => "time from bounce to bounce",
            Self::Apex => "highest point over the table",
        }
    }

    /// Its unit.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Speed => "m/s",
            Self::Elevation | Self::Azimuth => "degrees",
            Self::ReleaseToBounce | Self::BounceToBounce => "s",
            _ => "m",
        }
    }

    /// How much of it weighs as much as one metre on the table, when a nearest ball is looked for.
    pub(super) const fn scale(self) -> f64 {
        match self {
            Self::Speed => 3.0,
            Self::Elevation | Self::Azimuth => 15.0,
            Self::NetClearance | Self::Apex => 0.3,
            Self::ReleaseToBounce | Self::BounceToBounce => 0.2,
            _ => 1.0,
        }
    }

    /// What a launcher's usual scatter does to it: one standard deviation at the default
    /// scatter of a launcher, from the spread of computed services.
    pub(super) const fn spread(self) -> f64 {
        match self {
            Self::Speed => 0.05,
            Self::Elevation | Self::Azimuth => 0.5,
            Self::FirstBounceX | Self::FirstBounceY => 0.015,
            Self::BounceX | Self::BounceY => 0.023,
            Self::NextBounceX => 0.032,
            Self::NetClearance | Self::Apex | Self::ReleaseToBounce | Self::BounceToBounce => 0.006,
        }
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
