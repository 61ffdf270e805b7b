//! Floor 5: the drill as a machine without a terminal.
//!
//! A [`Script`] is made from a deck ([`build()`]), a [`Machine`] plays it: acts with their time
//! go in, a [`Picture`] of the moment and reports ([`Said`]) come out. The same machine runs
//! under the screen, under a file of keys, under a simulated player; the script can be written
//! down and played elsewhere.
//!
//! | file | holds |
//! |---|---|
//! | `order` | blocked, serial, random, match-like |
//! | `palette` | the receives to choose from and where their keys lie |
//! | `window` | flight, body and key time to a window |
//! | `tempo`, `speed` | the staircase from generous to match speed, and from day to day |
//! | `script`, `request`, `build`, `balls`, `switch_round`, `flights` | everything a round needs, made from a deck |
//! | `machine`, `answering`, `drawing`, `picture` | a round being played |
//! | `taken`, `summary`, `measures` | what came of it |
//! | `flights` | the computed flights of a deck's serves |
//! | `warm_up` | measuring the key time |
//! | `simulated` | a player that is no person, for `--simulated` and the tests |

mod answering;
mod balls;
mod build;
mod drawing;
mod flights;
mod machine;
mod measures;
mod order;
mod palette;
mod picture;
mod request;
mod script;
mod simulated;
mod speed;
mod summary;
mod switch_round;
mod taken;
mod tempo;
mod warm_up;
pub mod window;

pub use answering::SHADOW_KEYS;
pub use build::{Built, build};
pub use flights::flights;
pub use machine::{GO, GateSummary, MORE, Machine, SHOW, UNDO};
pub use measures::{Group, LEAST_BALLS, Measured, SwitchMeasures};
pub use order::{ServeOrder, without_repeats};
pub use palette::{LETTERS, Palette, PaletteChoice, cell_of_key};
pub use picture::{
    Act, AnswerVerdict, Asked, CallCard, Cell, Feedback, Mark, MenuLine, Phase, Picture, Said,
};
pub use request::{Called, DrillError, Flown, RoundRequest};
pub use script::{
    Call, Cue, Durations, FORMAT, Frame, ReadingStep, Reason, RoundPart, Script, ScriptBall,
    ScriptSwitch, WrongBat,
};
pub use simulated::{SimulatedHabits, SimulatedPlayer};
pub use speed::{DaySpeed, Speeds};
pub use summary::{LAST, SLIPS, ServeSummary, Summary};
pub use taken::{Gave, Taken};
pub use tempo::{GENEROUS_PERMILLE, MATCH_PERMILLE, Tempo, TempoRules, Threshold};
pub use warm_up::WarmUp;
pub use window::KeyTime;
