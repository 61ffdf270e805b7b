//! The flight model against published values, reference trajectories, measured services and laws.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails loudly where its own data is broken"
)]

mod aiming;
mod laws;
mod published;
mod serving;

use secondball::flight::BallMotion;
use serde_json::Value;

/// Reads three numbers.
fn three(value: &Value) -> [f64; 3] {
    serde_json::from_value(value.clone()).unwrap()
}

/// A ball at `position_m` that moves with `velocity_m_s` and turns with `spin_rad_s`.
fn ball(position_m: [f64; 3], velocity_m_s: [f64; 3], spin_rad_s: [f64; 3]) -> BallMotion {
    BallMotion { position_m, velocity_m_s, spin_rad_s }
}
