//! Floor 4: what a launcher can do, where it stands, and what it throws in place of a serve.
//!
//! A launcher is a machine or a person; both are said in the same file. Here a serve in words becomes
//! the ball this launcher can really throw, with everything that is lost on the way said aloud.
//! How that ball flies is `flight`'s; which ball comes when is `rehearsal`'s.

mod capability;
mod fit;
mod judge;
mod settings;
mod setup;

pub use capability::{
    Control, Dial, FORMAT, Head, Kind, Launcher, Machine, Scatter, Span, Tied, Wheels,
};
pub use fit::{Fit, Limit, Shade, Throw, Thrown, fit};
pub use judge::{BOUNDS, judge};
pub use settings::{DialSetting, Settings};
pub use setup::{REALISTIC_OUTLET_M, SetUp, Stand};
