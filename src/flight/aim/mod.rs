//! The way back: from what a ball should do to how it has to leave.
//!
//! Spin and outlet are given; speed, elevation and azimuth are looked for. All wishes are bands
//! ([`request`]); the solver (`solve`) walks from several plausible starts into them. When there
//! is room to choose, the bands are first entered by three standard deviations of the launcher's
//! scatter, then by less and less, so the ball that is found is one that survives uneven throws.
//! Among the ways to make the same ball the flat push of real serves comes first, then the one
//! that keeps its depth most often, then the earlier one. When nothing fits, a refusal says which
//! limit bit and what the nearest possible ball is.

mod measure;
mod outcome;
mod refusal;
pub mod request;
pub mod scatter;
mod search;
mod solve;
mod starts;

pub use measure::{Band, Measure};
pub use outcome::{Aimed, BallOutcome, Family};
pub use refusal::{AimError, Miss, Refusal};
pub use request::{Origin, Request, Wish};
pub use scatter::{Scatter, Share};
pub use search::{FirstAimed, aim, aim_first, is_possible};
