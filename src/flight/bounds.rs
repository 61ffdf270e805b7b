//! Which numbers a flight accepts, in one table that both checks them and words the refusal.
//!
//! The ranges are wide on purpose: they keep out nonsense (a negative speed, a spin of ten
//! thousand, not-a-number), not unusual machines. What one launcher can do is narrower and
//! belongs to the launcher's own file.

use crate::base::Bound;

/// An entry of the table.
const fn bound(
    what: &'static str,
    unit: &'static str,
    least: f64,
    most: f64,
    source: &'static str,
) -> Bound {
    Bound { what, unit, least, most, source }
}

/// Speed of the ball as it leaves the outlet. The hardest smashes measured stay below 35 m/s.
pub const SPEED_M_S: Bound =
    bound("speed", "m/s", 0.0, 40.0, "no measured smash is faster than 35 m/s");
/// Elevation of the launch above the horizontal.
pub const ELEVATION_DEG: Bound =
    bound("elevation", "degrees", -90.0, 90.0, "what the model is meant for");
/// Azimuth of the launch, positive to the launcher's left.
pub const AZIMUTH_DEG: Bound =
    bound("azimuth", "degrees", -90.0, 90.0, "what the model is meant for");
/// Topspin (+) or backspin (-). Loops reach about 150 rev/s, services 75.
pub const TOP_REV_S: Bound =
    bound("top spin", "rev/s", -200.0, 200.0, "loops reach about 150 rev/s, services 75");
/// Side spin.
pub const SIDE_REV_S: Bound = bound("sidespin", "rev/s", -200.0, 200.0, "as for top spin");
/// Gyro (corkscrew) spin.
pub const GYRO_REV_S: Bound = bound("gyro spin", "rev/s", -200.0, 200.0, "as for top spin");
/// Outlet along the table; negative is behind the launcher's end line.
pub const OUTLET_X_M: Bound = bound("nozzle x", "m", -6.0, 2.74, "what the model is meant for");
/// Outlet across the table, positive to the launcher's left.
pub const OUTLET_Y_M: Bound = bound("nozzle y", "m", -4.0, 4.0, "what the model is meant for");
/// Outlet above the playing surface, to the centre of the ball.
pub const OUTLET_Z_M: Bound = bound("nozzle height", "m", 0.02, 3.0, "what the model is meant for");
/// Mass of the ball; the laws give 2.7 g (ITTF 2.3).
pub const MASS_KG: Bound = bound("mass of the ball", "kg", 0.002, 0.004, "ITTF Laws 2.3: 2.7 g");
/// Radius of the ball; the laws give 20 mm (ITTF 2.3).
pub const RADIUS_M: Bound =
    bound("radius of the ball", "m", 0.015, 0.03, "ITTF Laws 2.3: 40 mm across");
/// Free fall. Zero is allowed so that drag alone can be checked in closed form.
pub const GRAVITY_M_S2: Bound = bound("gravity", "m/s^2", 0.0, 20.0, "what the model is meant for");
/// Density of the air; zero is a vacuum.
pub const DENSITY_KG_M3: Bound =
    bound("density of the air", "kg/m^3", 0.0, 2.0, "what the model is meant for");
/// Drag coefficient of the ball.
pub const DRAG: Bound = bound("drag", "", 0.0, 2.0, "what the model is meant for");
/// The constant `a` of the lift curve S / (a + b S).
pub const LIFT_A: Bound = bound("lift_a", "", 0.05, 100.0, "what the model is meant for");
/// The constant `b` of the lift curve S / (a + b S).
pub const LIFT_B: Bound = bound("lift_b", "", 0.0, 100.0, "what the model is meant for");
/// Share of the vertical speed that a bounce gives back.
pub const RESTITUTION: Bound = bound("restitution", "", 0.3, 1.0, "what the model is meant for");
/// Friction between ball and table.
pub const FRICTION: Bound = bound("friction", "", 0.0, 2.0, "what the model is meant for");
/// Scatter of the speed, as a share of it.
pub const SPEED_SCATTER: Bound =
    bound("scatter of the speed", "", 0.0, 0.5, "beyond it nothing can be aimed");
/// Scatter of the angles.
pub const ANGLE_SCATTER_DEG: Bound =
    bound("scatter of the angles", "degrees", 0.0, 20.0, "beyond it nothing can be aimed");
/// Scatter of the spin, as a share of it.
pub const SPIN_SCATTER: Bound =
    bound("scatter of the spin", "", 0.0, 1.0, "beyond it nothing can be aimed");
