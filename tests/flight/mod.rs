//! The flight model against published values, reference trajectories, measured services and laws.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails loudly where its own data is broken"
)]

mod aiming;
mod bat;
mod laws;
mod measured;
mod published;
mod serving;

use secondball::flight::BallMotion;
use secondball::flight::constants::{Constants, Surface};
use serde_json::Value;

/// Reads three numbers.
fn three(value: &Value) -> [f64; 3] {
    serde_json::from_value(value.clone()).unwrap()
}

/// The table all checks from elsewhere were computed with, whatever ours is by default.
fn reference() -> Constants {
    Constants { surface: Surface { restitution: 0.93, friction: 0.25 }, ..Constants::default() }
}

/// A ball at `position_m` that moves with `velocity_m_s` and turns with `spin_rad_s`.
fn ball(position_m: [f64; 3], velocity_m_s: [f64; 3], spin_rad_s: [f64; 3]) -> BallMotion {
    BallMotion { position_m, velocity_m_s, spin_rad_s }
}
