//! Floor 5: a session at the table, from the serves of a deck to blocks of balls.
//!
//! [`rehearse`] is pure: the same request gives the same session. It says which ball comes when, from
//! where, what is played to it, when to rest, when a switch is called, and what is written down. What
//! the launcher can throw is `launcher`'s; how a session looks on paper is `page`'s. Volumes, rests and
//! coaching lines are common practice.

mod answer;
mod calls;
mod coaching;
mod entering;
mod far;
mod groove;
mod log;
mod make;
mod match_like;
mod request;
mod session;
mod settle;
mod shares;
mod stand_in;
mod sweep;
mod vary;
mod work;

pub use coaching::{CAUTIONS, cautions};
pub use entering::enter;
pub use log::{LogError, LogLine, Logged, answered, is_by_serve, read_log};
pub use make::rehearse;
pub use request::{Length, RehearsalError, Request, Volumes};
pub use session::{
    Ball, Block, Cue, LeftOut, NewAnswer, Phase, Rate, Refused, Rehearsed, Role, ServeLimit,
    Session, SwitchCall, Variation,
};
pub use stand_in::{StandIn, stand_in};
