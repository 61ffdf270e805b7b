//! The constants of ball, air and table as one value.
//!
//! The defaults are the ones every check of this project was made with; a hall's own table,
//! ball and air may replace any of them (that is what a calibration writes down).

use serde::{Deserialize, Serialize};

use super::FlightError;
use super::bounds;
use crate::game::{TABLE_LENGTH_M, TABLE_WIDTH_M};

/// x of the receiver's end line, metres.
pub const END_LINE_X_M: f64 = TABLE_LENGTH_M;
/// Distance of either side line from the middle, metres.
pub const SIDE_LINE_Y_M: f64 = TABLE_WIDTH_M / 2.0;

/// The ball.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct BallBody {
    /// Mass in kilograms. # Source: ITTF Laws 2.3.2.
    pub mass_kg: f64,
    /// Radius in metres. # Source: ITTF Laws 2.3.1.
    pub radius_m: f64,
}

impl Default for BallBody {
    fn default() -> Self {
        Self { mass_kg: 0.0027, radius_m: 0.02 }
    }
}

/// The air and how the ball moves through it.
///
/// The lift coefficient is `C_L = S / (a + b S)` with `S = R |w| / |v|`; `b = 0` is the linear
/// law. At the spins of services the measured lift saturates, so the linear law is wrong there.
///
/// # Source
/// `drag`, `lift_a` and `lift_b` were fitted for this project on open measured flights
/// (1588 + 194 + 171 segments between bounces); the density is that of dry air at 20 degrees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Air {
    /// Free fall in m/s^2.
    pub gravity_m_s2: f64,
    /// Density in kg/m^3.
    pub density_kg_m3: f64,
    /// Drag coefficient `C_D`.
    pub drag: f64,
    /// `a` of the lift curve.
    pub lift_a: f64,
    /// `b` of the lift curve.
    pub lift_b: f64,
}

impl Default for Air {
    fn default() -> Self {
        Self { gravity_m_s2: 9.81, density_kg_m3: 1.204, drag: 0.54, lift_a: 0.5, lift_b: 3.0 }
    }
}

/// How the table gives the ball back.
///
/// # Source
/// The defaults were fitted on 61 measured services (`tests/published/services_measured.csv`), on
/// one half and judged on the other. Two witnesses disagree about `restitution`: a ball dropped
/// straight rises 23 cm from 30 cm (ITTF Laws 2.1.3: 0.91), services that come in at 19 to 25
/// degrees leave as with 0.98. Services come in flat, so theirs is taken; a rebound that grows
/// with the shallow angle or falls with speed gained nothing on the half kept back.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Surface {
    /// `e`: share of the vertical speed given back.
    pub restitution: f64,
    /// `mu`: friction between ball and table.
    pub friction: f64,
}

impl Default for Surface {
    fn default() -> Self {
        Self { restitution: 0.98, friction: 0.22 }
    }
}

/// How far from where it is computed a service lands on a table nobody calibrated, metres: half of
/// them within the first, four of five within the second.
///
/// # Source
/// The same 61 services, flown from contact; four of five as in the half that was kept back.
pub const LANDING_OFF_M: [f64; 2] = [0.09, 0.20];
/// The same for the bounce after that.
pub const NEXT_OFF_M: [f64; 2] = [0.16, 0.31];

/// Ball, air and table together.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Constants {
    /// The ball.
    pub ball: BallBody,
    /// The air.
    pub air: Air,
    /// The table.
    pub surface: Surface,
}

impl Constants {
    /// Passes the constants through when every one of them is inside its range.
    ///
    /// # Errors
    /// [`FlightError::OutOfBounds`] for the first that is not.
    pub fn checked(self) -> Result<Self, FlightError> {
        bounds::MASS_KG.check(self.ball.mass_kg)?;
        bounds::RADIUS_M.check(self.ball.radius_m)?;
        bounds::GRAVITY_M_S2.check(self.air.gravity_m_s2)?;
        bounds::DENSITY_KG_M3.check(self.air.density_kg_m3)?;
        bounds::DRAG.check(self.air.drag)?;
        bounds::LIFT_A.check(self.air.lift_a)?;
        bounds::LIFT_B.check(self.air.lift_b)?;
        bounds::RESTITUTION.check(self.surface.restitution)?;
        bounds::FRICTION.check(self.surface.friction)?;
        Ok(self)
    }

    /// `K = rho pi R^2 / (2 m)`, the factor in front of drag and lift, in 1/m.
    pub fn air_factor_per_m(&self) -> f64 {
        let radius = self.ball.radius_m;
        self.air.density_kg_m3 * std::f64::consts::PI * radius * radius / (2.0 * self.ball.mass_kg)
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// The table on which the numbers of tests were worked out, whatever ours is by default.
    pub(crate) fn worked_out_on() -> Constants {
        Constants { surface: Surface { restitution: 0.93, friction: 0.25 }, ..Constants::default() }
    }

    #[test]
    fn a_hall_names_only_what_differs() {
        let hall: Constants = ron::from_str("(surface: (friction: 0.2))").unwrap();
        assert_eq!(hall.surface, Surface { restitution: 0.98, friction: 0.2 });
        assert_eq!(hall.air, Air::default());
    }

    #[test]
    fn a_bouncing_table_beyond_one_is_refused_with_its_range() {
        let mut constants = Constants::default();
        constants.surface.restitution = 1.2;
        let said = constants.checked().unwrap_err().to_string();
        assert!(said.contains("restitution is 1.2"), "{said}");
        assert!(said.contains("0.3 to 1"), "{said}");
    }
}
