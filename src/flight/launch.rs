//! How a ball leaves: outlet, speed, direction and spin, turned into velocity and spin vectors.
//!
//! Frame: origin at the centre of the launcher's end line on the playing surface; x to the
//! receiver, y to the launcher's left, z up; positions are the ball's centre. Launch axes from
//! elevation theta and azimuth alpha:
//!
//! ```text
//! f = (cos theta cos alpha, cos theta sin alpha, sin theta)   the way the ball goes
//! l = (-sin alpha, cos alpha, 0)                              to the left of it
//! u = f x l                                                   up, at a right angle to both
//! v = speed f,   w = 2 pi (top l + side u + gyro f)
//! ```

use glam::DVec3;
use serde::Serialize;

use super::FlightError;
use super::bounds;
use super::motion::BallMotion;

/// Spin in turns a second about the three axes of the launch.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct SpinRate {
    /// + topspin, - backspin.
    pub top_rev_s: f64,
    /// + bends the path to +y, the launcher's left and the receiver's right.
    pub side_rev_s: f64,
    /// Corkscrew spin about the line of flight; no launcher with wheels makes it.
    pub gyro_rev_s: f64,
}

impl SpinRate {
    /// No spin at all: a dead ball.
    pub const DEAD: Self = Self { top_rev_s: 0.0, side_rev_s: 0.0, gyro_rev_s: 0.0 };

    /// Topspin (+) or backspin (-) only.
    pub const fn top(rev_s: f64) -> Self {
        Self { top_rev_s: rev_s, side_rev_s: 0.0, gyro_rev_s: 0.0 }
    }

    /// Side spin only, about the upright axis of the launch.
    pub const fn side(rev_s: f64) -> Self {
        Self { top_rev_s: 0.0, side_rev_s: rev_s, gyro_rev_s: 0.0 }
    }

    /// The same spin, weaker or stronger.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            top_rev_s: self.top_rev_s * factor,
            side_rev_s: self.side_rev_s * factor,
            gyro_rev_s: self.gyro_rev_s * factor,
        }
    }
}

/// One ball as the launcher lets it go.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Launch {
    /// Where the ball's centre is at release, in metres.
    pub outlet_m: [f64; 3],
    /// Speed in m/s.
    pub speed_m_s: f64,
    /// Elevation above the horizontal in degrees; negative points down.
    pub elevation_deg: f64,
    /// Azimuth in degrees, positive to the launcher's left.
    pub azimuth_deg: f64,
    /// Spin about the axes of the launch.
    #[serde(default)]
    pub spin: SpinRate,
}

impl Launch {
    /// Passes the launch through when every number is inside its range.
    ///
    /// # Errors
    /// [`FlightError::OutOfBounds`] for the first that is not.
    pub fn checked(self) -> Result<Self, FlightError> {
        check_outlet(self.outlet_m)?;
        bounds::SPEED_M_S.check(self.speed_m_s)?;
        bounds::ELEVATION_DEG.check(self.elevation_deg)?;
        bounds::AZIMUTH_DEG.check(self.azimuth_deg)?;
        check_spin(self.spin)?;
        Ok(self)
    }

    /// Position, velocity and spin at release.
    pub fn motion(&self) -> BallMotion {
        let (sin_t, cos_t) = self.elevation_deg.to_radians().sin_cos();
        let (sin_a, cos_a) = self.azimuth_deg.to_radians().sin_cos();
        let f = DVec3::new(cos_t * cos_a, cos_t * sin_a, sin_t);
        let l = DVec3::new(-sin_a, cos_a, 0.0);
        let u = f.cross(l);
        let turns = self.spin.top_rev_s * l + self.spin.side_rev_s * u + self.spin.gyro_rev_s * f;
        BallMotion {
            position_m: self.outlet_m,
            velocity_m_s: (self.speed_m_s * f).to_array(),
            spin_rad_s: (std::f64::consts::TAU * turns).to_array(),
        }
    }
}

/// Refuses an outlet that is nowhere near a table.
///
/// # Errors
/// [`FlightError::OutOfBounds`] for the first number that is not.
pub fn check_outlet([x, y, z]: [f64; 3]) -> Result<(), FlightError> {
    bounds::OUTLET_X_M.check(x)?;
    bounds::OUTLET_Y_M.check(y)?;
    bounds::OUTLET_Z_M.check(z)?;
    Ok(())
}

/// Refuses a spin no ball has.
pub(super) fn check_spin(spin: SpinRate) -> Result<(), FlightError> {
    bounds::TOP_REV_S.check(spin.top_rev_s)?;
    bounds::SIDE_REV_S.check(spin.side_rev_s)?;
    bounds::GYRO_REV_S.check(spin.gyro_rev_s)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: Launch = Launch {
        outlet_m: [-0.1, 0.0, 0.2],
        speed_m_s: 5.0,
        elevation_deg: -15.0,
        azimuth_deg: 0.0,
        spin: SpinRate::DEAD,
    };

    #[test]
    fn topspin_turns_about_the_left_hand_axis_and_gyro_about_the_line_of_flight() {
        let top = Launch { spin: SpinRate::top(1.0), elevation_deg: 0.0, ..PLAIN }.motion();
        assert!((top.spin_rad_s[1] - std::f64::consts::TAU).abs() < 1e-12);
        let gyro = Launch {
            spin: SpinRate { gyro_rev_s: 1.0, ..SpinRate::DEAD },
            elevation_deg: 0.0,
            ..PLAIN
        };
        assert!((gyro.motion().spin_rad_s[0] - std::f64::consts::TAU).abs() < 1e-12);
    }

    #[test]
    fn impossible_numbers_are_refused_with_range_and_unit() {
        let cases = [
            (Launch { speed_m_s: -1.0, ..PLAIN }, "speed is -1 m/s", "0 to 40 m/s"),
            (Launch { speed_m_s: f64::NAN, ..PLAIN }, "speed is NaN m/s", "0 to 40"),
            (
                Launch { spin: SpinRate::top(10_000.0), ..PLAIN },
                "top spin is 10000 rev/s",
                "-200 to 200 rev/s",
            ),
            (
                Launch { elevation_deg: f64::INFINITY, ..PLAIN },
                "elevation is inf degrees",
                "-90 to 90 degrees",
            ),
            (
                Launch { outlet_m: [-0.1, 0.0, -0.2], ..PLAIN },
                "nozzle height is -0.2 m",
                "0.02 to 3 m",
            ),
        ];
        for (launch, value, range) in cases {
            let said = launch.checked().unwrap_err().to_string();
            assert!(said.contains(value) && said.contains(range), "{said}");
        }
        assert!(PLAIN.checked().is_ok());
    }
}
