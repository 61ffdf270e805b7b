//! Floor 4: what a launcher can do, where it stands, and what it throws in place of a serve.
//!
//! A launcher is a machine or a person; both are said in the same file. Here a serve in words becomes
//! the ball this launcher can really throw, with everything that is lost on the way said aloud.
//! How that ball flies is `flight`'s; which ball comes when is `rehearsal`'s.

mod aiming;
mod calibrate;
mod capability;
mod dials;
mod fit;
mod judge;
mod settings;
mod setup;
mod starting;
mod trim;

pub use aiming::{
    AimedBall, Cannot, DeckAim, Group, NoBall, ServeAim, TRUST_WITHOUT_CALIBRATION_M, Table,
    aim_all, aim_deck, aim_thrown,
};
pub use calibrate::{
    CalibrationError, FEWEST, Learned, NextBall, Residual, SeenBall, Sure, calibrate,
};
pub use capability::{
    Control, Dial, FORMAT, Head, Kind, Launcher, Machine, Scatter, Span, Tied, Wheels,
};
pub use dials::{At, Calibrated, Curve, Entered, Feature, Quantity, enter};
pub use fit::{Fit, Limit, Shade, Throw, Thrown, fit};
pub use judge::{BOUNDS, judge};
pub use settings::{DialSetting, Settings};
pub use setup::{REALISTIC_OUTLET_M, SetUp, Stand};
pub use starting::starting_dials;
pub use trim::{MOST_BALLS, Seen, Step, Trim, Turn};
