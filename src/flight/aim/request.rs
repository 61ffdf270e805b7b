//! What is wanted of a ball: bands for what can be measured on its path, and where each comes from.
//!
//! Everything is a band (a target is a band without width), so the laws of the game, the reach of
//! a launcher, the look of a real serve and the player's own wish are one kind of thing to the
//! solver and stay apart only in the words of a refusal.

use crate::flight::constants::{END_LINE_X_M, SIDE_LINE_Y_M};
use crate::flight::launch::{check_outlet, check_spin};
use crate::flight::legality::Throw;
use crate::flight::{FlightError, Launch, SpinRate};
use crate::game::{Depth, NET_X_M, half_long_m};

use super::measure::{Band, Measure};
use super::scatter::Scatter;

/// Who asks for a band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Origin {
    /// The laws of the game and the size of the table.
    Law,
    /// The launcher cannot do more.
    Launcher,
    /// The player.
    Asked,
    /// It would not look like a serve any more.
    LikeAServe,
}

impl Origin {
    /// As a message names it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Law => "the table and the laws of the game",
            Self::Launcher => "the launcher",
            Self::Asked => "the request",
            Self::LikeAServe => "the look of a real serve",
        }
    }
}

/// One band somebody asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wish {
    /// What it is about.
    pub measure: Measure,
    /// Where it has to be.
    pub band: Band,
    /// Who asks.
    pub origin: Origin,
}

/// Air over the net that a ball gets unless something else is asked, in metres.
pub const NET_MARGIN_M: f64 = 0.02;

/// Steepest lob worth throwing, in degrees: above it the landing hangs on tenths of a degree.
pub const STEEPEST_DEG: f64 = 75.0;

/// Everything wanted of one ball.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// Like a serve, or straight onto the receiver's half.
    pub throw: Throw,
    /// Where the ball leaves, in metres.
    pub outlet_m: [f64; 3],
    /// With which spin.
    pub spin: SpinRate,
    /// All bands, those of the laws first.
    pub wishes: Vec<Wish>,
    /// How unevenly the launcher throws.
    pub scatter: Scatter,
}

impl Request {
    /// Nothing but the laws and what can be thrown at all.
    pub(crate) fn new(throw: Throw, outlet_m: [f64; 3], spin: SpinRate) -> Self {
        let across = Band::between(-SIDE_LINE_Y_M, SIDE_LINE_Y_M);
        let steepness = Band::between(-STEEPEST_DEG, STEEPEST_DEG);
        let law = |measure, band| Wish { measure, band, origin: Origin::Law };
        let mut wishes = vec![
            law(Measure::BounceX, Band::between(NET_X_M, END_LINE_X_M)),
            law(Measure::BounceY, across),
            law(Measure::NetClearance, Band::at_least(NET_MARGIN_M)),
            Wish { measure: Measure::Elevation, band: steepness, origin: Origin::Launcher },
        ];
        if throw == Throw::Serve {
            wishes.push(law(Measure::FirstBounceX, Band::between(0.0, NET_X_M)));
            wishes.push(law(Measure::FirstBounceY, across));
        }
        Self { throw, outlet_m, spin, wishes, scatter: Scatter::default() }
    }

    /// A ball like a serve: own half, net, receiver's half.
    pub fn service(outlet_m: [f64; 3], spin: SpinRate) -> Self {
        Self::new(Throw::Serve, outlet_m, spin)
    }

    /// A ball straight onto the receiver's half.
    pub fn feed(outlet_m: [f64; 3], spin: SpinRate) -> Self {
        Self::new(Throw::Feed, outlet_m, spin)
    }

    /// Asks for a band. A height over the net asked for replaces the usual margin.
    #[must_use]
    pub fn wish(mut self, measure: Measure, band: Band) -> Self {
        let is_margin = |wish: &&mut Wish| wish.measure == measure && wish.origin == Origin::Law;
        if measure == Measure::NetClearance {
            self.wishes.iter_mut().filter(is_margin).for_each(|wish| wish.band.least = 0.0);
        }
        self.wishes.push(Wish { measure, band, origin: Origin::Asked });
        self
    }

    /// Asks for a depth.
    #[must_use]
    pub fn depth(self, class: Depth) -> Self {
        let (half_long_m, long_m) = half_long_m();
        let band = match class {
            Depth::Short => Band::at_most(half_long_m),
            Depth::HalfLong => Band::between(half_long_m, long_m),
            Depth::Long => Band::at_least(long_m),
        };
        self.wish(Measure::NextBounceX, band)
    }

    /// Asks where the bounce on the receiver's half lies across the table: exactly there.
    #[must_use]
    pub fn across(self, y_m: f64) -> Self {
        self.wish(Measure::BounceY, Band::exactly(y_m))
    }

    /// Adds a limit of the launcher.
    #[must_use]
    pub fn launcher_limit(mut self, measure: Measure, band: Band) -> Self {
        self.wishes.push(Wish { measure, band, origin: Origin::Launcher });
        self
    }

    /// Keeps the ball inside what 182 measured services look like.
    ///
    /// # Source
    /// Release to the receiver's bounce at most 0.62 s, bounce to bounce 0.33 to 0.46 s, first
    /// bounce within 0.76 m, less than 0.10 m over the net: the envelope of those services, a
    /// little widened. A feed cannot look like a serve; it only stays below 0.15 m over the net.
    #[must_use]
    pub fn like_a_serve(mut self) -> Self {
        let bands: &[(Measure, Band)] = match self.throw {
            Throw::Serve => &[
                (Measure::ReleaseToBounce, Band::at_most(0.62)),
                (Measure::BounceToBounce, Band::between(0.33, 0.46)),
                (Measure::FirstBounceX, Band::at_most(0.76)),
                (Measure::NetClearance, Band::at_most(0.10)),
            ],
            Throw::Feed => &[(Measure::NetClearance, Band::at_most(0.15))],
        };
        let wish = |&(measure, band)| Wish { measure, band, origin: Origin::LikeAServe };
        self.wishes.extend(bands.iter().map(wish));
        self
    }

    /// The launch at a speed, an elevation and an azimuth.
    pub(super) fn launch(&self, [speed_m_s, elevation_deg, azimuth_deg]: [f64; 3]) -> Launch {
        let Self { outlet_m, spin, .. } = *self;
        Launch { outlet_m, speed_m_s, elevation_deg, azimuth_deg, spin }
    }

    /// The middle of what is asked for a measure, if both ends are known.
    pub(super) fn middle(&self, measure: Measure) -> Option<f64> {
        self.wishes
            .iter()
            .filter(|wish| {
                wish.measure == measure && !matches!(wish.origin, Origin::Law | Origin::Launcher)
            })
            .map(|wish| 0.5 * (wish.band.least + wish.band.most))
            .find(|middle| middle.is_finite())
    }

    /// Passes the request through when its numbers are possible.
    ///
    /// # Errors
    /// [`FlightError::OutOfBounds`] or [`FlightError::EmptyBand`] for the first that is not.
    pub fn checked(&self) -> Result<&Self, FlightError> {
        check_outlet(self.outlet_m)?;
        check_spin(self.spin)?;
        self.scatter.checked()?;
        for Wish { measure, band: Band { least, most }, .. } in &self.wishes {
            let (least, most) = (*least, *most);
            if !(least <= most && least < f64::INFINITY && most > f64::NEG_INFINITY) {
                return Err(FlightError::EmptyBand { what: measure.what(), least, most });
            }
        }
        Ok(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_band_says_how_far_outside_a_value_is_and_never_turns_inside_out() {
        let band = Band::between(2.59, 2.89);
        assert!((band.outside(2.5) + 0.09).abs() < 1e-12);
        assert_eq!(band.outside(2.7), 0.0);
        let inside = band.inset(10.0);
        assert!(inside.least < inside.most);
        assert_eq!(Band::exactly(2.0).inset(1.0), Band::exactly(2.0));
        assert_eq!(Band::at_least(1.0).inset(0.5), Band::at_least(1.5));
    }

    #[test]
    fn a_band_that_holds_nothing_is_refused() {
        let asked = Request::service([-0.1, 0.0, 0.2], SpinRate::DEAD)
            .wish(Measure::BounceX, Band::between(2.5, 2.0));
        let said = asked.checked().unwrap_err().to_string();
        assert!(said.contains("runs from 2.5 to 2"), "{said}");
        let nothing = Request::service([-0.1, 0.0, 0.2], SpinRate::DEAD).across(f64::NAN);
        assert!(nothing.checked().is_err());
    }
}
