//! Floor 5: what a launcher can do, where it stands, and what it throws in place of a serve.
//!
//! A launcher is a machine or a person; both are said in the same file. Here a serve in words
//! becomes the ball this launcher can really throw, with everything that is lost on the way as
//! data. How that ball flies is `flight`'s; which ball comes when is `rehearsal`'s; the words are
//! `page`'s.

mod aim_deck;
mod aiming;
mod by_eye;
mod calibrate;
pub(crate) mod capability;
mod curves;
mod described;
mod dials;
mod fit;
mod guess;
mod kept_balls;
mod knob;
mod limit;
mod obstacle;
mod settings;
mod setup;
mod sight;
mod thrown;
mod trim;
mod wheels;
mod wish;

pub use crate::flight::Throw;
pub use aim_deck::{Cannot, ChairNeeded, DeckAim, ServeAim, SetUpGroup, aim_deck};
pub use aiming::{AimedBall, aim_all};
pub use calibrate::{
    CalibrationError, Estimate, FEWEST, Learned, NextBall, Residual, SeenBall, Warning, calibrate,
};
pub use capability::{
    Control, Dial, FORMAT, HeadTurn, Launcher, LauncherKind, Span, ThrowScatter, ThrowingMachine,
    Tied, Wheels,
};
pub use curves::{At, Calibrated, Curve, Moved};
pub use described::{Described, Swing};
pub use dials::{Beyond, Entered, Feature, enter, physical_dials};
pub use fit::{Fit, can_serve, fit};
pub use guess::{guess_dials, rate_dial};
pub use kept_balls::{FEWEST_KEPT, TOO_VAGUE_M, calibrate_kept, find_teaching};
pub use limit::{Limit, Obstacle};
pub use settings::{
    ByEye, DialSetting, Farther, Guess, KeptSetting, Quantity, Settings, TurnedHead,
};
pub use setup::{SetUp, Stand};
pub use sight::Sight;
pub use thrown::{Shade, Thrown};
pub use trim::{MOST_BALLS, Trim, TrimStep, Turn, TurnedOn};
pub use wish::{AimNote, NoBall, Table};
