//! How a 40 mm ball flies and bounces, and how to launch one so that it does what is wanted.
//!
//! Pure numbers in, pure numbers out: constants of ball, air and table ([`constants`]), a launch
//! ([`launch`]), its path with bounces and crossings ([`path`]), what that path amounts to on a
//! table ([`legality`]), and the way back from a wish to a launch ([`aim`]).
//!
//! Frame everywhere: origin at the centre of the launcher's end line on the playing surface, x to
//! the receiver (net at 1.37 m, receiver's end line at 2.74 m), y to the launcher's left, z up;
//! positions are the centre of the ball; SI units, spin vectors in rad/s, spin settings in
//! rev/s, angles in degrees.

pub mod aim;
pub mod bat;
pub mod bounce;
pub mod bounds;
pub mod constants;
mod error;
mod full_serve;
pub mod launch;
pub mod legality;
pub mod motion;
pub mod path;
pub mod service;

pub use constants::Constants;
pub use error::FlightError;
pub use full_serve::{FullServe, Supposed};
pub use launch::{Launch, SpinRate, check_outlet};
pub use legality::{Fault, Throw};
pub use motion::BallMotion;
pub use path::{Path, Until, fly};
