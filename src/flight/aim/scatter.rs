//! How unevenly a launcher throws, and how often a ball keeps its depth in spite of it.

use serde::{Deserialize, Serialize};

use crate::base::Dice;
use crate::flight::bounds;
use crate::flight::constants::Constants;
use crate::flight::legality::Throw;
use crate::flight::path::{COARSE_STEP_S, Until, Watch, follow_for};
use crate::flight::{FlightError, Launch};

/// Standard deviations of a launcher from ball to ball.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Scatter {
    /// Of the speed, as a share of it.
    pub speed_share: f64,
    /// Of elevation and azimuth, each, in degrees.
    pub angle_deg: f64,
    /// Of the spin, as a share of it.
    pub spin_share: f64,
}

impl Default for Scatter {
    /// 1 % of the speed, half a degree, 5 % of the spin: a good launcher. Common practice.
    fn default() -> Self {
        Self { speed_share: 0.01, angle_deg: 0.5, spin_share: 0.05 }
    }
}

impl Scatter {
    /// Passes the scatter through when it is one.
    ///
    /// # Errors
    /// [`FlightError::OutOfBounds`] for a negative one or one beyond use.
    pub fn checked(self) -> Result<Self, FlightError> {
        bounds::SPEED_SCATTER.check(self.speed_share)?;
        bounds::ANGLE_SCATTER_DEG.check(self.angle_deg)?;
        bounds::SPIN_SCATTER.check(self.spin_share)?;
        Ok(self)
    }
}

/// So many of so many.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Share {
    /// Throws that stayed legal and kept the depth.
    pub kept: u32,
    /// Throws simulated.
    pub thrown: u32,
}

impl Share {
    /// As a number from 0 to 1; 0 when nothing was thrown.
    pub fn share(self) -> f64 {
        if self.thrown == 0 { 0.0 } else { f64::from(self.kept) / f64::from(self.thrown) }
    }
}

/// One uneven throw of a launch.
pub fn scattered(launch: &Launch, scatter: &Scatter, dice: &mut Dice) -> Launch {
    let [speed, elevation, azimuth, spin] = std::array::from_fn(|_| dice.normal());
    Launch {
        speed_m_s: (launch.speed_m_s * (1.0 + scatter.speed_share * speed)).max(0.0),
        elevation_deg: launch.elevation_deg + scatter.angle_deg * elevation,
        azimuth_deg: launch.azimuth_deg + scatter.angle_deg * azimuth,
        spin: launch.spin.scaled(1.0 + scatter.spin_share * spin),
        ..*launch
    }
}

/// How many of `thrown` uneven throws stay legal and keep the depth the even one has.
pub fn keeps_class(
    launch: &Launch,
    throw: Throw,
    constants: &Constants,
    scatter: &Scatter,
    seed: u64,
    thrown: u32,
) -> Share {
    let until = Until { bounces: throw.own_bounces() + 2, time_s: 6.0 };
    let fly = |launch: &Launch| {
        follow_for(&launch.motion(), constants, until, COARSE_STEP_S, Watch::BouncesAndNet)
    };
    let wanted = fly(launch).depth(throw);
    // The same throws for every launch compared: a difference is then one of the launches.
    let mut dice = Dice::for_part(seed, "scatter of the launcher");
    let kept = (0..thrown)
        .filter(|_| {
            let path = fly(&scattered(launch, scatter, &mut dice));
            path.fault(throw).is_none() && path.depth(throw) == wanted
        })
        .count();
    Share { kept: u32::try_from(kept).unwrap_or(thrown), thrown }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_launcher_without_scatter_keeps_every_ball() {
        let launch = Launch {
            outlet_m: [-0.1, 0.0, 0.2],
            speed_m_s: 5.3,
            elevation_deg: -16.0,
            azimuth_deg: 0.0,
            spin: crate::flight::SpinRate::top(-40.0),
        };
        let even = Scatter { speed_share: 0.0, angle_deg: 0.0, spin_share: 0.0 };
        let count = |scatter: &Scatter| {
            keeps_class(&launch, Throw::Serve, &Constants::default(), scatter, 1, 200)
        };
        assert_eq!(count(&even).kept, 200);
        let wild = Scatter { speed_share: 0.05, angle_deg: 3.0, spin_share: 0.2 };
        assert!(count(&wild).kept < count(&Scatter::default()).kept);
    }
}
